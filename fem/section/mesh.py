"""Mesh of a section from its zones: walls, faces, core, or the resolved solid outline."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from scipy.spatial import cKDTree
from shapely import MultiPolygon, Polygon
from shapely.geometry.polygon import orient
from skfem import MeshTri

from fem.numerics.mesh import mesh_planar
from fem.section.curves import planar_map, turns
from fem.section.tiles import SLIVER_MM, tile
from patterns.errors import InputError

_GROWTH = 0.4  # mm of edge length per mm of distance from a thin place or a corner
_FINEST = 32  # edges are at least this part of the wanted size, but for corners
_REENTRANT = np.radians(20)
_CORNER = 8  # edges at re-entrant corners are this many times shorter: torsion of square tubes to 5e-4


@dataclass(frozen=True)
class SectionMesh:
    """Triangles of a section.

    Attributes
    ----------
    mesh : MeshTri or MeshTri2
        (y, z) in mm; second-order geometry where an outline is curved.
    zone : ndarray of int, shape (n_elements,)
        Number of the zone that each element belongs to.
    """

    mesh: MeshTri
    zone: np.ndarray


def section_mesh(zones: Sequence[Polygon | MultiPolygon], size: float) -> SectionMesh:
    """Mesh the zones of a section.

    Zones that touch are joined along their common border. Overlaps, enclosed gaps and remnants narrower than 5 um
    are closed. Circles and fillets drawn as fine polygons are meshed as true arcs.

    Parameters
    ----------
    zones : sequence of Polygon or MultiPolygon
        Areas of one material each in (y, z), mm. What none covers is void.
    size : float
        Largest edge of a triangle, mm. Edges shrink so that two second-order elements span every wall, and
        towards re-entrant corners.

    Returns
    -------
    SectionMesh
        The same input gives the same mesh.

    Raises
    ------
    InputError
        If the size is not positive, a zone is not a simple area, or zones overlap.
    SolverError
        If no valid mesh can be made.

    Examples
    --------
    >>> wall, core = shapely.box(-5, -2, 5, 2), shapely.box(-4, -1, 4, 1)
    >>> sandwich = section_mesh([wall - core, core], size=1.0)
    >>> sorted(set(sandwich.zone.tolist()))
    [0, 1]
    """
    if not (np.isfinite(size) and size > 0):
        raise InputError(f"section mesh size {size} mm: must be positive")
    polygons, owner = tile(zones)
    planar = planar_map(polygons, owner)
    order = 2 if any(curve.kind == "arc" for curve in planar.curves) else 1
    thin = _thin_places(polygons, size)
    fine = np.concatenate([thin, _corners(polygons, size, thin)])
    made = mesh_planar(planar, size, order=order, growth=_GROWTH, fine_points=fine)
    return SectionMesh(made.mesh, made.tags)


class _Sides:
    """All sides of the polygons, material to the left, and how thick it is behind them."""

    def __init__(self, polygons: Sequence[Polygon]) -> None:
        rings = shapely.get_rings([orient(polygon) for polygon in polygons])
        points, ring = shapely.get_coordinates(rings, return_index=True)
        same = ring[1:] == ring[:-1]
        self.start, self.end = points[:-1][same], points[1:][same]
        self.length = np.linalg.norm(self.end - self.start, axis=1)
        self._tree = shapely.STRtree(list(shapely.linestrings(np.stack([self.start, self.end], axis=1))))

    def thickness(self, count: np.ndarray, reach: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Side, place (n, 2) and thickness at ``count`` evenly spread points per side; infinite beyond ``reach``."""
        side = np.repeat(np.arange(len(count)), count)
        share = (np.arange(len(side)) - np.repeat(np.cumsum(count) - count, count) + 0.5) / count[side]
        along = ((self.end - self.start) / self.length[:, None])[side]
        point = self.start[side] + share[:, None] * (self.end - self.start)[side]
        inward = np.column_stack([-along[:, 1], along[:, 0]])
        rays = shapely.linestrings(np.stack([point + SLIVER_MM * inward, point + reach * inward], axis=1))
        ray, hit = self._tree.query(rays, predicate="intersects")
        across = self.end[hit] - self.start[hit]
        slope = inward[ray, 0] * across[:, 1] - inward[ray, 1] * across[:, 0]
        arm = self.start[hit] - point[ray]
        with np.errstate(divide="ignore", invalid="ignore"):  # sides parallel to a ray bound nothing
            distance = (arm[:, 0] * across[:, 1] - arm[:, 1] * across[:, 0]) / slope
        thickness = np.full(len(point), np.inf)
        np.minimum.at(thickness, ray, np.where(distance > SLIVER_MM, distance, np.inf))
        return side, point, thickness


def _thin_places(polygons: Sequence[Polygon], size: float) -> np.ndarray:
    """Points (n, 3) of the borders with half the thickness behind them, where that is below ``size``."""
    sides, reach = _Sides(polygons), 2 * size
    count = np.ceil(sides.length / size).astype(int)
    side, _, thickness = sides.thickness(count, reach)
    least = np.full(len(count), np.inf)
    np.minimum.at(least, side, thickness)
    least = np.maximum(least, 2 * size / _FINEST)
    thin = least < reach
    count = np.where(thin, np.ceil(sides.length / np.where(thin, least, 1.0)), 0).astype(int)
    _, point, thickness = sides.thickness(count, reach)
    thin = thickness < reach
    return np.column_stack([point[thin], np.maximum(thickness[thin] / 2, size / _FINEST)])


def _corners(polygons: Sequence[Polygon], size: float, thin: np.ndarray) -> np.ndarray:
    """Re-entrant corners (n, 3) with the edge length wanted there."""
    found = []
    for polygon in map(orient, polygons):
        for ring in (polygon.exterior, *polygon.interiors):
            points = np.asarray(ring.coords)
            found.append(points[:-1][turns(np.vstack([points[-2], points])) < -_REENTRANT])
    corners = np.unique(np.concatenate(found), axis=0)
    wanted = np.full(len(corners), size)
    if len(thin) and len(corners):
        distance, nearest = cKDTree(thin[:, :2]).query(corners)
        wanted = np.minimum(wanted, thin[nearest, 2] + _GROWTH * distance)
    return np.column_stack([corners, wanted / _CORNER])
