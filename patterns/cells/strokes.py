"""Centre-lines of a periodic pattern: a few strokes, repeated over the plan."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString

Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class Stroke:
    """One centre-line of the period at pitch 1.

    Attributes
    ----------
    points : ndarray, shape (n, 2)
        From start to end.
    period : (int, int) or None
        Lattice vector, in whole steps, from start to end of a line that goes on for ever; None for a piece by
        itself.
    """

    points: np.ndarray
    period: tuple[int, int] | None = None


def rotation(angle_deg: float) -> np.ndarray:
    """Return the matrix (2, 2) that turns column vectors anticlockwise; exact at multiples of 90 degrees."""
    c, s = np.cos(np.radians(angle_deg)), np.sin(np.radians(angle_deg))
    if angle_deg % 90 == 0:
        c, s = round(c), round(s)
    return np.array([[c, -s], [s, c]], dtype=float)


def repeat(
    strokes: Sequence[Stroke],
    lattice: np.ndarray,
    box: Box,
    pitch: float,
    angle_deg: float = 0.0,
    phase: float = 0.0,
) -> list[LineString]:
    """Return the centre-lines that reach a box.

    Parameters
    ----------
    strokes, lattice
        The lines of one period and the rows of period vectors (2, 2), at pitch 1 and angle 0.
    box : (xmin, ymin, xmax, ymax)
        mm. Lines that reach it are returned uncut.
    pitch : float
        mm.
    angle_deg : float
        Turns the pattern about the origin.
    phase : float
        Moves the pattern by this share of the sum of both period vectors: 0 and 1 are alike.
    """
    turned = pitch * rotation(angle_deg).T
    vectors = lattice @ turned
    corners = np.array([[box[i], box[j]] for i in (0, 2) for j in (1, 3)], dtype=float)
    found: list[np.ndarray] = []
    for stroke in strokes:
        points = stroke.points @ turned + phase * vectors.sum(axis=0)
        along, across = _basis(stroke.period) @ vectors
        inverse = np.linalg.inv([along, across])
        reach, extent = corners @ inverse, points @ inverse
        low = np.ceil(reach.min(axis=0) - extent.max(axis=0) - 1e-9).astype(int)
        high = np.floor(reach.max(axis=0) - extent.min(axis=0) + 1e-9).astype(int)
        steps, rows = (np.arange(low[axis], high[axis] + 1) for axis in (0, 1))
        if not len(steps) or not len(rows):
            continue
        copies = points + (steps[:, None] * along)[:, None, :]
        if stroke.period is not None:
            copies = without_straight_points(_chained(copies))[None]
        moved = copies[:, None] + (rows[:, None] * across)[:, None, :]
        found.append(shapely.linestrings(moved).ravel("F"))
    if not found:
        return []
    lines = np.concatenate(found)
    return list(lines[shapely.intersects(lines, shapely.box(*box))])


def _basis(period: tuple[int, int] | None) -> np.ndarray:
    """Return two whole lattice vectors that span the lattice, the first one along the stroke."""
    if period is None:
        return np.eye(2, dtype=int)
    for other in ((0, 1), (1, 0)):
        if abs(period[0] * other[1] - period[1] * other[0]) == 1:
            return np.array([period, other])
    raise ValueError(f"a stroke of period {period} skips lattice points")


def _chained(copies: np.ndarray) -> np.ndarray:
    """Points of copies (m, n, 2) laid end to end."""
    return np.concatenate([copies[:, :-1].reshape(-1, 2), copies[-1, -1:]])


def without_straight_points(points: np.ndarray) -> np.ndarray:
    """Return a polyline (n, 2) without those points at which it does not turn."""
    if len(points) < 3:
        return points
    step = np.diff(points, axis=0)
    step /= np.linalg.norm(step, axis=1)[:, None]
    bend = step[:-1, 0] * step[1:, 1] - step[:-1, 1] * step[1:, 0]
    found: np.ndarray = points[np.concatenate([[True], np.abs(bend) > 1e-9, [True]])]
    return found
