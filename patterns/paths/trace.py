"""Real lines of a pattern in an area, and the plan that their beads cover."""

from collections.abc import Mapping, Sequence

import numpy as np
import shapely
from shapely import LineString, Polygon
from shapely.geometry.polygon import orient

from patterns.bead import Bead
from patterns.catalogue import Pattern, find
from patterns.errors import InputError
from patterns.fill import default_corner_radius, fill_for
from patterns.outlines.areas import EMPTY, Area, joined, polygons
from patterns.setting import Core

_SHORTEST = 1e-6  # mm; shorter pieces are round-off of the cut
_LEAST_TURN = 0.2  # rad; flatter corners are the vertices of curves
_ARC_STEPS = 24


def trace(core: Core, bead: Bead, area: Area, layer: int = 0) -> list[LineString]:
    """Return the centre-lines of a core in one layer, cut at the border of an area.

    Parameters
    ----------
    core : Core
        Pattern, set fill, angles, phase and options.
    bead : Bead
        Its width sets the pitch, its height the level of the layer in varying patterns.
    area : Polygon or MultiPolygon
        mm, in plan axes 1 and 2. The pattern is fixed to the origin, so that neighbouring areas match.
    layer : int
        From 0, the first layer of the core; only patterns that differ from layer to layer use it.

    Raises
    ------
    InputError
        For an unknown pattern or option, or a fill out of the pattern's reach.
    """
    pattern = find(core.pattern)
    own = core.angles_deg[layer % len(core.angles_deg)] if pattern.kind == "alternating" else 0.0
    options = dict(core.options)
    if pattern.kind == "varying":
        options["height"] = (layer + 0.5) * bead.height
    return trace_lines(pattern, area, _pitch(core, bead), core.angle_deg + own, core.phase, options)


def layers_per_period(core: Core, bead: Bead) -> int:
    """Return after how many layers the lines of a core repeat, to the nearest whole layer."""
    kind = find(core.pattern).kind
    if kind == "alternating":
        return len(core.angles_deg)
    return max(1, round(_pitch(core, bead) / bead.height)) if kind == "varying" else 1


def _pitch(core: Core, bead: Bead) -> float:
    radius = default_corner_radius(bead.width) if core.corner_radius is None else core.corner_radius
    return fill_for(
        find(core.pattern), bead.width, radius, set_fill=core.set_fill, **dict(core.options)
    ).pitch


def trace_lines(
    pattern: Pattern,
    area: Area,
    pitch: float,
    angle_deg: float = 0.0,
    phase: float = 0.0,
    options: Mapping[str, float] | None = None,
) -> list[LineString]:
    """Return the centre-lines of one layer of a pattern, cut at the border of an area.

    Parameters
    ----------
    pattern : Pattern
        From the catalogue.
    area : Polygon or MultiPolygon
        mm.
    pitch : float
        mm.
    angle_deg : float
        Turns the pattern about the origin.
    phase : float
        0 to 1; moves the lines by that part of a pitch. At 0 a line, or a node of lines, is on the origin.
    options : mapping, optional
        The pattern's own, by name.
    """
    if not 0 <= phase <= 1:
        raise InputError(f"phase is {phase!r}; it must lie between 0 and 1")
    options = options or {}
    if area.is_empty:
        return []
    if pattern.fill_area is not None:
        return pattern.fill_area(area, pitch, phase, **options)
    if pattern.lines is None:
        raise InputError(f"{pattern.slug} has no lines to draw in an area")
    lines = pattern.lines(area.bounds, pitch, angle_deg, phase, **options)
    if not lines:
        return []
    pieces = shapely.get_parts(shapely.intersection(np.array(lines, dtype=object), area))
    return [piece for piece in pieces if piece.geom_type == "LineString" and piece.length > _SHORTEST]


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
