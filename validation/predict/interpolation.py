"""Whether a setting lies between the settings a calibration has seen, or beyond them."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fem.setting import Setting
from validation.calibration import beyond

# A point this near to the hull, in widths of it, counts as inside.
_TOLERANCE = 1e-6


@dataclass(frozen=True)
class Position:
    """Where a setting lies among the calibrated ones.

    Attributes
    ----------
    inside : bool
        Within the convex hull of their numbers, and alike in every other choice.
    reasons : tuple of str
        What lies outside and how, nothing where inside.
    """

    inside: bool
    reasons: tuple[str, ...]

    @property
    def kind(self) -> str:
        """Return ``interpolation`` or ``extrapolation``."""
        return "interpolation" if self.inside else "extrapolation"


def position(setting: Setting, calibrated: Sequence[Setting]) -> Position:
    """Place a setting among the calibrated ones.

    Only settings alike in pattern, orientation, kind of test and shape count as neighbours; among them fill, walls,
    face layers, lever or span and sizes must lie in the convex hull.
    """
    own, seen = choices_of(setting), [choices_of(one) for one in calibrated]
    reasons = beyond(
        {**own, **numbers_of(setting)}, [{**choices_of(one), **numbers_of(one)} for one in calibrated]
    )
    if not reasons and own not in seen:
        reasons.append(f"no calibrated setting combines {', '.join(own.values())}")
    alike = [
        list(numbers_of(one).values())
        for one, choices in zip(calibrated, seen, strict=True)
        if choices == own
    ]
    if not reasons and not _in_hull(np.array(list(numbers_of(setting).values())), np.array(alike)):
        reasons.append("each choice lies in its calibrated range, their combination does not")
    return Position(not reasons, tuple(reasons))


def choices_of(setting: Setting) -> dict[str, str]:
    """Return what is chosen of a setting without an order."""
    core = setting.core
    pattern = "none" if core.set_fill == 0 else core.pattern
    return {
        "pattern": pattern,
        "orientation": setting.printing.orientation,
        "test": setting.test.kind,
        "shape": setting.specimen.shape,
    }


def numbers_of(setting: Setting) -> dict[str, float]:
    """Return what is set of a setting as a number, mm where it has a unit."""
    printing, specimen = setting.printing, setting.specimen
    return {
        "set fill": setting.core.set_fill,
        "walls": float(printing.walls),
        "face layers": (printing.bottom_layers + printing.top_layers) / 2,
        "lever or span mm": setting.test.free_length,
        "depth mm": specimen.depth,
        "width mm": specimen.width,
        "bead width mm": printing.bead.width,
        "layer mm": printing.bead.height,
    }


def _in_hull(point: np.ndarray, points: np.ndarray) -> bool:
    """Return whether a point is a mean of the others with weights from 0 to 1 (a linear programme's feasibility)."""
    from scipy.optimize import linprog

    size = np.maximum(np.ptp(points, axis=0), 1e-12)
    vary = np.ptp(points, axis=0) > 0
    if not vary.any():
        return True
    A = np.vstack([(points[:, vary] / size[vary]).T, np.ones(len(points))])
    b = np.append(point[vary] / size[vary], 1.0)
    # the misfit as two more unknowns per row: feasible where it can vanish
    rows = len(b)
    found = linprog(
        np.append(np.zeros(len(points)), np.ones(2 * rows)),
        A_eq=np.hstack([A, np.eye(rows), -np.eye(rows)]),
        b_eq=b,
        bounds=(0, None),
    )
    return bool(found.fun < _TOLERANCE)
