"""Where the nodes of a bead's mesh lie: crowded towards the edges of its welds, where stresses have no limit.

Displacement leaves the edge of a weld like the square root of the distance. Node rows follow a power of their index,
the element order, which elements of that order map exactly; the error then falls at a known rate, like (number of
intervals)^-order, which `fem.layered.layered` extrapolates.
"""

import math
from dataclasses import dataclass

import numpy as np

from fem.layered.bead_mesh import SectionGrid, quarter_section
from fem.numerics.tensor_elements import grid_nodes
from patterns.cells.layered import LayeredCell, LayerSection


@dataclass(frozen=True)
class BeadGrid:
    """Mesh of a quarter section and the nodes (n,) along half a period, mm."""

    section: SectionGrid
    along: np.ndarray

    @classmethod
    def crossing(cls, cell: LayeredCell, fineness: int, order: int) -> "BeadGrid":
        """Return the grid of a bead that others cross; welded flats have the same nodes along both beads."""
        rows = _Rows(fineness, order)
        along = rows.between_welds(cell.section, cell.shift, cell.pitch / 2)
        return cls(_section(cell.section, rows, _up_to(along, cell.section.half_flat)), along)

    @classmethod
    def parallel(cls, cell: LayeredCell, fineness: int, order: int) -> "BeadGrid":
        """Return the grid of a bead under others of its own direction, one element long."""
        rows, a, p = _Rows(fineness, order), cell.section.half_flat, cell.pitch
        if cell.shift and a > p / 4:
            across = _up_to(rows.between_welds(cell.section, cell.shift, p / 2), a)
        else:
            across = rows.towards_end(0.0, a)
        return cls(_section(cell.section, rows, across), grid_nodes(np.array([0.0, p / 2]), order))


@dataclass(frozen=True)
class _Rows:
    """Rows of nodes for one fineness (intervals per graded stretch) and order."""

    fineness: int
    order: int

    def _share(self, extra: int = 0) -> np.ndarray:
        return grid_nodes(np.linspace(0, 1, self.fineness + extra + 1), self.order)

    def from_start(self, start: float, end: float, extra: int = 0) -> np.ndarray:
        """Return nodes that crowd at the start."""
        return start + (end - start) * self._share(extra) ** self.order

    def towards_end(self, start: float, end: float, extra: int = 0) -> np.ndarray:
        """Return nodes that crowd at the end."""
        return end - (end - start) * self._share(extra)[::-1] ** self.order

    def between_welds(self, section: LayerSection, shift: float, half: float) -> np.ndarray:
        """Return nodes from the middle of a weld to half a period, crowded at its edge.

        With shifted layers the row is symmetric about its middle, since the weld below lies half a period on.
        """
        a, zone = section.half_flat, section.half_flat + section.height / 2
        if not shift:
            return _joined(self.towards_end(0.0, a), self._away(a, half, zone))
        edge = min(a, half - a)
        row = _joined(self.towards_end(0.0, edge), self._away(edge, half / 2, zone))
        return _joined(row, half - row[::-1])

    def _away(self, start: float, end: float, zone: float) -> np.ndarray:
        """Return nodes from a weld's edge to an end: crowded over a zone, then evenly spaced."""
        rest = end - start - zone
        if rest < zone / 2:
            return self.from_start(start, end, extra=1)
        count = 1 + max(1, round(self.fineness * math.log2(1 + rest / zone) / 2))
        even = grid_nodes(np.linspace(start + zone, end, count + 1), self.order)
        return _joined(self.from_start(start, start + zone, extra=1), even)

    def outline(self, section: LayerSection) -> np.ndarray | None:
        """Return nodes (n, 2) of the round side, from the end of the flat down to mid-height."""
        a, r, H = section.half_flat, section.radius, section.height / 2
        if r == 0:
            return None
        if not section.touching:
            turn = self.from_start(0.0, np.pi / 2, extra=1)
        else:
            end = math.asin(min((section.half_width - a) / r, 1.0))
            turn = _joined(self.from_start(0.0, end / 2, extra=1), self.towards_end(end / 2, end, extra=1))
        arc = np.column_stack([a + r * np.sin(turn), H - r + r * np.cos(turn)])
        arc[0] = a, H
        if not section.touching:
            arc[-1, 1] = H - r
            return arc
        side = self.from_start(section.side_height / 2, 0.0)
        arc[-1] = section.half_width, side[0]
        return np.concatenate([arc, np.column_stack([np.full(len(side), section.half_width), side])[1:]])


def _section(section: LayerSection, rows: _Rows, across: np.ndarray) -> SectionGrid:
    levels = rows.towards_end(0.0, 1.0)
    return quarter_section(across, levels, section.height / 2, rows.outline(section), rows.order)


def _joined(*rows: np.ndarray) -> np.ndarray:
    """Join rows that end where the next one starts."""
    return np.concatenate([rows[0], *(row[1:] for row in rows[1:])])


def _up_to(row: np.ndarray, end: float) -> np.ndarray:
    """Return the part of a row up to one of its nodes, that node set to its exact place."""
    part = row[row < end * (1 + 1e-9)].copy()
    part[-1] = end
    return part
