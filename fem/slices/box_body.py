"""Bodies of boxes that repeat along some axes: strain fields under mean strains, and the energies they store.

A box may hold several materials at once, each with a share of its volume and with bubbles of its own: that is how
boxes which lines and borders cut are filled. Unused nodes are left out. Fields are kept by their nodal displacements;
strains are made of them for some thousands of boxes at a time.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from fem.numerics.box_element import GAUSS, box_displacements, box_strains
from fem.numerics.boxes import Boxes
from fem.numerics.multigrid import Multigrid
from fem.slices.body_solver import BoxGrid, body_solver

_ROUND_OFF = 1e-13  # of the largest force on a box
_AT_ONCE = 8000  # boxes whose strains are held at once
_TOLERANCE = 2e-5  # of the iteration; the error of shear goes with it, that of EI, EA and GJ with its square


@dataclass(frozen=True)
class Block:
    """A block of boxes.

    Attributes
    ----------
    lines : tuple of three ndarrays
        Coordinates of the grid's planes along axes 1, 2 and 3, mm.
    shares : ndarray, shape (n_materials, n_1, n_2, n_3)
        Volume share of each material in each box.
    materials : ndarray, shape (n_materials, 6, 6)
        Stiffness in the block's axes, MPa.
    periodic : tuple of three bool
        Along which axes the block repeats.
    """

    lines: tuple[np.ndarray, np.ndarray, np.ndarray]
    shares: np.ndarray
    materials: np.ndarray
    periodic: tuple[bool, bool, bool]


@dataclass(frozen=True)
class Kind:
    """What boxes of one size and one material have in common.

    Attributes
    ----------
    edges : ndarray, shape (3,)
        mm.
    C : ndarray, shape (6, 6)
        MPa.
    """

    edges: np.ndarray
    C: np.ndarray

    @cached_property
    def strain(self) -> np.ndarray:
        """Strain (8, 6, 33) at the Gauss points, see `fem.numerics.box_element.box_strains`."""
        return box_strains(self.edges)[0]

    @cached_property
    def volume(self) -> np.ndarray:
        """Volume (8,) of the Gauss points, mm^3."""
        return box_strains(self.edges)[1]

    @cached_property
    def _pull(self) -> np.ndarray:
        answer: np.ndarray = np.einsum("q,vw,qwi->qvi", self.volume, self.C, self.strain).reshape(48, 33)
        return answer

    @cached_property
    def _full(self) -> np.ndarray:
        answer: np.ndarray = self.strain.reshape(48, 33).T @ self._pull
        return answer

    @cached_property
    def soften(self) -> np.ndarray:
        """Bubbles are -follow @ nodal - soften @ pull; (9, 9)."""
        return np.linalg.inv(self._full[24:, 24:])

    @cached_property
    def follow(self) -> np.ndarray:
        """See `soften`; (9, 24)."""
        answer: np.ndarray = self.soften @ self._full[24:, :24]
        return answer

    @cached_property
    def condensed(self) -> np.ndarray:
        """Stiffness (24, 24) of a full box without its bubbles."""
        answer: np.ndarray = self._full[:24, :24] - self._full[:24, 24:] @ self.follow
        return answer

    def pull(self, strains: np.ndarray) -> np.ndarray:
        """Return the generalised forces (n_loads, n, 33) of the stresses of some strains, per full box."""
        found: np.ndarray = strains.reshape(*strains.shape[:2], 48) @ self._pull
        return found

    def push(self, forces: np.ndarray) -> np.ndarray:
        """Return the nodal forces (n_loads, n, 24) of forces per volume, per full box; bubbles take none."""
        shapes = box_displacements()[..., :24] * self.volume[:, None, None]
        found: np.ndarray = forces.reshape(*forces.shape[:2], 24) @ shapes.reshape(24, 24)
        return found


@dataclass(frozen=True)
class Group:
    """Boxes of one kind, each with a share of its volume.

    Attributes
    ----------
    kind : Kind
    cells : ndarray of int, shape (n, 8)
        Corners, counted in the nodes that the body uses.
    place : ndarray of int, shape (n, 3)
        Interval of the grid along each axis.
    weights : ndarray, shape (n,)
        Volume shares.
    centres : ndarray, shape (n, 3)
        mm.
    """

    kind: Kind
    cells: np.ndarray
    place: np.ndarray
    weights: np.ndarray
    centres: np.ndarray

    @property
    def points(self) -> np.ndarray:
        """Gauss points (n, 8, 3), mm."""
        answer: np.ndarray = self.centres[:, None, :] + GAUSS / 2 * self.kind.edges
        return answer

    @property
    def boxes(self) -> Boxes:
        """The boxes for the solver."""
        return Boxes(self.cells, self.place, self.kind.condensed, self.weights)

    def pieces(self) -> Iterator["Group"]:
        """Yield the boxes some thousands at a time."""
        for start in range(0, len(self.cells), _AT_ONCE):
            some = slice(start, start + _AT_ONCE)
            yield Group(self.kind, self.cells[some], self.place[some], self.weights[some], self.centres[some])


At = Callable[[Group], np.ndarray]
"""Values at the Gauss points of a group, (n_loads, n, 8, components)."""


class Body:
    """The stiffness of a block with its solver.

    Parameters
    ----------
    block : Block
    """

    def __init__(self, block: Block) -> None:
        self._grid = BoxGrid(block.lines, block.periodic)
        self.groups, nodes = _groups(block, self._grid)
        self.unknowns = 3 * len(nodes)
        self._rigid = self._grid.rigid_motions(nodes)

    @cached_property
    def _solver(self) -> Multigrid:
        return body_solver([group.boxes for group in self.groups], self.unknowns // 3, self._grid)

    def balance(self, imposed: At, forces: At | None = None) -> "Fields":
        """Return the fields in equilibrium with given strains that no displacement of the nodes makes.

        Parameters
        ----------
        imposed : callable
            Strain (n_loads, n, 8, 6) of a group's boxes before any displacement.
        forces : callable, optional
            Force per volume (n_loads, n, 8, 3), MPa/mm.
        """
        F: np.ndarray | float = 0.0
        largest = 0.0
        for piece in (piece for group in self.groups for piece in group.pieces()):
            local = _pulled(piece, imposed, forces)
            rows = (3 * piece.cells[:, :, None] + np.arange(3)).ravel()
            F = F + np.stack([np.bincount(rows, each.ravel(), self.unknowns) for each in local], axis=-1)
            largest = max(largest, float(np.abs(local).max()))
        F = F - self._rigid @ (self._rigid.T @ F)  # what fields solved before leave out of balance
        U = self._solver.solve(F, _TOLERANCE, _ROUND_OFF * largest)
        return Fields(self.groups, -U, imposed)


def _pulled(piece: Group, imposed: At, forces: At | None) -> np.ndarray:
    """Return the nodal forces (n_loads, n, 24) of boxes under strains and forces per volume."""
    pull = piece.kind.pull(imposed(piece))
    local = pull[..., :24] - pull[..., 24:] @ piece.kind.follow
    if forces is not None:
        local = local - piece.kind.push(forces(piece))
    answer: np.ndarray = piece.weights[:, None] * local
    return answer


@dataclass(frozen=True)
class Fields:
    """Fields by load: displacements of the nodes (3 n, n_loads), and the strain that came before them."""

    groups: list[Group]
    nodal: np.ndarray
    imposed: At

    def combined(self, weights: np.ndarray) -> "Fields":
        """Return the sum of the loads with some weights, as one load."""
        return Fields(
            self.groups,
            self.nodal @ weights[:, None],
            lambda group: np.tensordot(weights, self.imposed(group), axes=1)[None],
        )

    def energy(self, other: "Fields") -> np.ndarray:
        """Return the products (n_loads, n_loads of other) of strain energy, N mm."""
        total = np.zeros((self.nodal.shape[1], other.nodal.shape[1]))
        for group in self.groups:
            for piece in group.pieces():
                mine = self._in(piece)[0]
                yours = mine if other is self else other._in(piece)[0]
                stress = (yours @ piece.kind.C) * (piece.kind.volume[:, None] * piece.weights[:, None, None])
                total += np.tensordot(mine, stress, axes=([1, 2, 3], [1, 2, 3]))
        return total

    def stress(self, piece: Group) -> np.ndarray:
        """Return the stress (n_loads, n_boxes, 8, 6) in some boxes, MPa."""
        answer: np.ndarray = self._in(piece)[0] @ piece.kind.C
        return answer

    def moves(self, piece: Group) -> np.ndarray:
        """Return the displacement at the Gauss points (n_loads, n_boxes, 8, 3) of some boxes, mm."""
        both = self._in(piece)[1]
        answer: np.ndarray = (both @ box_displacements().reshape(24, 33).T).reshape(*both.shape[:2], 8, 3)
        return answer

    def _in(self, piece: Group) -> tuple[np.ndarray, np.ndarray]:
        """Return the strains (n_loads, n, 8, 6) of boxes and the displacements (n_loads, n, 33), bubbles last."""
        imposed, kind, loads = self.imposed(piece), piece.kind, self.nodal.shape[1]
        nodal = self.nodal.reshape(-1, 3, loads)[piece.cells].transpose(3, 0, 1, 2).reshape(loads, -1, 24)
        bubbles = -nodal @ kind.follow.T - kind.pull(imposed)[..., 24:] @ kind.soften
        both = np.concatenate([nodal, bubbles], axis=-1)
        return imposed + (both @ kind.strain.reshape(48, 33).T).reshape(imposed.shape), both


def _groups(block: Block, grid: BoxGrid) -> tuple[list[Group], np.ndarray]:
    """Return the boxes by material and size, and the grid's numbers of the nodes they use."""
    sizes = [np.diff(line) for line in block.lines]
    kinds = [np.unique(np.round(size, 9), return_inverse=True) for size in sizes]
    middles = [(line[1:] + line[:-1]) / 2 for line in block.lines]
    parts, corners = [], []
    for C, shares in zip(block.materials, block.shares, strict=True):
        place = np.argwhere(shares)
        kind = np.column_stack([kinds[axis][1][place[:, axis]] for axis in range(3)])
        for one in np.unique(kind, axis=0):
            here = place[(kind == one).all(axis=1)]
            edges = np.array([kinds[axis][0][one[axis]] for axis in range(3)])
            parts.append((Kind(edges, C), here, shares[tuple(here.T)]))
            corners.append(grid.corners(here))
    nodes, cells = np.unique(np.concatenate(corners), return_inverse=True)
    ends = np.cumsum([len(each) for each in corners])
    found = []
    for (one_kind, here, weights), own in zip(parts, np.split(cells.reshape(-1, 8), ends[:-1]), strict=True):
        centres = np.column_stack([middles[axis][here[:, axis]] for axis in range(3)])
        found.append(Group(one_kind, own, here, weights, centres))
    return found, nodes
