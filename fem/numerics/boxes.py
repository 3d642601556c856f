"""Many boxes that share a few element matrices: their stiffness applied without ever being assembled, and coarser.

Displacements on a coarser grid of boxes, interpolated to the finer one, span the coarser space. A coarse box's matrix
is the sum of the matrices of its parts seen from its corners, J^T K J, whatever share of each part is full: it holds
exactly the energy that the fine grid has under these displacements.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import scipy.sparse as sp

from fem.numerics.tensor_elements import assemble

_AT_ONCE = 10_000  # boxes


@dataclass(frozen=True)
class Boxes:
    """Boxes of a grid.

    Attributes
    ----------
    cells : ndarray of int, shape (m, 8)
        Nodes of the corners, in the order of `fem.numerics.box_element.CORNERS`.
    place : ndarray of int, shape (m, 3)
        Interval of the grid along each axis.
    matrices : ndarray, shape (24, 24) or (m, 24, 24)
        Stiffness of one box of weight 1, shared by all or of each its own, N/mm.
    weights : ndarray, shape (m,)
    """

    cells: np.ndarray
    place: np.ndarray
    matrices: np.ndarray
    weights: np.ndarray

    @property
    def full(self) -> np.ndarray:
        """Stiffness (m, 24, 24) of every box."""
        answer: np.ndarray = self.weights[:, None, None] * self.matrices
        return answer

    @property
    def diagonals(self) -> np.ndarray:
        """Diagonals (m, 24) of the boxes' stiffness."""
        answer: np.ndarray = self.weights[:, None] * np.diagonal(self.matrices, axis1=-2, axis2=-1)
        return answer


@dataclass(frozen=True)
class Merging:
    """Which intervals of a grid merge along one axis, and where in the merged one each of them lies.

    Attributes
    ----------
    parent : ndarray of int, shape (n,)
        Number of the merged interval.
    ends : ndarray, shape (n, 2)
        Where each interval starts and ends in it, 0 to 1.
    """

    parent: np.ndarray
    ends: np.ndarray

    @classmethod
    def of(cls, line: np.ndarray, times: int) -> "Merging":
        """Merge every ``times`` intervals between planes at ``line`` (n + 1,); the last one may hold fewer."""
        parent = np.arange(len(line) - 1) // times
        merged = np.append(line[:-1:times], line[-1])
        low, size = merged[parent], np.diff(merged)[parent]
        return cls(parent, np.column_stack([line[:-1] - low, line[1:] - low]) / size[:, None])


class BoxOperator:
    """The stiffness of boxes, by gathering, multiplying and adding up: ``operator(u)`` is K u for u (3 n,).

    Parameters
    ----------
    groups : sequence of Boxes
        Each with one matrix shared by all its boxes.
    n_nodes : int
        Number of nodes.
    springs : sparse matrix, shape (n_nodes, n_nodes), optional
        Alike for every component, N/mm.
    dtype : data type
        Precision in which the operator works.
    """

    def __init__(
        self,
        groups: Sequence[Boxes],
        n_nodes: int,
        springs: sp.csr_matrix | None = None,
        dtype: type[np.floating] = np.float64,
    ) -> None:
        self._corners = np.concatenate([group.cells.ravel() for group in groups])
        weights = np.repeat(np.concatenate([group.weights for group in groups]), 8).astype(dtype)
        where = (self._corners, np.arange(len(self._corners)))
        self._add = sp.csr_matrix((weights, where), shape=(n_nodes, len(weights)))
        self._matrices = [group.matrices.astype(dtype) for group in groups]
        self._ends = np.cumsum([len(group.cells) for group in groups])
        self._springs = None if springs is None else springs.astype(dtype)

    def __call__(self, u: np.ndarray) -> np.ndarray:
        """Return the nodal forces (3 n,) of displacements (3 n,)."""
        u = u.reshape(-1, 3)
        local = np.take(u, self._corners, axis=0, mode="clip").reshape(-1, 24)
        pulls, start = np.empty_like(local), 0
        for matrix, end in zip(self._matrices, self._ends, strict=True):
            np.matmul(local[start:end], matrix, out=pulls[start:end])
            start = end
        forces = self._add @ pulls.reshape(-1, 3)
        answer: np.ndarray = (forces if self._springs is None else forces + self._springs @ u).ravel()
        return answer


def diagonal(groups: Sequence[Boxes], n_nodes: int, springs: sp.csr_matrix | None = None) -> np.ndarray:
    """Return the diagonal (3 n_nodes,) of the stiffness of boxes and springs."""
    found = np.zeros(3 * n_nodes) if springs is None else np.repeat(springs.diagonal(), 3)
    for group in groups:
        rows = (3 * group.cells[:, :, None] + np.arange(3)).ravel()
        found += np.bincount(rows, group.diagonals.ravel(), 3 * n_nodes)
    return found


def largest_eigenvalue(matrices: np.ndarray) -> float:
    """Return a bound on the eigenvalues of boxes' stiffness (m, 24, 24) against its diagonal.

    It is the largest of any box, from above by the sixteenth powers' sum, which is less than a fifth more.
    """
    root = 1 / np.sqrt(np.diagonal(matrices, axis1=1, axis2=2))
    power = (matrices * root[:, :, None] * root[:, None, :]).astype(np.float32)
    for _ in range(3):
        power = power @ power
    largest = (power**2).sum(axis=(1, 2)).max() ** (1 / 16)
    return max(1.0001 * float(largest), 2.0)  # 2: a spring between two nodes


def assembled(groups: Sequence[Boxes], n_nodes: int, dtype: type[np.floating] = np.float64) -> sp.csr_matrix:
    """Return the stiffness (3 n_nodes, 3 n_nodes) of boxes, a part of them at a time."""
    K = sp.csr_matrix((3 * n_nodes, 3 * n_nodes), dtype=dtype)
    for group in groups:
        for start in range(0, len(group.cells), _AT_ONCE):
            some = slice(start, start + _AT_ONCE)
            full = group.weights[some, None, None] * (
                group.matrices if group.matrices.ndim == 2 else group.matrices[some]
            )
            K = K + assemble(full.astype(dtype), group.cells[some], n_nodes)
    return K


def coarser(groups: Sequence[Boxes], mergings: Sequence[Merging]) -> tuple[np.ndarray, np.ndarray]:
    """Return the coarse boxes that merging makes of boxes.

    Returns
    -------
    tuple of ndarray (m, 3) of int, ndarray (m, 24, 24)
        Place of every coarse box in the merged grid, and its stiffness.
    """
    shape = [merge.parent[-1] + 1 for merge in mergings]
    keys = [np.ravel_multi_index(tuple(parents(group, mergings).T), shape) for group in groups]
    found, number = np.unique(np.concatenate(keys), return_inverse=True)
    matrices = np.zeros((len(found), 576))
    for group, own in zip(groups, np.split(number, np.cumsum([len(key) for key in keys])[:-1]), strict=True):
        shares, kind = _shares(group, mergings)
        turn = np.kron(shares, np.eye(3))  # (n_kinds, 24, 24)
        if group.matrices.ndim == 2:
            held = np.zeros((len(found), len(shares)))
            held[own, kind] = group.weights  # no two boxes of a kind have the same parent
            seen = turn.transpose(0, 2, 1) @ group.matrices @ turn
            matrices += held @ seen.reshape(len(shares), 576)
        else:
            for each, J in enumerate(turn):
                some = np.flatnonzero(kind == each)
                own_matrices = group.weights[some, None, None] * group.matrices[some]
                matrices[own[some]] += (J.T @ own_matrices @ J).reshape(-1, 576)
    return np.column_stack(np.unravel_index(found, shape)), matrices.reshape(-1, 24, 24)


def interpolation(
    boxes: Boxes, mergings: Sequence[Merging], n_nodes: int, corners: np.ndarray, n_coarse: int
) -> sp.csr_matrix:
    """Return the matrix (n_nodes, n_coarse) from displacements of coarse nodes to those of the boxes' own nodes.

    Parameters
    ----------
    boxes, mergings
        As in `coarser`.
    n_nodes, n_coarse : int
        Number of nodes on both grids.
    corners : ndarray of int, shape (m, 8)
        Coarse nodes at the corners of every box's coarse box.
    """
    shares, kind = _shares(boxes, mergings)
    nodes, first = np.unique(boxes.cells.ravel(), return_index=True)
    box, corner = np.divmod(first, 8)
    values, columns = shares[kind[box], corner], corners[box]
    keep = values > 0
    rows = np.broadcast_to(nodes[:, None], values.shape)[keep]
    return sp.csr_matrix((values[keep], (rows, columns[keep])), shape=(n_nodes, n_coarse))


def parents(group: Boxes, mergings: Sequence[Merging]) -> np.ndarray:
    """Return the place (m, 3) of every box's coarse box in the merged grid."""
    return np.column_stack([merge.parent[group.place[:, axis]] for axis, merge in enumerate(mergings)])


def _shares(group: Boxes, mergings: Sequence[Merging]) -> tuple[np.ndarray, np.ndarray]:
    """Return what part the coarse corners have in a box's own, (n_kinds, 8, 8) by its place, and its kind (m,)."""
    shares, kind = np.ones((1, 1, 1)), np.zeros(len(group.place), dtype=np.int64)
    for axis, merge in enumerate(mergings):
        ends, which = np.unique(np.round(merge.ends, 9), axis=0, return_inverse=True)
        line = np.stack([1 - ends, ends], axis=-1)  # (kinds of the axis, 2, 2)
        size = 2 * shares.shape[1]
        shares = np.einsum("aij,bkl->abikjl", shares, line).reshape(-1, size, size)
        kind = kind * len(ends) + which.ravel()[group.place[:, axis]]
    return shares, kind
