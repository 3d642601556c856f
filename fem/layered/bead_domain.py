"""Fundamental domains of layered cells: a piece of one bead, its material and the symmetries that close it.

Every bead of a layered cell is a copy of the first one's upper half, so a quarter bead is meshed, over half a
period or a whole one. Coordinates (x, y, z) are the distances from the crossing bead's middle, from the bead's own
middle and from mid-layer: in them both directions look alike whatever their angle. A linear map makes the plan of them.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import scipy.sparse as sp

from fem.layered.bead_grid import BeadGrid
from fem.layered.bead_mesh import SectionGrid
from fem.layered.extrusion import prism_points, prism_stiffness
from fem.material.stiffness import about_axis_3, rotate
from fem.numerics.symmetry import Tie, tie
from patterns.cells.layered import LayeredCell

MIRROR = [np.diag(np.where(np.arange(3) == axis, -1.0, 1.0)) for axis in range(3)]
HALF_TURN = [-mirror for mirror in MIRROR]
SWAP = np.array(
    [[0.0, 1.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, -1.0]]
)  # half turn about the bisector of axes 1, 2


@dataclass(frozen=True)
class Domain:
    """A meshed fundamental domain.

    Attributes
    ----------
    positions : ndarray, shape (n, 3)
        Nodes in the domain's frame, mm.
    stiffness : sparse matrix, shape (3 n, 3 n)
        Before any symmetry, N/mm; the components of a node side by side, in the frame.
    ties : tuple of Tie
        Symmetries that close the domain.
    volume : float
        Volume of one period, voids included, over the number of copies of the domain in it; mm^3.
    turn_deg : float
        Angle of the frame's axis 1 from that of the cell.
    """

    positions: np.ndarray
    stiffness: sp.csr_matrix
    ties: tuple[Tie, ...]
    volume: float
    turn_deg: float


class _Ties:
    """Collects ties between the nodes of a prism, given in (x, y, z)."""

    def __init__(self, section: SectionGrid, along: np.ndarray, size: float) -> None:
        self.points, self.size = prism_points(section, along), size
        self.found: list[Tie] = []

    def at(self, axis: int, value: float, top: float = np.inf) -> np.ndarray:
        """Return the nodes where a coordinate has a value; on top of a layer, those with y up to ``top``."""
        near = 1e-9 * self.size
        on = np.abs(self.points[:, axis] - value) < near
        return np.flatnonzero(on & (self.points[:, 1] < top + near))

    def add(self, nodes: np.ndarray, motion: Callable[[np.ndarray], np.ndarray], turn: np.ndarray) -> None:
        """Tie nodes to where a motion takes their (x, y, z)."""
        self.found.append(tie(self.points, nodes, motion(self.points[nodes]), turn, self.size))

    def mirror(self, nodes: np.ndarray, axis: int) -> None:
        """Tie nodes of a mirror plane to themselves."""
        self.found.append(Tie(nodes, nodes, MIRROR[axis]))


def crossing_domain(cell: LayeredCell, bead_material: np.ndarray, fineness: int, order: int) -> Domain:
    """Return half a bead over a whole period, for beads that cross at any angle.

    The frame's axis 1 bisects the directions. Half turns about the frame's axes (axis 3 through a crossing, the
    others in the weld plane) and the mirror plane at mid-layer, with a glide where layers are shifted, map the cell
    onto itself.
    """
    grid, p, a = BeadGrid.crossing(cell, fineness, order), cell.pitch, cell.section.half_flat
    along = np.concatenate([-grid.along[:0:-1], grid.along])
    ties = _Ties(grid.section, along, p)
    ties.add(ties.at(0, -p / 2), lambda q: q + [p, 0, 0], np.eye(3))
    ties.add(ties.at(2, 0.0), lambda q: _within(q + [cell.shift * p, 0, 0], p), MIRROR[2])
    for y in (0.0, p / 2) if cell.section.touching else (0.0,):
        ties.add(ties.at(1, y), lambda q: q * [-1, 1, 1], HALF_TURN[2])
    weld = ties.at(2, cell.section.height / 2, top=a)
    x = ties.points[weld, 0]
    ties.add(weld[(x > -1e-9 * p) & (x < a + 1e-9 * p)], lambda q: q[:, [1, 0, 2]], HALF_TURN[0])
    ties.add(weld[(x < 0) & (x > -a - 1e-9 * p)], lambda q: q[:, [1, 0, 2]] * [-1, -1, 1], HALF_TURN[1])
    half = np.radians(cell.crossing_deg) / 2
    c, s, sine = np.cos(half), np.sin(half), np.sin(2 * half)
    to_frame = np.array([[c / sine, c / sine, 0], [-s / sine, s / sine, 0], [0, 0, 1]])
    return Domain(
        positions=ties.points @ to_frame.T,
        stiffness=prism_stiffness(grid.section, along, to_frame, rotate(bead_material, about_axis_3(-half))),
        ties=tuple(ties.found),
        volume=p**2 * cell.section.height / (4 * sine),
        turn_deg=cell.angles_deg[0] + cell.crossing_deg / 2,
    )


def square_domain(cell: LayeredCell, bead_material: np.ndarray, fineness: int, order: int) -> Domain:
    """Return half a bead over half a period, for beads that cross at a right angle.

    The frame's axis 1 is along the first bead. Mirror planes through the middle of beads and of gaps come on top of the
    symmetries of `crossing_domain`; shears 23 and 13 keep the mirrors, but not the exchange of the two beads.
    """
    grid, p, a = BeadGrid.crossing(cell, fineness, order), cell.pitch, cell.section.half_flat
    ties = _half_bead(cell, grid)
    weld = ties.at(2, cell.section.height / 2, top=a)
    ties.add(weld[ties.points[weld, 0] < a + 1e-9 * p], lambda q: q[:, [1, 0, 2]], SWAP)
    return Domain(
        positions=ties.points,
        stiffness=prism_stiffness(grid.section, grid.along, np.eye(3), bead_material),
        ties=tuple(ties.found),
        volume=p**2 * cell.section.height / 8,
        turn_deg=cell.angles_deg[0],
    )


def square_pair_domain(cell: LayeredCell, bead_material: np.ndarray, fineness: int, order: int) -> Domain:
    """Return the halves of two beads that cross at a right angle, welded to each other: for shears 23 and 13."""
    grid, p, a = BeadGrid.crossing(cell, fineness, order), cell.pitch, cell.section.half_flat
    ties = _half_bead(cell, grid)
    points, n = ties.points, len(ties.points)
    weld = ties.at(2, cell.section.height / 2, top=a)
    weld = weld[points[weld, 0] < a + 1e-9 * p]
    below = tie(points, weld, points[weld][:, [1, 0, 2]], np.eye(3), p)
    first = prism_stiffness(grid.section, grid.along, np.eye(3), bead_material)
    exchange = sp.kron(sp.identity(n), SWAP, "csr")
    exchanged = [Tie(each.nodes + n, each.images + n, SWAP @ each.turn @ SWAP) for each in ties.found]
    return Domain(
        positions=np.concatenate([points, points @ SWAP + [0, 0, cell.section.height]]),
        stiffness=sp.block_diag([first, exchange @ first @ exchange], "csr"),
        ties=(*ties.found, *exchanged, Tie(below.nodes, below.images + n, np.eye(3))),
        volume=p**2 * cell.section.height / 4,
        turn_deg=cell.angles_deg[0],
    )


def _half_bead(cell: LayeredCell, grid: BeadGrid) -> _Ties:
    """Return the ties of half a bead over half a period that leave its weld open."""
    p = cell.pitch
    ties = _Ties(grid.section, grid.along, p)
    ties.mirror(ties.at(0, 0.0), 0)
    ties.mirror(ties.at(0, p / 2), 0)
    ties.mirror(ties.at(1, 0.0), 1)
    if cell.section.touching:
        ties.mirror(ties.at(1, p / 2), 1)
    if cell.shift:
        ties.add(ties.at(2, 0.0), lambda q: q * [-1, 1, 1] + [p / 2, 0, 0], HALF_TURN[1])
    else:
        ties.mirror(ties.at(2, 0.0), 2)
    return ties


def parallel_domain(cell: LayeredCell, bead_material: np.ndarray, fineness: int, order: int) -> Domain:
    """Return a short piece of a quarter bead, for beads in one direction; nothing varies along it but shear."""
    grid, p, a = BeadGrid.parallel(cell, fineness, order), cell.pitch, cell.section.half_flat
    ties = _Ties(grid.section, grid.along, p)
    length = float(grid.along[-1])
    ties.mirror(ties.at(0, 0.0), 0)
    ties.mirror(ties.at(0, length), 0)
    ties.mirror(ties.at(1, 0.0), 1)
    if cell.section.touching:
        ties.mirror(ties.at(1, p / 2), 1)
    ties.mirror(ties.at(2, 0.0), 2)
    weld = ties.at(2, cell.section.height / 2, top=a)
    if cell.shift:
        shared = weld[ties.points[weld, 1] > p / 2 - a - 1e-9 * p]
        ties.add(shared, lambda q: q * [1, -1, 1] + [0, p / 2, 0], HALF_TURN[0])
    else:
        ties.mirror(weld, 2)
    return Domain(
        positions=ties.points,
        stiffness=prism_stiffness(grid.section, grid.along, np.eye(3), bead_material),
        ties=tuple(ties.found),
        volume=p * length * cell.section.height / 4,
        turn_deg=cell.angles_deg[0],
    )


def _within(q: np.ndarray, p: float) -> np.ndarray:
    """Move x by whole periods into -p/2 .. p/2."""
    return np.where([True, False, False], q - p * np.round(q / p - 1e-9), q)
