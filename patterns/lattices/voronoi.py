"""Irregular convex cells around random points, periodic and continuous through the layers."""

import math
from itertools import pairwise

import numpy as np

from patterns.cells.net import Corner, Net
from patterns.kinds.net import NetPattern
from patterns.kinds.option import Option

_EVENING = 5  # moves of all points to their cells' centroids (Lloyd), lest tiny cells close at low fills


def voronoi(seed: int, cells: int) -> Net:
    """Return a square period of ``cells`` cells of mean area 1."""
    side = math.sqrt(cells)
    points = np.random.default_rng(seed).uniform(0, side, (cells, 2))
    for _ in range(_EVENING):
        points = np.mod(np.array([_centroid(ring) for ring in _rings(points, side)]), side)
    rings = _rings(points, side)
    nodes, places = _shared_nodes(np.concatenate(rings), side)
    ends = np.cumsum([len(ring) for ring in rings])[:-1]
    faces = tuple(tuple(places[k] for k in part) for part in np.split(np.arange(len(places)), ends))
    return Net(side * np.eye(2), nodes, faces, _edges_once(faces))


def _rings(points: np.ndarray, side: float) -> list[np.ndarray]:
    """Corners (n, 2) of the cell around each point, anticlockwise, in a plan of 3 x 3 copies."""
    from scipy.spatial import Voronoi

    steps = side * np.array([[i, j] for i in (-1, 0, 1) for j in (-1, 0, 1)])
    order = np.argsort(np.abs(steps).sum(axis=1), kind="stable")  # the points themselves first
    diagram = Voronoi((steps[order][:, None, :] + points).reshape(-1, 2))
    rings = []
    for number, point in enumerate(points):
        corners = diagram.vertices[diagram.regions[diagram.point_region[number]]]
        rings.append(corners[np.argsort(np.arctan2(*(corners - point).T[::-1]))])
    return rings


def _centroid(ring: np.ndarray) -> np.ndarray:
    x, y = ring.T
    cross = x * np.roll(y, -1) - y * np.roll(x, -1)
    found: np.ndarray = ((ring + np.roll(ring, -1, axis=0)) * cross[:, None]).sum(axis=0) / (3 * cross.sum())
    return found


def _shared_nodes(corners: np.ndarray, side: float) -> tuple[np.ndarray, list[Corner]]:
    """Nodes (n, 2) of one period, and every corner as a node with its whole steps."""
    from scipy.spatial import cKDTree

    folded = np.mod(corners, side)
    folded[folded >= side] = 0.0
    tree = cKDTree(folded, boxsize=np.full(2, side))
    first = np.array([min(near) for near in tree.query_ball_point(folded, 1e-9 * side)])
    kept, number = np.unique(first, return_inverse=True)
    nodes = corners[kept]
    step = np.rint((corners - nodes[number]) / side).astype(int)
    return nodes, [(int(n), int(i), int(j)) for n, (i, j) in zip(number, step, strict=True)]


def _edges_once(faces: tuple[tuple[Corner, ...], ...]) -> tuple[tuple[Corner, ...], ...]:
    """Every edge once, its first node not moved."""
    found = set()
    for face in faces:
        for (a, i, j), (b, k, m) in pairwise((*face, face[0])):
            there, back = (a, b, k - i, m - j), (b, a, i - k, j - m)
            found.add(min(there, back))
    return tuple(((a, 0, 0), (b, i, j)) for a, b, i, j in sorted(found))


PATTERN = NetPattern(
    slug="voronoi",
    build=voronoi,
    summary="irregular convex cells around random points, evened out; periodic and seeded",
    pitch_means="mean cell size (square root of the mean cell area)",
    axis_1="arbitrary",
    symmetry="monoclinic",
    options=(
        Option("seed", 1, 0, 999_999, "", "random seed of the cell points", integer=True),
        Option("cells", 12, 4, 100, "", "cells in one period", integer=True),
    ),
)
