"""How stiff stacked beads are across their layers: a vertical cut through stadium beads, plane strain, by symmetry.

The round sides of two beads meet in a cusp of no opening angle at the ends of the flats, which alone are welded.
"""

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from fem.layered.bead_mesh import quarter_section
from fem.material.stiffness import isotropic
from fem.numerics.solve import Factorised
from fem.numerics.symmetry import Tie, fold
from fem.numerics.tensor_elements import assemble, element_stiffness, grid_nodes
from patterns.bead import Bead

_ORDERS = (4, 6)
_GROWTH = 4.0  # of elements away from the cusp
_FIRST = 1e-4  # element at the cusp / half the layer height


@dataclass(frozen=True)
class StackStiffness:
    """Stiffness of beads stacked in line.

    Attributes
    ----------
    ratio : float
        Modulus across the layers, per bead width w, over that of solid material (plane strain both).
    error : float
        Estimated relative error.
    """

    ratio: float
    error: float


@lru_cache(maxsize=256)
def stack_stiffness(bead: Bead, nu: float) -> StackStiffness:
    """Return the stiffness of beads stacked in line, of Poisson's ratio ``nu``; 1 for square edges."""
    if bead.section != "stadium":
        return StackStiffness(1.0, 0.0)
    coarse, fine = (_pull(bead, isotropic(1.0, nu), order) for order in _ORDERS)
    return StackStiffness(fine, abs(coarse / fine - 1))


def _pull(bead: Bead, C: np.ndarray, order: int) -> float:
    """Return the ratio under a unit strain across the layers."""
    flat, side = bead.flat_width / 2, bead.height / 2
    first = _FIRST * side
    across = flat - grid_nodes(_growing(first, flat), order)[::-1]
    levels = grid_nodes(1 - _growing(_FIRST, 1.0)[::-1], order)
    turn = grid_nodes(_growing(_FIRST, math.pi / 2), order)
    round_side = np.column_stack([flat + side * np.sin(turn), side * np.cos(turn)])
    grid = quarter_section(across, levels, side, round_side, order)
    x, nodes = grid.points, np.arange(len(grid.points))
    K = assemble(element_stiffness(x, grid.cells, order, C), grid.cells, len(x))
    eps = np.diag([0.0, 1.0])
    near = 1e-9 * side
    middle = nodes[x[:, 0] < near]
    layers = nodes[(x[:, 1] < near) | ((x[:, 1] > side - near) & (x[:, 0] < flat + near))]
    P = fold(
        len(x), [Tie(middle, middle, np.diag([-1.0, 1.0])), Tie(layers, layers, np.diag([1.0, -1.0]))], eps
    )
    u = (x @ eps).ravel()
    u -= P @ Factorised(P.T @ K @ P).solve(P.T @ (K @ u))
    force = u @ (K @ u) / side
    lateral = 1 - C[1, 2] ** 2 / (C[1, 1] * C[2, 2])  # with free sides
    return float(force / (bead.width / 2) / C[2, 2] / lateral)


def _growing(first: float, length: float) -> np.ndarray:
    """Return breaks from 0 to a length: intervals that start near ``first`` and grow by a fixed factor."""
    count = max(1, round(math.log1p(length / first * (_GROWTH - 1)) / math.log(_GROWTH)))
    breaks = np.concatenate([[0.0], np.cumsum(_GROWTH ** np.arange(count))])
    found: np.ndarray = length * (breaks / breaks[-1])
    return found
