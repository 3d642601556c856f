"""Whether a setting lies between the settings a calibration has seen, or beyond them."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fem.setting import Setting

# Choices that are numbers: between two calibrated values is known ground.
_NUMBERS = (
    "set fill",
    "walls",
    "face layers",
    "lever or span mm",
    "depth mm",
    "width mm",
    "bead width mm",
    "layer mm",
)
# A number this near to a calibrated one counts as the same.
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
    own = _choices(setting)
    reasons = []
    for name, value in own.items():
        seen = {_choices(one)[name] for one in calibrated}
        if value not in seen:
            reasons.append(f"{name} {value} was not calibrated ({', '.join(sorted(seen))} was)")
    alike = [one for one in calibrated if _choices(one) == own]
    if not reasons and not alike:
        reasons.append(f"no calibrated setting combines {', '.join(own.values())}")
    if not alike:
        return Position(False, tuple(reasons))
    point, points = _numbers(setting), np.array([_numbers(one) for one in alike])
    low, high = points.min(axis=0), points.max(axis=0)
    slack = _TOLERANCE * np.maximum(np.abs(high), 1.0)
    for k, name in enumerate(_NUMBERS):
        if not low[k] - slack[k] <= point[k] <= high[k] + slack[k]:
            reasons.append(f"{name} {point[k]:g} lies outside {_span(low[k], high[k])}")
    if not reasons and not _in_hull(point, points):
        reasons.append("each choice lies in its calibrated range, their combination does not")
    return Position(not reasons, tuple(reasons))


def _choices(setting: Setting) -> dict[str, str]:
    core = setting.core
    pattern = "none" if core.set_fill == 0 else core.pattern
    return {
        "pattern": pattern,
        "orientation": setting.printing.orientation,
        "test": setting.test.kind,
        "shape": setting.specimen.shape,
    }


def _numbers(setting: Setting) -> np.ndarray:
    printing, specimen = setting.printing, setting.specimen
    return np.array(
        [
            setting.core.set_fill,
            printing.walls,
            (printing.bottom_layers + printing.top_layers) / 2,
            setting.test.free_length,
            specimen.depth,
            specimen.width,
            printing.bead.width,
            printing.bead.height,
        ],
        dtype=float,
    )


def _span(low: float, high: float) -> str:
    return f"{low:g}" if low == high else f"{low:g} to {high:g}"


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
