"""What a layered cell's solver returns, and the unit strains it is loaded with."""

from dataclasses import dataclass

import numpy as np

from fem.material.stiffness import Engineering

UNIT_STRAIN = np.zeros((6, 3, 3))
for _row, (_i, _j) in enumerate(((0, 0), (1, 1), (2, 2), (1, 2), (0, 2), (0, 1))):
    UNIT_STRAIN[_row, _i, _j] += 0.5
    UNIT_STRAIN[_row, _j, _i] += 0.5


@dataclass(frozen=True)
class LayeredStiffness:
    """Mean stiffness of a cell whose layers differ, in its axes 1, 2, 3.

    Attributes
    ----------
    stiffness : ndarray, shape (6, 6)
        MPa, Voigt order 11, 22, 33, 23, 13, 12, engineering shear; exactly zero where no load can pass.
    engineering : Engineering
        Engineering constants, MPa; None where there is no load path.
    errors : dict of str to float or None
        Estimated relative error of every engineering constant.
    geometric_fill : float
        Volume share of the beads.
    unknowns : int
        Unknowns of the largest system of the last mesh.
    order : int
        Polynomial order of its displacements.
    met : bool
        Whether every error is within the tolerance asked for.
    seconds : dict of str to float
        Time for ``mesh`` and ``solve``.
    """

    stiffness: np.ndarray
    engineering: Engineering
    errors: dict[str, float | None]
    geometric_fill: float
    unknowns: int
    order: int
    met: bool
    seconds: dict[str, float]

    @property
    def relative_error(self) -> float:
        """Largest estimated relative error over the engineering constants."""
        return max((error for error in self.errors.values() if error is not None), default=0.0)
