"""Symmetry and periodicity by elimination: unknowns that must be equal, opposite or zero become one or none.

A cell that a motion x -> S x + c leaves as it is, under a mean strain E that the motion turns into p E (p = 1 or
-1), deforms alike: its fluctuation obeys v(S x + c) = p S v(x). A translation has S = 1 and p = 1: periodicity. A
mirror plane ties its own nodes to themselves, which leaves the normal or the tangential part free. So the same ties
serve every boundary of a fundamental domain, and only the sign p changes with the load.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import scipy.sparse as sp
from scipy.spatial import cKDTree

from patterns.errors import SolverError


@dataclass(frozen=True)
class Tie:
    """Nodes ``images[k]`` are where a motion takes nodes ``nodes[k]``.

    Attributes
    ----------
    nodes, images : ndarray of int, shape (n,)
        Node numbers.
    turn : ndarray, shape (d, d)
        S, a signed permutation of the components.
    """

    nodes: np.ndarray
    images: np.ndarray
    turn: np.ndarray

    def parity(self, strain: np.ndarray) -> int:
        """Return p for a mean strain (d, d) that the motion keeps or reverses."""
        return 1 if np.sum(self.turn @ strain @ self.turn.T * strain) > 0 else -1


def tie(points: np.ndarray, nodes: np.ndarray, images: np.ndarray, turn: np.ndarray, size: float) -> Tie:
    """Return the tie that moves some nodes to given places.

    Parameters
    ----------
    points : ndarray, shape (n_points, d)
        All nodes, in any coordinates.
    nodes : ndarray of int, shape (n,)
        Nodes to be tied.
    images : ndarray, shape (n, d)
        Where the motion takes them, in the coordinates of ``points``.
    turn : ndarray
        S in the components of displacement.
    size : float
        Length of the cell; places closer than 1e-7 of it are the same.

    Raises
    ------
    SolverError
        If there is no node in such a place.
    """
    distance, found = cKDTree(points).query(images)
    if len(nodes) and distance.max() > 1e-7 * size:
        raise SolverError(f"the mesh is not symmetric: a node is {distance.max():.3g} mm from its image")
    return Tie(np.asarray(nodes), np.asarray(found), turn)


def fold(n_nodes: int, ties: Sequence[Tie], strain: np.ndarray) -> sp.csr_matrix:
    """Return the sparse P (n_nodes * d, n_unknowns) with v = P @ unknowns, components of a node side by side.

    Every unknown x is doubled into +x and -x; ties join these, and what is joined is equal. Where +x and -x are
    joined with each other, x is zero.
    """
    d = strain.shape[0]
    n = n_nodes * d
    ones, others = [], []
    for each in ties:
        to, source = np.nonzero(each.turn)
        sign = each.parity(strain) * each.turn[to, source]
        one = d * each.nodes[:, None] + source
        other = d * each.images[:, None] + to + np.where(sign < 0, n, 0)
        ones += [one.ravel(), (one + n).ravel()]
        others += [other.ravel(), ((other + n) % (2 * n)).ravel()]
    i, j = np.concatenate(ones), np.concatenate(others)
    graph = sp.coo_matrix((np.ones(len(i)), (i, j)), shape=(2 * n, 2 * n))
    _, label = sp.csgraph.connected_components(graph, directed=False)
    plus, minus = label[:n], label[n:]
    free = np.flatnonzero(plus != minus)
    group = np.minimum(plus[free], minus[free])
    column = np.unique(group, return_inverse=True)[1]
    sign = np.where(plus[free] == group, 1.0, -1.0)
    return sp.csr_matrix((sign, (free, column)), shape=(n, column.max() + 1 if len(column) else 0))


class Folded:
    """The product with what `fold` returns by indices: every displacement is plus or minus one unknown, or zero.

    Parameters
    ----------
    P : sparse matrix, shape (n, size)
        As `fold` returns it.

    Attributes
    ----------
    first : ndarray of int, shape (size,)
        A displacement that is each unknown, or its opposite.
    """

    def __init__(self, P: sp.csr_matrix) -> None:
        self.matrix, self.size = P, P.shape[1]
        moves = np.diff(P.indptr) > 0
        start = np.minimum(P.indptr[:-1], len(P.indices) - 1)
        self._unknown = np.where(moves, P.indices[start], 0)
        self._sign = np.where(moves, P.data[start], 0.0).astype(np.float32)  # exact: -1, 0 or 1
        self.first = self.one_of(moves)
        moves[self.first] = False
        self._others = np.flatnonzero(moves)
        self._rest = sp.csr_matrix(P[self._others].T, dtype=np.float32)

    def one_of(self, wanted: np.ndarray) -> np.ndarray:
        """Return for every unknown one of the displacements (size,) among the ``wanted`` ones (n,) that it moves."""
        rows = np.flatnonzero(wanted & (self._sign != 0))
        return rows[np.unique(self._unknown[rows], return_index=True)[1]]

    def entries(self, rows: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Return the unknown behind some displacements and its sign, 0 where they are zero."""
        return self._unknown[rows], self._sign[rows]

    def up(self, x: np.ndarray) -> np.ndarray:
        """Return all displacements (n,) for the unknowns x (size,)."""
        return np.take(x, self._unknown) * self._sign

    def down(self, forces: np.ndarray) -> np.ndarray:
        """Return the forces (size,) that all forces (n,) exert on the unknowns."""
        found = np.take(forces, self.first) * self._sign[self.first]
        answer: np.ndarray = found + self._rest @ np.take(forces, self._others)
        return answer

    def sums(self, diagonal: np.ndarray) -> np.ndarray:
        """Return the sums (size,) of a diagonal (n,) over the displacements that are one unknown."""
        answer: np.ndarray = abs(self.matrix).T @ diagonal
        return answer

    def between(self, apply: Callable[[np.ndarray], np.ndarray]) -> Callable[[np.ndarray], np.ndarray]:
        """Return a stiffness that is applied to all displacements as one that is applied to the unknowns."""
        return lambda x: self.down(apply(self.up(x)))
