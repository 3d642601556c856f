"""Zones of a section as tiles that share their borders to the last digit."""

from collections.abc import Sequence

import numpy as np
import shapely
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree
from shapely import MultiPolygon, Polygon

from patterns.errors import InputError
from patterns.outlines.outline import SNAP_MM

SLIVER_MM = 5e-3
"""Overlaps, enclosed gaps and remnants narrower than this are closed: far below what a printer resolves."""

_VOID = -1


def tile(zones: Sequence[Polygon | MultiPolygon]) -> tuple[list[Polygon], np.ndarray]:
    """Cut zones into polygons that share the vertices of their common borders.

    Parameters
    ----------
    zones : sequence of Polygon or MultiPolygon
        (y, z) in mm; they may touch but not overlap. What no zone covers is void.

    Returns
    -------
    polygons : list of Polygon
        Connected pieces; neighbours share every vertex of their border.
    owner : ndarray of int, shape (n_polygons,)
        Number of the zone that each piece belongs to.

    Raises
    ------
    InputError
        If a zone is not a simple area, two zones overlap, or nothing is left.
    """
    parts, owner = _parts(zones)
    _refuse_overlap(parts, owner)
    faces = _faces(parts)
    label = _owners(faces, parts, owner)
    sides, lengths = _edges(faces)
    _close_slivers(faces, label, sides, lengths)
    return _joined(faces, label, sides)


def _parts(zones: Sequence[Polygon | MultiPolygon]) -> tuple[np.ndarray, np.ndarray]:
    """Single polygons and the zone each comes from."""
    for k, zone in enumerate(zones):
        if not isinstance(zone, Polygon | MultiPolygon):
            raise InputError(f"zone {k} of the section is a {type(zone).__name__}: it must be an area")
        if not zone.is_valid:
            raise InputError(f"zone {k} of the section: {shapely.is_valid_reason(zone)}; mend its outline")
    parts, owner = shapely.get_parts(np.array(zones, dtype=object), return_index=True)
    solid = shapely.area(parts) > 0
    if not solid.any():
        raise InputError("the section has no area: all its zones are empty")
    return parts[solid], owner[solid]


def _refuse_overlap(parts: np.ndarray, owner: np.ndarray) -> None:
    first, second = shapely.STRtree(parts).query(parts, predicate="intersects")
    pairs = first < second
    first, second = first[pairs], second[pairs]
    shared = shapely.intersection(parts[first], parts[second])
    wide = np.asarray(shapely.area(shared) > SLIVER_MM * shapely.length(shared) / 2)
    if wide.any():
        k = int(np.argmax(np.where(wide, shapely.area(shared), 0)))
        at = shared[k].representative_point()
        raise InputError(
            f"zones {owner[first[k]]} and {owner[second[k]]} of the section overlap by "
            f"{shared[k].area:.3g} mm2 near ({at.x:.4g}, {at.y:.4g}) mm; cut one out of the other"
        )


def _faces(parts: np.ndarray) -> np.ndarray:
    """All faces of the borders' line work, voids included, with the vertices the zones were given."""
    lines = shapely.union_all(shapely.boundary(parts), grid_size=SNAP_MM)
    faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(lines)))
    given = shapely.get_coordinates(parts)
    tree = cKDTree(given)

    def unrounded(points: np.ndarray) -> np.ndarray:
        distance, nearest = tree.query(points)
        return np.where((distance <= SNAP_MM)[:, None], given[nearest], points)

    faces = shapely.remove_repeated_points(shapely.transform(faces, unrounded))
    found: np.ndarray = faces[shapely.area(faces) > 0]
    return found


def _owners(faces: np.ndarray, parts: np.ndarray, owner: np.ndarray) -> np.ndarray:
    """Zone of every face, -1 for void."""
    label = np.full(len(faces), _VOID)
    face, part = shapely.STRtree(parts).query(shapely.point_on_surface(faces), predicate="intersects")
    label[face] = owner[part]
    return label


def _edges(faces: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Faces (n, 2) at both sides of every edge, -1 outside, and the edges' lengths (n,)."""
    rings, face = shapely.get_rings(faces, return_index=True)
    points, ring = shapely.get_coordinates(rings, return_index=True)
    same = ring[1:] == ring[:-1]
    start, end, at = points[:-1][same], points[1:][same], face[ring[:-1][same]]
    turned = (start[:, 0] > end[:, 0]) | ((start[:, 0] == end[:, 0]) & (start[:, 1] > end[:, 1]))
    low, high = np.where(turned[:, None], end, start), np.where(turned[:, None], start, end)
    edges, number = np.unique(np.hstack([low, high]), axis=0, return_inverse=True)
    number = number.ravel()
    sides = np.full((len(edges), 2), len(faces))
    np.minimum.at(sides[:, 0], number, at)
    sides[:, 1] = -1
    np.maximum.at(sides[:, 1], number, at)
    sides[sides[:, 0] == sides[:, 1], 1] = -1
    return sides, np.linalg.norm(edges[:, 2:] - edges[:, :2], axis=1)


def _close_slivers(faces: np.ndarray, label: np.ndarray, sides: np.ndarray, lengths: np.ndarray) -> None:
    """Give every face that is too narrow to the zone with the longest common border, in place."""
    narrow = np.flatnonzero(2 * shapely.area(faces) < SLIVER_MM * shapely.length(faces))
    for k in narrow[np.argsort(shapely.area(faces[narrow]))]:
        here = (sides == k).any(axis=1)
        other = np.where(sides[here, 0] == k, sides[here, 1], sides[here, 0])
        beside = np.where(other < 0, _VOID, label[other])
        solid = beside != _VOID
        if solid.any():
            zones, which = np.unique(beside[solid], return_inverse=True)
            label[k] = zones[np.argmax(np.bincount(which.ravel(), lengths[here][solid]))]
        else:
            label[k] = _VOID


def _joined(faces: np.ndarray, label: np.ndarray, sides: np.ndarray) -> tuple[list[Polygon], np.ndarray]:
    """Pieces of one zone that share edges, merged; voids dropped."""
    inner = sides[(sides >= 0).all(axis=1)]
    inner = inner[label[inner[:, 0]] == label[inner[:, 1]]]
    graph = coo_matrix((np.ones(len(inner)), inner.T), shape=(len(faces), len(faces)))
    _, group = connected_components(graph, directed=False)
    polygons: list[Polygon] = []
    owner: list[int] = []
    for number in np.unique(group[label != _VOID]):
        members = np.flatnonzero(group == number)
        merged = faces[members[0]] if len(members) == 1 else shapely.union_all(faces[members])
        pieces = list(shapely.get_parts(merged))
        polygons += pieces
        owner += [int(label[members[0]])] * len(pieces)
    if not polygons:
        raise InputError(f"the section is nowhere wider than {SLIVER_MM} mm")
    return polygons, np.array(owner)
