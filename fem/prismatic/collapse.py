"""Plastic collapse of prismatic cells: limit loads of a periodic frame of lines, by linear programmes.

The lines of a cell are bars of rigid-plastic material. Any forces in equilibrium that nowhere pass the yield surface
bound the collapse load from below, and the largest such load is the frame's own (lower-bound theorem; Neal, The Plastic
Methods of Structural Analysis, from memory). A rectangular bar yields where |M|/Mp + (N/Np)^2 = 1; chords of that
parabola, inside it, make the programme linear. Moments are checked where lines leave a joint, at the corner between
neighbouring lines, since the joint itself is wider than a bar.

Loads are linear in the yield stress: all results are per unit yield stress of the lines (per unit yield stress in shear
for the shears along axis 3), and hold for any material.
"""

from dataclasses import dataclass
from itertools import pairwise, product

import numpy as np
from scipy.optimize import linprog
from scipy.sparse import coo_matrix, csr_matrix, hstack, vstack

_CHORDS = 8


@dataclass(frozen=True)
class Frame:
    """One period of a frame of straight bars.

    Attributes
    ----------
    area : float
        Plan area of the period, mm^2.
    ends : ndarray of int, shape (n, 2)
        Nodes that each bar joins; periodic copies are one node.
    along : ndarray, shape (n, 2)
        From the first to the second end, mm.
    width : float
        Of the bars, mm.
    insets : ndarray, shape (n, 2)
        How far the joint reaches along the bar from either end, mm.
    hinge : float
        Share of a bar's plastic moment that its joints pass on.
    """

    area: float
    ends: np.ndarray
    along: np.ndarray
    width: float
    insets: np.ndarray
    hinge: float = 1.0

    @property
    def lengths(self) -> np.ndarray:
        """Lengths of the bars between nodes, mm."""
        found: np.ndarray = np.linalg.norm(self.along, axis=1)
        return found

    @property
    def fill(self) -> float:
        """Length of the bars times their width over the area."""
        return float(self.lengths.sum() * self.width / self.area)


def plan_collapse(frame: Frame, load: np.ndarray) -> float:
    """Return the collapse stress of a frame under mean stresses in proportion to ``load`` (11, 22, 12).

    Bars carry a force N along and V across, and a moment; unknowns are N, V and the moment at the first end of each.
    """
    n, lengths = len(frame.along), frame.lengths
    t = frame.along / lengths[:, None]
    across = np.column_stack([-t[:, 1], t[:, 0]])
    zero = np.zeros(n)
    # rows of equilibrium per node: force on the second end (opposite on the first) and moments of both ends
    force = [(t[:, i], across[:, i], zero) for i in (0, 1)]
    ends = [(tuple(-f for f in row), row) for row in force] + [
        ((zero, zero, zero + 1), (zero, -lengths, zero - 1))
    ]
    balance = vstack([_at_nodes(frame, *row) for row in ends])
    mean = csr_matrix(
        np.array(
            [
                np.concatenate([t[:, i] * frame.along[:, j], across[:, i] * frame.along[:, j], zero])
                for i, j in ((0, 0), (1, 1), (0, 1))
            ]
        )
        / frame.area
    )
    return _largest(
        vstack([balance, mean]), np.concatenate([np.zeros(balance.shape[0]), load]), _yields(frame)
    )


def _at_nodes(frame: Frame, first: tuple[np.ndarray, ...], second: tuple[np.ndarray, ...]) -> csr_matrix:
    """Return rows per node that add columns N, V, M of each bar at its first and at its second end."""
    n, nodes = len(frame.along), int(frame.ends.max()) + 1
    values = np.concatenate([*first, *second])
    rows = np.concatenate([np.tile(frame.ends[:, 0], 3), np.tile(frame.ends[:, 1], 3)])
    columns = np.tile(np.arange(3 * n), 2)
    return coo_matrix((values, (rows, columns)), shape=(nodes, 3 * n)).tocsr()


def _yields(frame: Frame) -> csr_matrix:
    """Return rows that must stay at or below 1: chords of the yield surface where bars leave their joints."""
    n, w, bar = len(frame.along), frame.width, np.arange(len(frame.along))
    first, last = _faces(frame)
    steps = np.arange(_CHORDS + 1) / _CHORDS
    # through (a, 1 - a^2) and (b, 1 - b^2): m + (a + b) n = 1 + a b
    chords = [((a + b) / (1 + a * b), 1 / (1 + a * b)) for a, b in pairwise(steps)]
    blocks: list[coo_matrix] = []
    for (on_force, on_moment), sign, flip, place in product(chords, (1, -1), (1, -1), (first, last)):
        by_force, by_moment = sign * on_force / w, flip * on_moment / (frame.hinge * w**2 / 4)
        data = np.concatenate([np.full(n, by_force), by_moment * place, np.full(n, by_moment)])
        blocks.append(coo_matrix((data, (np.tile(bar, 3), np.arange(3 * n))), shape=(n, 3 * n)))
    return vstack(blocks).tocsr()


def _faces(frame: Frame) -> tuple[np.ndarray, np.ndarray]:
    """Return where bars leave their joints, from the first end; joints that meet leave the place where they do."""
    reach = frame.insets.sum(axis=1)
    squeeze = np.minimum(1.0, frame.lengths / np.maximum(reach, 1e-12))
    return frame.insets[:, 0] * squeeze, frame.lengths - frame.insets[:, 1] * squeeze


def upward_collapse(frame: Frame, direction: np.ndarray) -> float:
    """Return the collapse shear stress between axis 3 and a direction (2,) of the plan, per unit shear yield stress.

    Bars are plates along axis 3 with a shear flow each; the flows that meet at a node add up to nothing.
    """
    n, nodes = len(frame.along), int(frame.ends.max()) + 1
    bar, one = np.arange(n), np.ones(n)
    balance = coo_matrix(
        (np.concatenate([-one, one]), (frame.ends.T.ravel(), np.tile(bar, 2))), shape=(nodes, n)
    )
    held = vstack([balance, csr_matrix(frame.along.T / frame.area)])
    limits = vstack([csr_matrix(np.eye(n) / frame.width), csr_matrix(-np.eye(n) / frame.width)])
    return _largest(held, np.concatenate([np.zeros(nodes), direction]), limits)


def _largest(held: csr_matrix, load: np.ndarray, limits: csr_matrix) -> float:
    """Return the largest factor on a load that ``held`` balances within ``limits``; 0 where none does."""
    n = held.shape[1]
    equal = hstack([held, csr_matrix(-load[:, None])])
    bound = hstack([limits, csr_matrix((limits.shape[0], 1))])
    found = linprog(
        np.concatenate([np.zeros(n), [-1.0]]),
        A_ub=bound.tocsr(),
        b_ub=np.ones(limits.shape[0]),
        A_eq=equal.tocsr(),
        b_eq=np.zeros(held.shape[0]),
        bounds=(None, None),
        method="highs",
    )
    return max(float(-found.fun), 0.0) if found.success else 0.0
