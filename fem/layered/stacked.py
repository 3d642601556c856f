"""Any stack of plans to 6 x 6, on grids of boxes, extrapolated over their fineness.

Boxes fit neither the lines nor the edges of welds. Their fullness meets areas and volumes in the mean, though, so that
over a pattern that lies on the grid in all ways the error falls like the square of a box's edge, as seen on grids of
6.5 to 17.5 boxes across the bead. Two grids are solved and that part taken away; a quarter of it is the error left.
"""

import math
import time
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import scipy.sparse as sp

from fem.layered.result import UNIT_STRAIN, LayeredStiffness
from fem.layered.voxels import VoxelGrid
from fem.material.stiffness import Engineering, about_axis_3, engineering, is_isotropic, rotate
from fem.numerics.aggregation import Aggregated
from fem.numerics.box_element import CORNERS, box_stiffness
from fem.numerics.symmetry import Tie, fold
from fem.numerics.tensor_elements import assemble
from fem.prismatic.error_bar import SMALL_RATIO
from patterns.cells.stack import StackedCell

_PAIRS = (
    (2, 4),
    (4.5, 6.6),
    (6.6, 9),
    (9, 12),
    (12, 16),
    (16, 22),
)  # boxes across the bead, coarse and fine grid
_MOST_UNKNOWNS = 2.9e5  # of the fine grid: what about a minute and 3 GB allow
_UNKNOWNS_PER_BOX = 4.2
_ERROR_SHARE = 0.25  # of the extrapolated part
_LEAST_ERROR = 0.5  # times (box edge / bead width)^2: a quarter of the part taken away in a typical case
_STIFFEST = 1e3  # of a partly welded node, over that of the box
_ANGLES = (
    5  # materials that span all turned ones, whose stiffness holds the harmonics 0, 2 and 4 of the angle
)
_CUBE = 4.0  # edge of an aggregate, in boxes


def homogenise_stack(cell: StackedCell, bead_material: np.ndarray, tolerance: float) -> LayeredStiffness:
    """Return the mean stiffness of a stack of plans; see `fem.layered.layered.homogenise_layered`.

    The grids are the finest that take about a minute, whatever the tolerance; ``met`` tells whether it was reached.
    """
    seconds = {"mesh": 0.0, "solve": 0.0}
    found: list[np.ndarray] = []
    edges: list[float] = []
    for across in _pair(cell):
        start = time.perf_counter()
        system = build_system(voxel_grid(cell, across), bead_material)
        meshed = time.perf_counter()
        C, unknowns = mean_stiffness(system)
        if cell.quarter_turn:
            C = (C + rotate(C, about_axis_3(math.pi / 2))) / 2
        seconds["mesh"] += meshed - start
        seconds["solve"] += time.perf_counter() - meshed
        found.append(rotate(C, about_axis_3(math.radians(cell.angle_deg))))
        edges.append(system.grid.edge)
    limit = extrapolate(found, edges)
    least = _LEAST_ERROR * (edges[1] / cell.bead.width) ** 2
    errors = _errors(engineering(found[1]), engineering(limit), least)
    return LayeredStiffness(
        stiffness=limit,
        engineering=engineering(limit),
        errors=errors,
        geometric_fill=system.grid.fill,
        unknowns=unknowns,
        order=1,
        met=all(error <= tolerance for error in errors.values() if error is not None),
        seconds=seconds,
    )


def extrapolate(found: Sequence[np.ndarray], edges: Sequence[float]) -> np.ndarray:
    """Return the limit of a coarse and a fine result whose error goes with the square of the box's edge."""
    coarse, fine = edges
    return found[1] + (found[1] - found[0]) * fine**2 / (coarse**2 - fine**2)


def _errors(fine: Engineering, limit: Engineering, least: float) -> dict[str, float | None]:
    errors: dict[str, float | None] = {}
    for (name, value), raw in zip(limit.as_dict().items(), fine.as_dict().values(), strict=True):
        if value is None or raw is None:
            errors[name] = None
        else:
            size = max(abs(value), SMALL_RATIO) if name.startswith("nu") else abs(value)
            errors[name] = max(_ERROR_SHARE * abs(raw - value) / size, least)
    return errors


def voxel_grid(cell: StackedCell, across: float) -> VoxelGrid:
    """Return a grid of nearly cubic boxes, about ``across`` of them to the bead's width."""
    edge = cell.bead.width / across
    side = max(8, 8 * round(cell.period / edge / 8))
    return VoxelGrid(cell, max(2, round(cell.layer_height / edge)), side)


def _pair(cell: StackedCell) -> tuple[float, float]:
    """Return how many boxes lie across the bead in the coarse and in the fine grid."""
    for pair in reversed(_PAIRS):
        layers, sub, side, _ = voxel_grid(cell, pair[1]).shape
        boxes = cell.set_fill * layers * sub * side**2 / len(cell.motions)
        if _UNKNOWNS_PER_BOX * boxes <= _MOST_UNKNOWNS:
            return pair
    return _PAIRS[0]


@dataclass(frozen=True)
class System:
    """Boxes of one fundamental domain, before any symmetry.

    Attributes
    ----------
    grid : VoxelGrid
        The period.
    nodes : ndarray of int, shape (n,)
        Nodes used, as numbered by the grid.
    stiffness : sparse matrix, shape (3 n, 3 n)
        N/mm.
    ties : tuple of Tie
        Symmetries and whole welds.
    cells : ndarray of int, shape (m, 8)
        Corners of every box, counted in ``nodes``.
    matrices : ndarray, shape (k, 24, 24)
        Stiffness of a full box of each material.
    weights : ndarray, shape (k, m)
        How much of each a box holds.
    """

    grid: VoxelGrid
    nodes: np.ndarray
    stiffness: sp.csr_matrix
    ties: tuple[Tie, ...]
    cells: np.ndarray
    matrices: np.ndarray
    weights: np.ndarray

    @property
    def volume(self) -> float:
        """Volume of the domain, voids included, mm^3."""
        cell = self.grid.cell
        return cell.period**2 * cell.height / len(cell.motions)


def build_system(grid: VoxelGrid, bead_material: np.ndarray) -> System:
    """Assemble one box of every set of images, and the partial welds between layers."""
    boxes, share = _representatives(grid)
    layer, sub, row, column = np.unravel_index(boxes, grid.shape)
    corners = np.stack([grid.nodes(layer, sub + k, row + i, column + j) for i, j, k in CORNERS], axis=-1)
    used = np.unique(corners)
    low, high, weld, part = _welds(grid, used)
    known = np.unique(np.concatenate([used, low, high]))
    images = [grid.moved_nodes(known, motion) for motion in grid.cell.motions]
    nodes = np.unique(np.concatenate([known, np.min(images, axis=0)]))
    low, high, cells = (np.searchsorted(nodes, each) for each in (low, high, corners))
    whole = weld >= 1
    ties = (*_ties(grid, nodes), Tie(low[whole], high[whole], np.eye(3)))
    weights, matrices = _materials(grid, bead_material, layer, row, column)
    weights = weights * (grid.fullness.ravel()[boxes] * share)
    K = assemble(np.tensordot(weights.T, matrices, axes=1), cells, len(nodes))
    soft = ~whole & (part > 0)
    springs = np.minimum(weld[soft] / (1 - weld[soft]), _STIFFEST) * part[soft]
    springs *= bead_material[2, 2] * grid.box[0] * grid.box[1] / grid.box[2]
    pull = np.kron(np.array([[1.0, -1.0], [-1.0, 1.0]]), np.eye(3))
    K = K + assemble(springs[:, None, None] * pull, np.column_stack([low[soft], high[soft]]), len(nodes))
    return System(grid, nodes, K, ties, cells, matrices, weights)


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


def _ties(grid: VoxelGrid, nodes: np.ndarray) -> list[Tie]:
    """Tie every node to the first of its images."""
    images = [grid.moved_nodes(nodes, motion) for motion in grid.cell.motions]
    first = np.min(images, axis=0)
    ties = []
    for motion, image in zip(grid.cell.motions, images, strict=True):
        own = np.flatnonzero(image == first)
        ties.append(
            Tie(own, np.searchsorted(nodes, first[own]), np.diag(np.array(motion.signs, dtype=float)))
        )
    return ties


def _materials(
    grid: VoxelGrid, C: np.ndarray, layer: np.ndarray, row: np.ndarray, column: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Return weights (k, m) and matrices (k, 24, 24) of boxes whose beads run along the nearest line."""
    turns = _turns(C)
    matrices = np.stack([box_stiffness(grid.box, rotate(C, about_axis_3(turn))) for turn in turns])
    if len(turns) == 1:
        return np.ones((1, len(layer))), matrices
    gap = grid.nearest[1][layer, row, column] - turns[:, None]
    return (1 + 2 * np.cos(2 * gap) + 2 * np.cos(4 * gap)) / _ANGLES, matrices


def _turns(C: np.ndarray) -> np.ndarray:
    """Return the angles (k,) of the materials that every turned one is made of, rad."""
    return np.arange(1 if is_isotropic(C) else _ANGLES) * np.pi / _ANGLES


def bead_materials(system: System, bead_material: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return the stiffness (m, 6, 6) of the bead in every box, MPa, and its volume there that counts (m,), mm^3."""
    share = system.weights.sum(axis=0)
    turned = [rotate(bead_material, about_axis_3(turn)) for turn in _turns(bead_material)]
    return np.einsum("am,aij->mij", system.weights / share, turned), share * system.grid.box.prod()


def mean_stiffness(system: System) -> tuple[np.ndarray, int]:
    """Return the mean stiffness (6, 6) in the cell's axes at angle 0, MPa, and the number of unknowns."""
    V, F, unknowns = fluctuations(system)
    local = _uniform(system)
    C = np.einsum("a,if,aij,jg->fg", system.weights.sum(axis=1), local, system.matrices, local) - F.T @ V
    together = np.zeros((6, 6), dtype=bool)
    for group in _groups(system):
        together[np.ix_(group, group)] = True
    # what is left of asymmetry is the iteration's residual
    return np.where(together, (C + C.T) / 2, 0.0) / system.volume, unknowns


def fluctuations(system: System) -> tuple[np.ndarray, np.ndarray, int]:
    """Return what voids take away from uniform displacement, per unit mean strain.

    Returns
    -------
    tuple of ndarray (3 n, 6), ndarray (3 n, 6), int
        Displacement taken away (mm), forces on the boxes when nothing is taken away (N), number of unknowns.
    """
    n, unknowns = 3 * len(system.nodes), 0
    rows = (3 * system.cells[:, :, None] + np.arange(3)).ravel()
    forces = np.einsum("am,aif->fmi", system.weights, system.matrices @ _uniform(system))
    F = np.stack([np.bincount(rows, each.ravel(), n) for each in forces], axis=-1)
    V = np.empty_like(F)
    for group in _groups(system):
        V[:, group], size = _balance(system, UNIT_STRAIN[group[0]], F[:, group])
        unknowns = max(unknowns, size)
    return V, F, unknowns


def _uniform(system: System) -> np.ndarray:
    """Return the displacements (24, 6) of a box under every unit strain."""
    return np.stack([(CORNERS * system.grid.box @ each).ravel() for each in UNIT_STRAIN], axis=-1)


def _groups(system: System) -> list[list[int]]:
    """Group the unit strains by what the cell's motions make of them."""
    groups: dict[tuple[int, ...], list[int]] = {}
    for load, eps in enumerate(UNIT_STRAIN):
        groups.setdefault(tuple(tie.parity(eps) for tie in system.ties), []).append(load)
    return list(groups.values())


def _balance(system: System, strain: np.ndarray, F: np.ndarray) -> tuple[np.ndarray, int]:
    """Return displacements (3 n, loads) under forces F that behave like a mean strain, and the number of unknowns."""
    P = fold(len(system.nodes), system.ties, strain).tocsc()
    first, sign = P.indices[P.indptr[:-1]], P.data[P.indptr[:-1]]
    free = np.ones(P.shape[1], dtype=bool)
    for axis in range(3):
        if all(tie.parity(strain) * tie.turn[axis, axis] > 0 for tie in system.ties):
            free[np.argmax(first % 3 == axis)] = False  # nothing else holds the cell along this axis
    P, first, sign = P[:, free], first[free], sign[free]
    places = system.grid.positions(system.nodes)[first // 3]
    directions = np.eye(3)[first % 3] * sign[:, None]
    solver = Aggregated(P.T @ system.stiffness @ P, places, directions, _CUBE * system.grid.box.max())
    return P @ solver.solve(P.T @ F), P.shape[1]
