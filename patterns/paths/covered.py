"""The plan that beads along some lines cover, inside corners rounded."""

from collections.abc import Sequence

import numpy as np
import shapely
from shapely import LineString, Polygon
from shapely.geometry.polygon import orient

from patterns.outlines.areas import EMPTY, Area, joined, polygons

_SHORTEST = 1e-6  # mm; shorter sides are round-off
_LEAST_TURN = 0.2  # rad; flatter corners are the vertices of curves
_ARC_STEPS = 24


def covered(lines: Sequence[LineString], width: float, corner_radius: float = 0.0) -> Area:
    """Return the plan area covered by beads along some lines.

    Beads end flat and bend with sharp outer corners. Inside corners are filled to the corner radius (mm), or
    to the largest radius that fits where their sides are too short. Outlines that merely face each other are
    not joined, however narrow the gap.
    """
    if not len(lines):
        return EMPTY
    strips = shapely.buffer(
        np.array(lines, dtype=object), width / 2, cap_style="flat", join_style="mitre", mitre_limit=6.0
    )
    beads = polygons(shapely.union_all(strips))
    if corner_radius <= 0:
        return joined(beads)
    fillets = [
        fillet
        for polygon in map(orient, beads)
        for ring in (polygon.exterior, *polygon.interiors)
        for fillet in _fillets(np.array(ring.coords)[:-1], corner_radius)
    ]
    return joined(polygons(shapely.union_all([*beads, *fillets])))


def _fillets(ring: np.ndarray, radius: float) -> list[Polygon]:
    """Return the pieces that round the inside corners of an outline with the covered area on its left."""
    step = np.roll(ring, -1, axis=0) - ring
    length = np.linalg.norm(step, axis=1)
    ring, length = ring[length > _SHORTEST], length[length > _SHORTEST]
    if len(ring) < 3:
        return []
    along = (np.roll(ring, -1, axis=0) - ring) / length[:, None]
    before = np.roll(along, 1, axis=0)
    turn = np.arctan2(
        before[:, 0] * along[:, 1] - before[:, 1] * along[:, 0], np.einsum("ij,ij->i", before, along)
    )
    inside = turn < -_LEAST_TURN
    tangent = np.where(inside, radius * np.tan(np.abs(turn) / 2), 0.0)
    room = np.minimum(1.0, length / np.maximum(tangent + np.roll(tangent, -1), _SHORTEST))
    tangent *= np.minimum(room, np.roll(room, 1))
    return [
        _fillet(ring[k], before[k], along[k], float(tangent[k]), float(-turn[k]))
        for k in np.flatnonzero(inside & (tangent > _SHORTEST))
    ]


def _fillet(
    corner: np.ndarray, before: np.ndarray, along: np.ndarray, tangent: float, turn: float
) -> Polygon:
    """Return the piece between a corner that turns right and the arc touching both its sides."""
    radius = tangent / np.tan(turn / 2)
    right = np.array([before[1], -before[0]])
    start = corner - tangent * before
    centre = start + radius * right
    angle = np.linspace(0, turn, max(3, int(_ARC_STEPS * turn / (np.pi / 2))))[:, None]
    arc = centre - radius * (right * np.cos(angle) - before * np.sin(angle))
    return Polygon([corner, *arc[::-1], corner])
