"""The same stack on coarser and coarser boxes, and the multigrid solver that they make for one kind of load.

Coarse nodes of neighbouring layers are one wherever a weld comes near. That leaves the coarse space smaller than it
might be, never wrong.
"""

from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise

import numpy as np
import scipy.sparse as sp

from fem.layered.stack_system import System, closed, corner_nodes, motion_ties
from fem.layered.voxels import VoxelGrid
from fem.numerics.boxes import (
    Boxes,
    BoxOperator,
    Merging,
    coarser,
    diagonal,
    interpolation,
    largest_eigenvalue,
    parents,
)
from fem.numerics.multigrid import Apply, Level, Multigrid
from fem.numerics.symmetry import Folded, Tie, fold
from fem.numerics.tensor_elements import assemble

_FEW = 1500  # boxes whose stiffness is factored at once
_SAMPLED = np.arange(36)  # angles, in 5 degrees, at which a turned material's eigenvalues are looked at


@dataclass(frozen=True)
class _Coarse:
    """A coarse grid, before any symmetry.

    Attributes
    ----------
    grid : VoxelGrid
    welded : ndarray of bool, shape (layers, side, side)
        Which nodes on top of a layer are one with those below the next.
    boxes : Boxes
        Each with its own matrix.
    ties : tuple of Tie
    n_nodes : int
    up : sparse matrix, shape (3 n_finer, 3 n)
        Displacements of the finer grid's nodes that its boxes use; other rows are empty.
    """

    grid: VoxelGrid
    welded: np.ndarray
    boxes: Boxes
    ties: tuple[Tie, ...]
    n_nodes: int
    up: sp.csr_matrix

    @cached_property
    def stiffness(self) -> sp.csr_matrix:
        """N/mm, before any symmetry, (3 n, 3 n)."""
        return assemble(self.boxes.full, self.boxes.cells, self.n_nodes)


class StackSolver:
    """Solves a system for any load, with a hierarchy of coarser grids that all loads share.

    Parameters
    ----------
    system : System
    """

    def __init__(self, system: System) -> None:
        self._system, n = system, len(system.nodes)
        self.operator = BoxOperator(system.boxes, n, system.springs)
        self._coarse: list[_Coarse] = []
        boxes, grid, nodes, welded = system.boxes, system.grid, system.nodes, system.grid.welded > 0
        while len(boxes[0].cells) > _FEW and (half := halved(grid)) is not None:
            coarse, numbers = _coarse(half, grid, boxes, len(nodes), welded)
            self._coarse.append(coarse)
            boxes, grid, nodes, welded = [coarse.boxes], half, numbers, coarse.welded
        self._parts = self._smoothed() if self._coarse else []

    def _smoothed(self) -> list[tuple[Apply, np.ndarray, float]]:
        """Return the stiffness in single precision, its diagonal and its bound for every level but the coarsest."""
        system, n = self._system, len(self._system.nodes)
        single = BoxOperator(system.boxes, n, system.springs, np.float32)
        bound = largest_eigenvalue(_sampled(system))
        found: list[tuple[Apply, np.ndarray, float]] = [
            (single, diagonal(system.boxes, n, system.springs), bound)
        ]
        for coarse in self._coarse[:-1]:
            K, bound = coarse.stiffness, largest_eigenvalue(coarse.boxes.full)
            found.append((sp.csr_matrix(K, dtype=np.float32).__matmul__, K.diagonal(), bound))
        return found

    def balance(
        self, strain: np.ndarray, F: np.ndarray, tolerance: float, noise: float
    ) -> tuple[np.ndarray, int]:
        """Return displacements (3 n, loads) under forces that behave like a mean strain, and the unknowns' number.

        For tolerance and noise see `fem.numerics.multigrid.Multigrid.solve`.
        """
        counts = [len(self._system.nodes), *(coarse.n_nodes for coarse in self._coarse)]
        ties = [self._system.ties, *(coarse.ties for coarse in self._coarse)]
        folds = [Folded(fold(n, own, strain)) for n, own in zip(counts, ties, strict=True)]
        levels = [
            Level(
                apply=below.between(apply),
                scale=below.sums(diagonal),
                largest=largest,
                up=_folded_up(coarse.up, below, above),
            )
            for (apply, diagonal, largest), coarse, (below, above) in zip(
                self._parts, self._coarse, pairwise(folds), strict=True
            )
        ]
        finest = folds[0]
        solver = Multigrid(finest.between(self.operator), levels, self._coarsest(folds[-1], strain))
        loads = np.stack([finest.down(f) for f in F.T], axis=-1)
        U = solver.solve(loads, tolerance, noise)
        return np.stack([finest.up(u) for u in U.T], axis=-1), len(U)

    def _coarsest(self, P: Folded, strain: np.ndarray) -> sp.csc_matrix:
        """Return the last grid's stiffness, held along every axis along which nothing else holds the cell."""
        K = self._coarse[-1].stiffness if self._coarse else _assembled(self._system)
        K = sp.csc_matrix(P.matrix.T @ K @ P.matrix)
        axis_of = P.first % 3
        held = np.zeros(K.shape[0])
        for axis in range(3):
            if all(tie.parity(strain) * tie.turn[axis, axis] > 0 for tie in self._system.ties):
                one = np.argmax(axis_of == axis)
                held[one] = K[one, one]
        return K + sp.diags_array(held)


def halved(grid: VoxelGrid) -> VoxelGrid | None:
    """Return the grid of boxes twice as wide, and twice as high or of a layer's height; None where motions miss it."""
    side = grid.side // 2
    shifts = [motion.shift_eighths[axis] for motion in grid.cell.motions for axis in (0, 1)]
    if grid.side % 2 or side < 2 or any(shift * side % 8 for shift in shifts):
        return None
    return replace(grid, side=side, sublayers=1 if grid.sublayers % 2 else grid.sublayers // 2)


def _coarse(
    half: VoxelGrid, grid: VoxelGrid, boxes: list[Boxes], n_nodes: int, welded: np.ndarray
) -> tuple[_Coarse, np.ndarray]:
    """Return the next coarser grid, and its nodes as that grid numbers them."""
    levels = len(grid.cell.layers) * grid.sublayers
    plan = Merging.of(np.arange(grid.side + 1.0), 2)
    mergings = (plan, plan, Merging.of(np.arange(levels + 1.0), grid.sublayers // half.sublayers))
    place, matrices = coarser(boxes, mergings)
    corners = _corners(half, place)
    near = _near(welded)
    layer, row, column = np.nonzero(near)
    low = half.nodes(layer, np.full_like(layer, half.sublayers), row, column)
    high = half.nodes((layer + 1) % len(near), 0 * layer, row, column)
    touched = np.isin(low, corners) | np.isin(high, corners)
    low, high = low[touched], high[touched]
    nodes = closed(half, np.concatenate([corners.ravel(), low, high]))
    weld = Tie(np.searchsorted(nodes, low), np.searchsorted(nodes, high), np.eye(3))
    above = np.searchsorted(nodes, _corners(half, parents(boxes[0], mergings)))
    up = interpolation(boxes[0], mergings, n_nodes, above, len(nodes))
    coarse = _Coarse(
        grid=half,
        welded=near,
        boxes=Boxes(np.searchsorted(nodes, corners), place, matrices, np.ones(len(place))),
        ties=(*motion_ties(half, nodes), weld),
        n_nodes=len(nodes),
        up=sp.csr_matrix(sp.kron(up, sp.identity(3))),
    )
    return coarse, nodes


def _corners(grid: VoxelGrid, place: np.ndarray) -> np.ndarray:
    layer, sub = np.divmod(place[:, 2], grid.sublayers)
    return corner_nodes(grid, layer, sub, place[:, 0], place[:, 1])


def _near(welded: np.ndarray) -> np.ndarray:
    """Return the coarse nodes whose displacement reaches a welded node."""
    for axis in (1, 2):
        wide = welded | np.roll(welded, 1, axis) | np.roll(welded, -1, axis)
        welded = wide[:, ::2] if axis == 1 else wide[:, :, ::2]
    return welded


def _folded_up(up: sp.csr_matrix, fine: Folded, coarse: Folded) -> sp.csr_matrix:
    """Return the interpolation between what symmetry leaves of both grids; of a node's images, one in use counts."""
    rows = fine.one_of(np.diff(up.indptr) > 0)
    own, sign = up[rows], fine.entries(rows)[1]
    column, turn = coarse.entries(own.indices)
    data = own.data * turn * np.repeat(sign, np.diff(own.indptr))
    return sp.csr_matrix((data, column, own.indptr), shape=(len(rows), coarse.size))


def _sampled(system: System) -> np.ndarray:
    """Return the stiffness (n, 24, 24) of full boxes of the material as it is turned in the cell."""
    if len(system.matrices) == 1:
        return system.matrices
    turns = np.arange(len(system.matrices)) * np.pi / len(system.matrices)
    gap = np.radians(5.0) * _SAMPLED - turns[:, None]
    weights = (1 + 2 * np.cos(2 * gap) + 2 * np.cos(4 * gap)) / len(turns)
    return np.tensordot(weights.T, system.matrices, axes=1)


def _assembled(system: System) -> sp.csr_matrix:
    full = np.tensordot(system.weights.T, system.matrices, axes=1)
    return assemble(full, system.cells, len(system.nodes)) + sp.kron(system.springs, sp.identity(3))
