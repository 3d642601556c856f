"""The multigrid solver of a body of boxes: coarser grids merge two intervals along each axis."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import scipy.sparse as sp

from fem.numerics.box_element import CORNERS
from fem.numerics.boxes import (
    Boxes,
    BoxOperator,
    Merging,
    assembled,
    coarser,
    diagonal,
    interpolation,
    largest_eigenvalue,
    parents,
)
from fem.numerics.multigrid import Apply, Level, Multigrid

_FEW = 1500  # boxes whose stiffness is factored at once
# Springs to the ground over the diagonal hold the motions that strains leave free, in the preconditioner alone. Below
# coarser grids they must bear the noise of single precision.
_GROUND, _COARSE_GROUND = 1e-10, 1e-6


@dataclass(frozen=True)
class BoxGrid:
    """Planes of a grid along axes 1, 2, 3 (mm), and along which axes it repeats."""

    lines: tuple[np.ndarray, ...]
    periodic: tuple[bool, ...]

    @property
    def counts(self) -> tuple[int, ...]:
        """Number of nodes along each axis."""
        return tuple(len(line) - turn for line, turn in zip(self.lines, self.periodic, strict=True))

    def corners(self, place: np.ndarray) -> np.ndarray:
        """Return the nodes (m, 8), numbered through, of boxes at places (m, 3)."""
        nodes = (place[:, None, :] + CORNERS) % self.counts
        answer: np.ndarray = np.ravel_multi_index(tuple(np.moveaxis(nodes, -1, 0)), self.counts)
        return answer

    def rigid_motions(self, nodes: np.ndarray) -> np.ndarray:
        """Return orthonormal displacements (3 n, k) of nodes that strain nothing and repeat as the grid does."""
        index = np.unravel_index(nodes, self.counts)
        x = np.column_stack([line[at] for line, at in zip(self.lines, index, strict=True)])
        found = [np.broadcast_to(axis, x.shape).ravel() for axis in np.eye(3)]
        for axis in range(3):
            if not any(turn for other, turn in enumerate(self.periodic) if other != axis):
                found.append(np.cross(np.eye(3)[axis], x - x.mean(axis=0)).ravel())
        return np.linalg.qr(np.column_stack(found))[0]

    def merged(self) -> tuple["BoxGrid", list[Merging]]:
        """Return the grid of every second plane, and which intervals have merged."""
        times = [min(2, len(line) - 1) for line in self.lines]
        lines = tuple(np.append(line[:-1:k], line[-1]) for line, k in zip(self.lines, times, strict=True))
        mergings = [Merging.of(line, k) for line, k in zip(self.lines, times, strict=True)]
        return BoxGrid(lines, self.periodic), mergings


def body_solver(boxes: Sequence[Boxes], n_nodes: int, grid: BoxGrid) -> Multigrid:
    """Return the solver of a body that loads leave in balance.

    Parameters
    ----------
    boxes : sequence of Boxes
        Each with one matrix; their cells count the nodes in use.
    n_nodes : int
        Number of these.
    grid : BoxGrid
        Where the boxes lie.
    """
    operator = BoxOperator(boxes, n_nodes)
    apply: Apply = BoxOperator(boxes, n_nodes, dtype=np.float32)
    largest = largest_eigenvalue(np.stack([group.matrices for group in boxes]))
    levels = []
    while sum(len(group.cells) for group in boxes) > _FEW and max(len(line) for line in grid.lines) > 2:
        half, mergings = grid.merged()
        place, matrices = coarser(boxes, mergings)
        corners = half.corners(place)
        nodes, cells = np.unique(corners, return_inverse=True)
        above = np.searchsorted(
            nodes, half.corners(np.concatenate([parents(group, mergings) for group in boxes]))
        )
        up = interpolation(_joined(boxes), mergings, n_nodes, above, len(nodes))
        levels.append(
            Level(apply, diagonal(boxes, n_nodes), largest, sp.csr_matrix(sp.kron(up, sp.identity(3))))
        )
        boxes, n_nodes, grid = (
            [Boxes(cells.reshape(-1, 8), place, matrices, np.ones(len(place)))],
            len(nodes),
            half,
        )
        apply, largest = assembled(boxes, n_nodes, np.float32).__matmul__, largest_eigenvalue(matrices)
    K = assembled(boxes, n_nodes)
    ground = _COARSE_GROUND if levels else _GROUND
    return Multigrid(operator, levels, K + ground * sp.diags_array(K.diagonal()))


def _joined(boxes: Sequence[Boxes]) -> Boxes:
    """Return all boxes as one group, whose matrices do not matter."""
    cells, place, weights = (
        np.concatenate([getattr(group, name) for group in boxes]) for name in ("cells", "place", "weights")
    )
    return Boxes(cells, place, boxes[0].matrices, weights)
