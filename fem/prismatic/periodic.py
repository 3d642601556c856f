"""One period of a plan mesh with its rim closed: what is one in the periodic plan gets one number."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import scipy.sparse as sp
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from fem.numerics.edges import SHARES
from fem.numerics.mesh import PlanMesh
from fem.numerics.solve import minimum_degree
from fem.numerics.triangle import EDGES, edge_coefficients

_CLOSE = 1e-7  # share of a period
_SORTING_ANGLE = 0.7234  # rad; a direction that no pattern has an edge normal to


@dataclass(frozen=True)
class Period:
    """Elements of one period, ready for shape functions of any order (`fem.numerics.triangle`).

    Attributes
    ----------
    lattice : ndarray, shape (2, 2)
        Period vectors as rows, mm.
    corners : ndarray, shape (n_elements, 3, 2)
        Vertices in mm, sorted along one direction of the plane.
    bends : ndarray, shape (n_elements, 3, 7, 2)
        Coefficients of the edge functions of order 2 to 8 that bend the edges 01, 12, 02 onto the true curves, mm.
    vertex, edge : ndarray of int, shape (n_elements, 3)
        Numbers of vertices and edges, copies counted once.
    free : ndarray of bool, shape (n_elements, 3)
        Whether an edge lies on the surface of the solid.
    n_vertices, n_edges : int
        Numbers of distinct vertices and edges.
    anchors : ndarray of int
        One vertex of every body.
    periods : tuple of ndarray of int, shape (l, 2)
        For every body, the periods over which it is joined to its own copies, see `spans`.
    """

    lattice: np.ndarray
    corners: np.ndarray
    bends: np.ndarray
    vertex: np.ndarray
    edge: np.ndarray
    free: np.ndarray
    n_vertices: int
    n_edges: int
    anchors: np.ndarray
    periods: tuple[np.ndarray, ...]

    @cached_property
    def elimination(self) -> np.ndarray:
        """Place of every vertex, then of every edge, in the order of elimination."""
        nodes = np.concatenate([self.vertex, self.n_vertices + self.edge], axis=1)
        return minimum_degree(nodes, self.n_vertices + self.n_edges)

    @property
    def area(self) -> float:
        """Plan area of one period, voids included, mm^2."""
        return abs(float(np.linalg.det(self.lattice)))


def close_period(plan: PlanMesh, lattice: np.ndarray) -> Period:
    """Sort the vertices of every element and give one number to what is one modulo the lattice.

    Parameters
    ----------
    plan : PlanMesh
        Mesh of a fundamental domain: only its rim may have copies.
    lattice : ndarray, shape (2, 2)
        Period vectors as rows, mm.
    """
    lattice = np.asarray(lattice, dtype=float)
    n = plan.mesh.nvertices
    points = plan.mesh.doflocs.T[:n]
    along = points @ [np.cos(_SORTING_ANGLE), np.sin(_SORTING_ANGLE)]
    order = np.argsort(along[plan.mesh.t.T], axis=1)
    vertex = np.take_along_axis(plan.mesh.t.T, order, axis=1)

    ends = np.stack([vertex[:, list(pair)] for pair in EDGES], axis=1)
    key, edge, count = np.unique(_edge_key(ends, n).ravel(), return_inverse=True, return_counts=True)
    edge = edge.reshape(-1, 3)
    rim = np.flatnonzero(count == 1)
    rim_ends = np.stack([key[rim] // n, key[rim] % n], axis=1)
    edge_pairs = rim[matches(points[rim_ends].mean(axis=1), lattice)]
    rim_vertices = np.unique(rim_ends)
    vertex_pairs = rim_vertices[matches(points[rim_vertices], lattice)]
    n_vertices, vertex_label = merge(n, vertex_pairs)
    n_edges, edge_label = merge(len(key), edge_pairs)
    anchors, periods = spans(points, np.concatenate([vertex[:, :2], vertex[:, 1:]]), vertex_pairs, lattice)
    label = edge_label[edge]
    return Period(
        lattice=lattice,
        corners=points[vertex],
        bends=_bends(plan, points, along, key)[edge],
        vertex=vertex_label[vertex],
        edge=label,
        free=(np.bincount(label.ravel(), minlength=n_edges) == 1)[label],
        n_vertices=n_vertices,
        n_edges=n_edges,
        anchors=vertex_label[anchors],
        periods=periods,
    )


def _edge_key(ends: np.ndarray, n: int) -> np.ndarray:
    """One whole number per edge (..., 2) of vertex numbers below n."""
    found: np.ndarray = ends.min(axis=-1).astype(np.int64) * n + ends.max(axis=-1)
    return found


def _bends(plan: PlanMesh, points: np.ndarray, along: np.ndarray, key: np.ndarray) -> np.ndarray:
    """Bending coefficients (n_edges, 7, 2) of all edges, each run the way the elements run it."""
    bends = np.zeros((len(key), len(SHARES), 2))
    first, last = plan.edges[:2]
    at = np.searchsorted(key, _edge_key(np.stack([first, last], axis=1), len(points)))
    backward = along[first] > along[last]
    traces = np.where(backward[:, None, None], plan.traces[:, ::-1], plan.traces)
    start = points[np.where(backward, last, first)][:, None]
    end = points[np.where(backward, first, last)][:, None]
    deviation = traces - start - SHARES[:, None] * (end - start)
    straight = np.abs(deviation).max(axis=(1, 2)) < 1e-10 * np.linalg.norm(end - start, axis=2)[:, 0]
    deviation[straight] = 0
    bends[at] = edge_coefficients(SHARES, deviation)
    return bends


def fractional(points: np.ndarray, lattice: np.ndarray) -> np.ndarray:
    """Return points (n, 2) in units of the period vectors, the rows of ``lattice`` (2, 2)."""
    return points @ np.linalg.inv(lattice)


def matches(points: np.ndarray, lattice: np.ndarray) -> np.ndarray:
    """Return the pairs (m, 2) of points (n, 2) that differ by whole periods."""
    share = np.mod(fractional(points, lattice), 1.0)
    share[share >= 1.0] = 0.0  # round-off of mod
    found: np.ndarray = cKDTree(share, boxsize=np.ones(2)).query_pairs(_CLOSE, output_type="ndarray")
    return found


def merge(count: int, pairs: np.ndarray) -> tuple[int, np.ndarray]:
    """Return the number of distinct points and the label (count,) of each, given pairs (m, 2) that are one."""
    graph = sp.coo_matrix((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(count, count))
    groups, label = connected_components(graph, directed=False)
    return int(groups), np.asarray(label)


def spans(
    points: np.ndarray, bonds: np.ndarray, pairs: np.ndarray, lattice: np.ndarray
) -> tuple[np.ndarray, tuple[np.ndarray, ...]]:
    """Find the bodies of a periodic solid and the periods over which each is connected with its own copies.

    Parameters
    ----------
    points : ndarray, shape (n, 2)
        Vertices, mm.
    bonds : ndarray, shape (m, 2)
        Vertices joined by material.
    pairs : ndarray, shape (k, 2)
        Vertices that are one in the periodic plan.
    lattice : ndarray, shape (2, 2)
        Period vectors as rows.

    Returns
    -------
    anchors : ndarray of int
        One vertex of every body of the periodic solid.
    periods : tuple of ndarray of int, shape (l, 2)
        For every body, the whole-number combinations of the period vectors by which it is joined to its own copies.
        Rank 2: it carries any plane stress; rank 1: only tension along that direction; rank 0: an island.
    """
    _, piece = merge(len(points), bonds)
    share = fractional(points, lattice)
    jump = np.rint(share[pairs[:, 0]] - share[pairs[:, 1]]).astype(int)
    links: dict[int, set[tuple[int, int, int]]] = {}
    for (a, b), (i, j) in zip(piece[pairs].tolist(), jump.tolist(), strict=True):
        links.setdefault(a, set()).add((b, i, j))
        links.setdefault(b, set()).add((a, -i, -j))
    place: dict[int, tuple[int, int]] = {}
    anchors, found = [], []
    for start in range(int(piece.max()) + 1):
        if start in place:
            continue
        anchors.append(int(np.flatnonzero(piece == start)[0]))
        place[start] = (0, 0)
        waiting, periods = [start], set()
        while waiting:
            here = waiting.pop()
            for other, i, j in links.get(here, ()):
                there = (place[here][0] + i, place[here][1] + j)
                if other not in place:
                    place[other] = there
                    waiting.append(other)
                periods.add((there[0] - place[other][0], there[1] - place[other][1]))
        found.append(np.array(sorted(periods - {(0, 0)}), dtype=int).reshape(-1, 2))
    return np.array(anchors), tuple(found)
