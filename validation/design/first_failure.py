"""At what mean stress the first point of a cell's beads fails, along rays of tension and shear in the layer."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from fem.prismatic.failure_surface import Strengths, first_failure
from patterns.cells.cell import PlanCell
from patterns.errors import InputError
from validation.design.cells import SolvedCell

_RAYS_DEG = np.linspace(-180.0, 180.0, 73)
_TENSIONS = {"tension 1": 0, "tension 2": 1}
_SHEAR = 5


@dataclass(frozen=True)
class FirstFailure:
    """Mean stresses at first failure, MPa.

    Attributes
    ----------
    curves : dict of str to ndarray, shape (n, 2)
        Tension and shear 12 by the name of the tension; infinite where nothing is pulled, nan without load path.
    tension : dict of str to float
        Tension alone.
    shear : float
        Shear 12 alone.
    """

    curves: dict[str, np.ndarray]
    tension: dict[str, float]
    shear: float


def first_failures(solved: SolvedCell, strengths: Strengths) -> FirstFailure:
    """Return the first-failure surface of a prismatic cell with rounded corners.

    Raises
    ------
    InputError
        If the cell has layers that differ, or sharp corners.
    """
    if solved.concentration is None or not isinstance(solved.cell, PlanCell):
        why = (
            "stress has no limit at corner radius 0"
            if isinstance(solved.cell, PlanCell)
            else f"it is found for prismatic cells only; {solved.pattern.slug} is {solved.pattern.kind}"
        )
        raise InputError(f"first failure: {why}")
    turn = np.radians(_RAYS_DEG)
    curves, alone = {}, {}
    for name, place in _TENSIONS.items():
        rays = np.zeros((len(turn), 6))
        rays[:, place], rays[:, _SHEAR] = np.cos(turn), np.sin(turn)
        factors = first_failure(solved.cell, solved.concentration, strengths, rays)
        curves[name] = factors[:, None] * rays[:, [place, _SHEAR]]
        alone[name] = float(factors[np.argmin(np.abs(turn))])
    shear = float(np.hypot(*curves["tension 1"][np.argmin(np.abs(_RAYS_DEG - 90))]))
    return FirstFailure(curves, alone, shear)


def failure_dict(found: FirstFailure, strengths: Strengths) -> dict[str, Any]:
    """Return plain data for JSON; null where nothing is pulled or there is no load path."""

    def finite(value: float) -> float | None:
        return float(value) if np.isfinite(value) else None

    return {
        "strengths_mpa": {"along": strengths.along, "across": strengths.across, "shear": strengths.shear},
        "tension_1_mpa": finite(found.tension["tension 1"]),
        "tension_2_mpa": finite(found.tension["tension 2"]),
        "shear_12_mpa": finite(found.shear),
        "with_shear_12_mpa": {
            name.replace(" ", "_"): [[finite(value) for value in point] for point in points]
            for name, points in found.curves.items()
        },
    }
