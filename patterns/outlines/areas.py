"""Erosion and opening of plane areas: how far walls and faces reach into a section."""

from collections.abc import Iterable
from typing import TypeAlias

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon
from shapely.affinity import translate
from shapely.geometry.base import BaseGeometry

Area: TypeAlias = BaseGeometry
"""A Polygon or a MultiPolygon; set operations promise their makers no more than their base."""
EMPTY = MultiPolygon()


def polygons(area: shapely.Geometry, least_area: float = 0.0) -> list[Polygon]:
    """Return a geometry's polygons larger than ``least_area`` (mm^2); lines and points are dropped."""
    parts = shapely.get_parts(shapely.get_parts(area))
    return [part for part in parts if part.geom_type == "Polygon" and part.area > least_area]


def joined(parts: Iterable[Polygon]) -> Area:
    """Return one area made of disjoint polygons: a Polygon where it is one, else a MultiPolygon."""
    parts = list(parts)
    return parts[0] if len(parts) == 1 else MultiPolygon(parts)


def inset(area: Area, distance: float) -> Area:
    """Return the area shrunk by ``distance`` (mm; grown where negative), with mitred corners.

    Mitred, the length of the parallel curve changes in a straight line with the distance, so that a bead
    ring's centre-line times its width is exactly the area it covers.
    """
    return area.buffer(-distance, join_style="mitre", mitre_limit=3.0)


def too_narrow(area: Area, width: float, least_area: float) -> Area:
    """Return the places where a strip ``width`` wide does not fit, corners aside.

    Morphological opening; pieces up to ``least_area`` (mm^2) are slips of it and are left out.
    """
    inner = inset(area, width / 2)
    # Where nothing is narrow, the parallel curve's length falls in a straight line: midpoint rule exact.
    strip = width / 2 * inset(area, width / 4).length
    if abs(area.area - inner.area - strip) <= 1e-9 * area.area:
        return EMPTY
    return joined(polygons(area.difference(inset(inner, -width / 2)), least_area))


def eroded_along(area: Area, before: float, behind: float, axis: int) -> Area:
    """Return the points whose straight surroundings along one axis lie in the area.

    Parameters
    ----------
    area : Polygon or MultiPolygon
        mm.
    before, behind : float
        The surroundings reach from ``-before`` to ``+behind`` (mm) along the axis.
    axis : {0, 1}
        The first or the second coordinate.

    Notes
    -----
    Erosion by a segment S: the area without its border swept by -S. The sweep of a convex ring is the hull of
    its two end places; of another ring it is made of one parallelogram per edge.
    """
    step = np.eye(2)[axis]
    remaining = []
    for polygon in polygons(area):
        shell = Polygon(polygon.exterior)
        if _is_convex(shell):
            kept = translate(shell, *(before * step)).intersection(translate(shell, *(-behind * step)))
        else:
            kept = shell.difference(_swept_border(shell, before, behind, step))
        for hole in map(Polygon, polygon.interiors):
            if _is_convex(hole):
                ends = [translate(hole, *(before * step)), translate(hole, *(-behind * step))]
                swept = shapely.union_all(ends).convex_hull
            else:
                swept = hole.union(_swept_border(hole, before, behind, step))
            kept = kept.difference(swept)
        remaining += polygons(kept)
    return joined(remaining)


def _is_convex(polygon: Polygon) -> bool:
    return bool(polygon.convex_hull.area - polygon.area <= 1e-9 * polygon.area)


def _swept_border(polygon: Polygon, before: float, behind: float, step: np.ndarray) -> Area:
    """Return the border moved by every vector from ``-behind`` to ``+before`` along ``step``."""
    corners = np.asarray(polygon.exterior.coords)
    start, end = corners[:-1], corners[1:]
    low, high = -behind * step, before * step
    corners = np.stack([start + low, end + low, end + high, start + high], axis=1)
    strips = np.atleast_1d(np.asarray(shapely.polygons(corners)))
    return shapely.union_all(strips[shapely.area(strips) > 0])


def slices_too_short(area: Area, length: float, least_area: float) -> Area:
    """Return the places where a run of ``length`` along the first coordinate does not fit."""
    places: list[Polygon] = []
    for part in polygons(area):
        fits = eroded_along(part, length / 2, length / 2, axis=0)
        frame = shapely.box(*part.buffer(2 * length).bounds)
        dilated = frame.difference(eroded_along(frame.difference(fits), length / 2, length / 2, axis=0))
        places += polygons(part.difference(dilated), least_area)
    return joined(places)


def widest_slice(shape: Polygon, near: float) -> float:
    """Return the longest run of the shape along the first coordinate, found ``near`` the height of a corner."""
    heights = {z for ring in [shape.exterior, *shape.interiors] for _, z in ring.coords}
    low, _, high, _ = shape.bounds
    runs = [
        run.length
        for z in heights
        for shift in (-near, near)
        for run in shapely.get_parts(
            shape.intersection(shapely.LineString([(low, z + shift), (high, z + shift)]))
        )
    ]
    return max(runs, default=0.0)
