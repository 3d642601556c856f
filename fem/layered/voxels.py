"""A stack of plans on a grid of boxes: how full each box is, where layers are welded, and what repeats.

A layer is cut into ``sublayers`` boxes in height. A box is as full as the bead's outline at its level covers it, told
by the distance of its centre from the nearest line. Layers do not share nodes: those above each other are welded
where the flats of both beads reach.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.spatial import cKDTree

from patterns.cells.stack import Motion, StackedCell

LEAST_FULL = 0.02  # emptier boxes are left out


@dataclass(frozen=True)
class VoxelGrid:
    """Boxes and nodes of one period.

    A box is numbered by (layer, sublayer, row, column) of the grid (n_layers, sublayers, side, side); a node by the
    same with sublayers + 1 levels per layer.

    Attributes
    ----------
    cell : StackedCell
        Geometry.
    sublayers : int
        Boxes per layer height.
    side : int
        Boxes along the period, so many that the cell's motions map nodes to nodes: a multiple of 8 always does.
    """

    cell: StackedCell
    sublayers: int
    side: int

    @property
    def box(self) -> np.ndarray:
        """Edges (3,) of a box in mm."""
        width = self.cell.period / self.side
        return np.array([width, width, self.cell.layer_height / self.sublayers])

    @property
    def edge(self) -> float:
        """Edge of a cube as large as a box, mm."""
        return float(np.prod(self.box) ** (1 / 3))

    @property
    def shape(self) -> tuple[int, int, int, int]:
        """Layers, sublayers, rows and columns of boxes."""
        return len(self.cell.layers), self.sublayers, self.side, self.side

    @cached_property
    def _lines(self) -> list[tuple[cKDTree, np.ndarray]]:
        found = [self.cell.samples(k, self.box[0] / 4) for k in range(len(self.cell.layers))]
        return [(cKDTree(points), angles) for points, angles in found]

    def _plan(self, offset: float) -> np.ndarray:
        row = (np.arange(self.side) + offset) * self.box[0]
        return np.stack(np.meshgrid(row, row, indexing="ij"), axis=-1)

    @cached_property
    def nearest(self) -> tuple[np.ndarray, np.ndarray]:
        """Distance (mm) of box centres from the nearest line, infinite beyond its bead, and its angle (rad).

        Both of shape (layers, side, side).
        """
        plan = self._plan(0.5)
        reach = self.cell.bead.width / 2 + 2 * self.box[0]  # nothing farther away is covered
        found = [tree.query(plan, distance_upper_bound=reach) for tree, _ in self._lines]
        angles = [
            np.append(angle, 0.0)[index] for (_, angle), (_, index) in zip(self._lines, found, strict=True)
        ]
        return np.stack([distance for distance, _ in found]), np.stack(angles)

    @cached_property
    def fullness(self) -> np.ndarray:
        """Covered share of every box, in the shape of the grid."""
        covered = 0.5 + (self._half_widths()[None, :, None, None] - self.nearest[0][:, None]) / self.box[0]
        full = np.clip(covered, 0, 1)
        return np.where(full > LEAST_FULL, full, 0.0)

    @property
    def fill(self) -> float:
        """Volume share of the beads."""
        return float(self.fullness.mean())

    def _half_widths(self) -> np.ndarray:
        """Half the bead's width, averaged over each sublayer, mm."""
        bead, t = self.cell.bead, self.cell.layer_height
        if bead.section == "square":
            return np.full(self.sublayers, bead.width / 2)
        r = t / 2
        z = np.linspace(-r, r, self.sublayers + 1)
        under = (z * np.sqrt(np.maximum(r * r - z * z, 0)) + r * r * np.arcsin(np.clip(z / r, -1, 1))) / 2
        return self._half_flat() + np.diff(under) / np.diff(z)

    def _half_flat(self) -> float:
        # The layer's own height keeps the deposited area: w t = flat t + pi t^2/4.
        bead = self.cell.bead
        return bead.width / 2 - (np.pi * self.cell.layer_height / 8 if bead.section == "stadium" else 0.0)

    @cached_property
    def welded(self) -> np.ndarray:
        """How far each node on top of a layer is welded to the next one, 1 wholly, 0 not; (layers, side, side)."""
        plan = self._plan(0.0)
        reach = self._half_flat() + 2 * self.box[0]
        distance = np.stack([tree.query(plan, distance_upper_bound=reach)[0] for tree, _ in self._lines])
        worse = np.maximum(distance, np.roll(distance, -1, axis=0))
        found: np.ndarray = np.clip(0.5 + (self._half_flat() - worse) / self.box[0], 0, 1)
        return found

    def nodes(self, layer: np.ndarray, level: np.ndarray, row: np.ndarray, column: np.ndarray) -> np.ndarray:
        """Return the numbers of nodes."""
        n = self.side
        found: np.ndarray = ((layer * (self.sublayers + 1) + level) * n + row % n) * n + column % n
        return found

    def places(self, nodes: np.ndarray) -> tuple[np.ndarray, ...]:
        """Return layer, level, row and column of nodes."""
        return np.unravel_index(nodes, (len(self.cell.layers), self.sublayers + 1, self.side, self.side))

    def positions(self, nodes: np.ndarray) -> np.ndarray:
        """Return where nodes lie, (n, 3) in mm."""
        layer, level, row, column = self.places(nodes)
        found: np.ndarray = np.column_stack([row, column, layer * self.sublayers + level]) * self.box
        return found

    def moved_nodes(self, nodes: np.ndarray, motion: Motion) -> np.ndarray:
        """Return the nodes to which a motion takes some nodes."""
        layer, level, row, column = self.places(nodes)
        row, column = (self._moved(index, motion, axis, 0) for axis, index in enumerate((row, column)))
        if motion.signs[2] < 0:
            level = self.sublayers - level
        return self.nodes(self._moved(layer, motion, 2, 1), level, row, column)

    def moved_boxes(self, boxes: np.ndarray, motion: Motion) -> np.ndarray:
        """Return the boxes to which a motion takes some boxes, numbered through."""
        layer, sub, row, column = np.unravel_index(boxes, self.shape)
        row, column = (self._moved(index, motion, axis, 1) for axis, index in enumerate((row, column)))
        if motion.signs[2] < 0:
            sub = self.sublayers - 1 - sub
        return np.ravel_multi_index((self._moved(layer, motion, 2, 1), sub, row, column), self.shape)

    def _moved(self, index: np.ndarray, motion: Motion, axis: int, intervals: int) -> np.ndarray:
        """Return moved indices of nodes (intervals 0) or boxes (1) along an axis."""
        count = self.shape[0] if axis == 2 else self.side
        shift = motion.shift_eighths[axis] * count // 8
        return (index + shift if motion.signs[axis] > 0 else shift - intervals - index) % count
