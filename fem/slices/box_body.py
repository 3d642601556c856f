"""Bodies of boxes that repeat along some axes: strain fields under mean strains, and the energies they store.

A box may hold several materials at once, each with a share of its volume and with bubbles of its own: that is how
boxes which lines and borders cut are filled. Unused nodes are left out.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import scipy.sparse as sp

from fem.numerics.aggregation import Aggregated
from fem.numerics.box_element import CORNERS, GAUSS, box_displacements, box_strains
from fem.numerics.tensor_elements import assemble

_GROUND = (
    1e-10  # springs to the ground over the diagonal: they hold the rigid motions that strains leave free
)
_CUBE = 4.0  # edge of an aggregate, in the largest edge of a box
_CHUNK = 50_000  # boxes assembled at once


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


class Body:
    """The assembled stiffness of a block with its preconditioner.

    Parameters
    ----------
    block : Block
    """

    def __init__(self, block: Block) -> None:
        self.groups, nodes = _groups(block)
        self._positions = _positions(block, nodes)
        self._largest = max(np.diff(line).max() for line in block.lines)
        self.unknowns = 3 * len(nodes)

    @cached_property
    def _solver(self) -> Aggregated:
        n = self.unknowns // 3
        K = sp.csr_matrix((3 * n, 3 * n))
        for group in self.groups:
            for start in range(0, len(group.cells), _CHUNK):
                some = slice(start, start + _CHUNK)
                K = K + assemble(group.weights[some, None, None] * group.condensed, group.cells[some], n)
        K = K + _GROUND * sp.diags_array(K.diagonal())
        places, directions = np.repeat(self._positions, 3, axis=0), np.tile(np.eye(3), (n, 1))
        return Aggregated(K, places, directions, _CUBE * self._largest)

    def balance(self, strains: list[np.ndarray], forces: list[np.ndarray] | None = None) -> "Fields":
        """Return the fields in equilibrium with given strains that no displacement of the nodes makes.

        Parameters
        ----------
        strains : list of ndarray
            For each group (n_loads, n_boxes, 8, 6): strain at the Gauss points before any displacement.
        forces : list of ndarray, optional
            For each group (n_loads, n_boxes, 8, 3): force per volume at the Gauss points, MPa/mm.
        """
        n_loads = len(strains[0])
        F = np.zeros((self.unknowns, n_loads))
        pulls = [group.pull(eps) for group, eps in zip(self.groups, strains, strict=True)]
        for number, (group, pull) in enumerate(zip(self.groups, pulls, strict=True)):
            local = pull[..., :24] - pull[..., 24:] @ group.follow
            if forces is not None:
                local = local - group.push(forces[number])
            rows = (3 * group.cells[:, :, None] + np.arange(3)).ravel()
            for load in range(n_loads):
                F[:, load] += np.bincount(rows, (group.weights[:, None] * local[load]).ravel(), self.unknowns)
        U = -self._solver.solve(F)
        found = []
        for group, pull, eps in zip(self.groups, pulls, strains, strict=True):
            nodal = U.reshape(-1, 3, n_loads)[group.cells].transpose(3, 0, 1, 2).reshape(n_loads, -1, 24)
            bubbles = -nodal @ group.follow.T - pull[..., 24:] @ group.soften
            both = np.concatenate([nodal, bubbles], axis=-1)
            total = eps + (both @ group.strain.reshape(48, 33).T).reshape(eps.shape)
            found.append((total, both))
        return Fields(self.groups, [total for total, _ in found], [both for _, both in found])


@dataclass(frozen=True)
class Fields:
    """Strains (n_loads, n_boxes, 8, 6) and displacements (n_loads, n_boxes, 33) of each group of boxes."""

    groups: list["Group"]
    strains: list[np.ndarray]
    displacements: list[np.ndarray]

    def combined(self, weights: np.ndarray) -> "Fields":
        """Return the sum of the loads with some weights, as one load."""
        return Fields(
            self.groups,
            [np.tensordot(weights, eps, axes=1)[None] for eps in self.strains],
            [np.tensordot(weights, both, axes=1)[None] for both in self.displacements],
        )

    def energy(self, other: "Fields") -> np.ndarray:
        """Return the products (n_loads, n_loads of other) of strain energy, N mm."""
        total = np.zeros((len(self.strains[0]), len(other.strains[0])))
        for group, mine, yours in zip(self.groups, self.strains, other.strains, strict=True):
            stress = (yours @ group.C) * (group.volume[:, None] * group.weights[:, None, None])
            total += np.tensordot(mine, stress, axes=([1, 2, 3], [1, 2, 3]))
        return total

    def stresses(self) -> list[np.ndarray]:
        """Return the stress of each group, (n_loads, n_boxes, 8, 6), MPa."""
        return [eps @ group.C for group, eps in zip(self.groups, self.strains, strict=True)]

    def moves(self) -> list[np.ndarray]:
        """Return the displacement at the Gauss points of each group, (n_loads, n_boxes, 8, 3), mm."""
        shapes = box_displacements().reshape(24, 33)
        return [(both @ shapes.T).reshape(*both.shape[:2], 8, 3) for both in self.displacements]


class Group:
    """Boxes of one size and one material, each with a share of its volume.

    Attributes
    ----------
    C : ndarray, shape (6, 6)
        MPa.
    cells : ndarray of int, shape (n, 8)
        Corners, counted in the nodes that the body uses.
    weights : ndarray, shape (n,)
        Volume shares.
    points : ndarray, shape (n, 8, 3)
        Gauss points, mm.
    strain : ndarray, shape (8, 6, 33)
        See `fem.numerics.box_element.box_strains`.
    volume : ndarray, shape (8,)
        mm^3.
    condensed : ndarray, shape (24, 24)
        Stiffness of a full box without its bubbles.
    follow, soften : ndarray
        Bubbles are -follow @ nodal - soften @ pull.
    """

    def __init__(
        self, edges: np.ndarray, C: np.ndarray, cells: np.ndarray, weights: np.ndarray, centres: np.ndarray
    ) -> None:
        self.C, self.cells, self.weights = C, cells, weights
        self.points = centres[:, None, :] + GAUSS / 2 * edges
        self.strain, self.volume = box_strains(edges)
        self._pull = np.einsum("q,vw,qwi->qvi", self.volume, C, self.strain).reshape(48, 33)
        K = self.strain.reshape(48, 33).T @ self._pull
        self.soften = np.linalg.inv(K[24:, 24:])
        self.follow = self.soften @ K[24:, :24]
        self.condensed = K[:24, :24] - K[:24, 24:] @ self.follow

    def pull(self, strains: np.ndarray) -> np.ndarray:
        """Return the generalised forces (n_loads, n, 33) of the stresses of some strains, per full box."""
        found: np.ndarray = strains.reshape(*strains.shape[:2], 48) @ self._pull
        return found

    def push(self, forces: np.ndarray) -> np.ndarray:
        """Return the nodal forces (n_loads, n, 24) of forces per volume, per full box; bubbles take none."""
        shapes = box_displacements()[..., :24] * self.volume[:, None, None]
        found: np.ndarray = forces.reshape(*forces.shape[:2], 24) @ shapes.reshape(24, 24)
        return found


def _groups(block: Block) -> tuple[list[Group], np.ndarray]:
    """Return the boxes by material and size, and the grid's numbers of the nodes they use."""
    sizes = [np.diff(line) for line in block.lines]
    counts = [len(size) + (not turn) for size, turn in zip(sizes, block.periodic, strict=True)]
    kinds = [np.unique(np.round(size, 9), return_inverse=True) for size in sizes]
    parts, corners = [], []
    for C, shares in zip(block.materials, block.shares, strict=True):
        place = np.argwhere(shares)
        kind = np.column_stack([kinds[axis][1][place[:, axis]] for axis in range(3)])
        for one in np.unique(kind, axis=0):
            here = place[(kind == one).all(axis=1)]
            parts.append((np.array([kinds[axis][0][one[axis]] for axis in range(3)]), C, shares, here))
            nodes = (here[:, None, :] + CORNERS) % counts
            corners.append(np.ravel_multi_index(tuple(np.moveaxis(nodes, -1, 0)), counts))
    nodes, cells = np.unique(np.concatenate(corners), return_inverse=True)
    ends = np.cumsum([len(each) for each in corners])
    middles = [(line[1:] + line[:-1]) / 2 for line in block.lines]
    groups = [
        Group(
            edges,
            C,
            own,
            shares[tuple(here.T)],
            np.column_stack([middles[axis][here[:, axis]] for axis in range(3)]),
        )
        for (edges, C, shares, here), own in zip(
            parts, np.split(cells.reshape(-1, 8), ends[:-1]), strict=True
        )
    ]
    return groups, nodes


def _positions(block: Block, nodes: np.ndarray) -> np.ndarray:
    """Return where nodes lie, (n, 3) in mm."""
    counts = [len(line) - turn for line, turn in zip(block.lines, block.periodic, strict=True)]
    index = np.unravel_index(nodes, counts)
    return np.column_stack([line[at] for line, at in zip(block.lines, index, strict=True)])
