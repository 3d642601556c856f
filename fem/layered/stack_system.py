"""The boxes of a stack that symmetry leaves, the partial welds between its layers, and what ties their nodes."""

from dataclasses import dataclass

import numpy as np
import scipy.sparse as sp

from fem.layered.voxels import VoxelGrid
from fem.material.stiffness import about_axis_3, is_isotropic, rotate
from fem.numerics.box_element import CORNERS, box_stiffness
from fem.numerics.boxes import Boxes
from fem.numerics.symmetry import Tie

_STIFFEST = 1e3  # of a partly welded node, over that of the box
_ANGLES = (
    5  # materials that span all turned ones, whose stiffness holds the harmonics 0, 2 and 4 of the angle
)


@dataclass(frozen=True)
class System:
    """Boxes of one fundamental domain, before any symmetry.

    Attributes
    ----------
    grid : VoxelGrid
        The period.
    nodes : ndarray of int, shape (n,)
        Nodes used, as numbered by the grid.
    springs : sparse matrix, shape (n, n)
        Partial welds between nodes, alike for every component, N/mm.
    ties : tuple of Tie
        Symmetries and whole welds.
    cells : ndarray of int, shape (m, 8)
        Corners of every box, counted in ``nodes``.
    place : ndarray of int, shape (m, 3)
        Row, column and level of every box.
    matrices : ndarray, shape (k, 24, 24)
        Stiffness of a full box of each material.
    weights : ndarray, shape (k, m)
        How much of each a box holds.
    """

    grid: VoxelGrid
    nodes: np.ndarray
    springs: sp.csr_matrix
    ties: tuple[Tie, ...]
    cells: np.ndarray
    place: np.ndarray
    matrices: np.ndarray
    weights: np.ndarray

    @property
    def volume(self) -> float:
        """Volume of the domain, voids included, mm^3."""
        cell = self.grid.cell
        return cell.period**2 * cell.height / len(cell.motions)

    @property
    def boxes(self) -> list[Boxes]:
        """The boxes, once for each material."""
        pairs = zip(self.matrices, self.weights, strict=True)
        return [Boxes(self.cells, self.place, matrix, weights) for matrix, weights in pairs]


def build_system(grid: VoxelGrid, bead_material: np.ndarray) -> System:
    """Find one box of every set of images, and the partial welds between layers."""
    boxes, share = _representatives(grid)
    layer, sub, row, column = np.unravel_index(boxes, grid.shape)
    corners = corner_nodes(grid, layer, sub, row, column)
    used = np.unique(corners)
    low, high, weld, part = _welds(grid, used)
    nodes = closed(grid, np.concatenate([used, low, high]))
    low, high, cells = (np.searchsorted(nodes, each) for each in (low, high, corners))
    whole = weld >= 1
    ties = (*motion_ties(grid, nodes), Tie(low[whole], high[whole], np.eye(3)))
    weights, matrices = _materials(grid, bead_material, layer, row, column)
    weights = weights * (grid.fullness.ravel()[boxes] * share)
    soft = ~whole & (part > 0)
    stiffness = np.minimum(weld[soft] / (1 - weld[soft]), _STIFFEST) * part[soft]
    stiffness *= bead_material[2, 2] * grid.box[0] * grid.box[1] / grid.box[2]
    place = np.column_stack([row, column, layer * grid.sublayers + sub])
    springs = _springs(low[soft], high[soft], stiffness, len(nodes))
    return System(grid, nodes, springs, ties, cells, place, matrices, weights)


def corner_nodes(
    grid: VoxelGrid, layer: np.ndarray, sub: np.ndarray, row: np.ndarray, column: np.ndarray
) -> np.ndarray:
    """Return the nodes (m, 8) at the corners of boxes."""
    return np.stack([grid.nodes(layer, sub + k, row + i, column + j) for i, j, k in CORNERS], axis=-1)


def closed(grid: VoxelGrid, nodes: np.ndarray) -> np.ndarray:
    """Return some nodes and the first of each one's images, in order."""
    known = np.unique(nodes)
    images = [grid.moved_nodes(known, motion) for motion in grid.cell.motions]
    return np.unique(np.concatenate([known, np.min(images, axis=0)]))


def motion_ties(grid: VoxelGrid, nodes: np.ndarray) -> list[Tie]:
    """Tie every node to the first of its images."""
    images = [grid.moved_nodes(nodes, motion) for motion in grid.cell.motions]
    first = np.min(images, axis=0)
    ties = []
    for motion, image in zip(grid.cell.motions, images, strict=True):
        own = np.flatnonzero(image == first)
        turn = np.diag(np.array(motion.signs, dtype=float))
        ties.append(Tie(own, np.searchsorted(nodes, first[own]), turn))
    return ties


def _springs(low: np.ndarray, high: np.ndarray, stiffness: np.ndarray, n: int) -> sp.csr_matrix:
    i, j = np.concatenate([low, high, low, high]), np.concatenate([low, high, high, low])
    values = np.concatenate([stiffness, stiffness, -stiffness, -stiffness])
    return sp.coo_matrix((values, (i, j)), shape=(n, n)).tocsr()


def _representatives(grid: VoxelGrid) -> tuple[np.ndarray, np.ndarray]:
    """Return one box of every set of images, and the share of it that belongs to the domain."""
    boxes = np.flatnonzero(grid.fullness)
    images = [grid.moved_boxes(boxes, motion) for motion in grid.cell.motions]
    first = np.min(images, axis=0) == boxes
    return boxes[first], 1 / np.sum([image == boxes for image in images], axis=0)[first]


def _welds(grid: VoxelGrid, used: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Return, where a used node is welded, the nodes below and above, how far, and the share in the domain (or 0)."""
    layer, row, column = np.nonzero(grid.welded)
    level = np.full_like(layer, grid.sublayers)
    low = grid.nodes(layer, level, row, column)
    high = grid.nodes((layer + 1) % len(grid.welded), 0 * level, row, column)
    weld, name = grid.welded[layer, row, column], np.minimum(low, high)
    images = [
        np.minimum(grid.moved_nodes(low, motion), grid.moved_nodes(high, motion))
        for motion in grid.cell.motions
    ]
    stays = np.sum([image == name for image in images], axis=0)
    part = np.where(np.min(images, axis=0) == name, 1 / stays, 0.0)
    near = np.isin(low, used) | np.isin(high, used) | (part > 0)
    return low[near], high[near], weld[near], part[near]


def _materials(
    grid: VoxelGrid, C: np.ndarray, layer: np.ndarray, row: np.ndarray, column: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Return weights (k, m) and matrices (k, 24, 24) of boxes whose beads run along the nearest line."""
    turns = turned_by(C)
    matrices = np.stack([box_stiffness(grid.box, rotate(C, about_axis_3(turn))) for turn in turns])
    if len(turns) == 1:
        return np.ones((1, len(layer))), matrices
    gap = grid.nearest[1][layer, row, column] - turns[:, None]
    return (1 + 2 * np.cos(2 * gap) + 2 * np.cos(4 * gap)) / _ANGLES, matrices


def turned_by(C: np.ndarray) -> np.ndarray:
    """Return the angles (k,) of the materials that every turned one is made of, rad."""
    return np.arange(1 if is_isotropic(C) else _ANGLES) * np.pi / _ANGLES


def bead_materials(system: System, bead_material: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return the stiffness (m, 6, 6) of the bead in every box, MPa, and its volume there that counts (m,), mm^3."""
    share = system.weights.sum(axis=0)
    turned = [rotate(bead_material, about_axis_3(turn)) for turn in turned_by(bead_material)]
    return np.einsum("am,aij->mij", system.weights / share, turned), share * system.grid.box.prod()
