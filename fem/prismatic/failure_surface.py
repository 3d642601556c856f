"""Mean stresses at which the first point of a cell's beads reaches a strength."""

from dataclasses import dataclass

import numpy as np

from fem.material.stiffness import about_axis_3, stress_transformation
from fem.prismatic.concentration import Concentration
from fem.prismatic.line_field import LineField
from patterns.cells.cell import PlanCell
from patterns.errors import InputError

_SHARES = (1 - np.cos(np.pi * np.arange(17) / 16)) / 2


@dataclass(frozen=True)
class Strengths:
    """Strengths of the bead material, MPa; infinite where one is not to be judged.

    Attributes
    ----------
    along : float
        Tension along the bead.
    across : float
        Tension across it, in the layer and between layers.
    shear : float
        Shear between the bead's direction and those across.
    """

    along: float
    across: float
    shear: float

    def __post_init__(self) -> None:
        for name in ("along", "across", "shear"):
            if not getattr(self, name) > 0:
                raise InputError(f"strength {name} is {getattr(self, name)} MPa; it must be positive")


def first_failure(
    cell: PlanCell, found: Concentration, strengths: Strengths, means: np.ndarray
) -> np.ndarray:
    """Return how many times each mean stress can be put on before the first point fails.

    Each point is judged by its stresses in the axes of the line it is nearest to, each against its own strength
    (largest stress criterion). Compression is not judged.

    Parameters
    ----------
    cell : PlanCell
        The cell, for its lines.
    found : Concentration
        Its stresses.
    strengths : Strengths
        MPa.
    means : ndarray, shape (n, 6)
        Mean stresses, Voigt order, MPa.

    Returns
    -------
    ndarray, shape (n,)
        Factors; infinite if nothing is ever pulled, nan where the mean stress has no load path.
    """
    field = found.field
    surface, inside = field.surface(_SHARES), field.interior
    x = np.concatenate([surface.x, inside.x])
    unit = np.concatenate([surface.unit, inside.unit])
    own = stress_transformation(about_axis_3(-LineField(cell).directions(x))) @ unit
    factors = np.full(len(means), np.nan)
    for k, mean in enumerate(np.asarray(means, dtype=float)):
        if field.carries(mean):
            used = _utilisation(own @ (field.compliance @ mean), strengths).max()
            factors[k] = 1 / used if used > 0 else np.inf
    return factors


def _utilisation(stress: np.ndarray, strengths: Strengths) -> np.ndarray:
    """Largest stress over strength (n,) for stresses (n, 6) in the axes of the bead."""
    along, second, third, s23, s13, s12 = stress.T
    across = (second + third) / 2 + np.hypot((second - third) / 2, s23)
    found: np.ndarray = np.maximum.reduce(
        [along / strengths.along, across / strengths.across, np.hypot(s12, s13) / strengths.shear]
    )
    return found
