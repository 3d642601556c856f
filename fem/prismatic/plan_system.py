"""The cell problem of a prismatic solid: six unit mean strains on one period, one factorisation, orders 2 to p.

Functions inside the elements are eliminated element by element, copies on the rim share their unknowns, and one vertex
of every body is held. Order p contains order p - 1, so one set of element matrices serves all lower orders.
"""

from dataclasses import dataclass

import numpy as np
import scipy.sparse as sp

from fem.numerics.solve import Factorised
from fem.numerics.triangle import n_bubbles, n_functions
from fem.prismatic.periodic import Period
from fem.prismatic.plan_elements import Material, PlanElements


@dataclass(frozen=True)
class Group:
    """Components of the displacement that are solved together, and the mean strains that drive them."""

    components: tuple[int, ...]
    loads: tuple[int, ...]


COUPLED = (Group((0, 1, 2), (0, 1, 2, 3, 4, 5)),)
APART = (Group((0, 1), (0, 1, 2, 5)), Group((2,), (3, 4)))


@dataclass(frozen=True)
class Solution:
    """Periodic displacements under six unit mean strains.

    Attributes
    ----------
    order : int
        Polynomial order.
    stiffness : ndarray, shape (6, 6)
        Mean stiffness in MPa: from above, by the energy.
    displacement : ndarray, shape (n_elements, 3, n_functions, 6)
        Coefficients of the shape functions in mm per unit mean strain; components, functions, loads.
    unknowns : int
        Unknowns of the factorised systems.
    """

    order: int
    stiffness: np.ndarray
    displacement: np.ndarray
    unknowns: int


class PlanSystem:
    """Element matrices of one order, and solutions of that order and all lower ones.

    Parameters
    ----------
    period : Period
        Closed mesh.
    material : ndarray (6, 6) or callable
        Stiffness, or a function of points (..., 2) that returns (..., 6, 6).
    order : int
        Polynomial order of the displacement, at least 2.
    """

    def __init__(self, period: Period, material: np.ndarray | Material, order: int) -> None:
        self.period, self.order = period, order
        self.elements = PlanElements(period, material, order)
        self._groups = COUPLED if self.elements.coupled else APART
        self._matrices = [self.elements.matrices(group.components, group.loads) for group in self._groups]

    def solve(self, order: int) -> Solution:
        """Return the solution of an order up to the system's own."""
        keep = np.concatenate([np.arange(3 * order), 3 * self.order + np.arange(n_bubbles(order))])
        C = self.elements.mean_stiffness()
        displacement = np.zeros((len(self.period.vertex), 3, n_functions(order), 6))
        unknowns = 0
        for group, (K, F) in zip(self._groups, self._matrices, strict=True):
            if order < self.order:
                K, F = K[:, :, keep][..., keep], F[:, :, keep]
            local, work, count = self._solve_group(K, F, order)
            C[np.ix_(group.loads, group.loads)] -= work
            displacement[np.ix_(range(len(local)), group.components, range(len(keep)), group.loads)] = local
            unknowns += count
        C /= self.period.area
        return Solution(order, (C + C.T) / 2, displacement, unknowns)

    def _solve_group(self, K: np.ndarray, F: np.ndarray, order: int) -> tuple[np.ndarray, np.ndarray, int]:
        """Displacement (elements, components, functions, loads), work of the loads, and number of unknowns."""
        n, nc, nb, n_loads = F.shape
        m = 3 * order
        outer, inner, bubble = condense(K, F, m)
        rows, free = self._places(order, nc)
        count = rows.max() + 1
        load = np.zeros((count, n_loads))
        np.add.at(load, rows.ravel(), outer[1].reshape(-1, n_loads))
        i, j = np.repeat(rows, nc * m, axis=1).ravel(), np.tile(rows, (1, nc * m)).ravel()
        matrix = sp.coo_matrix((outer[0].ravel(), (i, j)), shape=(count, count)).tocsc()[:free, :free]
        U = np.zeros((count, n_loads))
        U[:free] = Factorised(matrix, ordered=True).solve(load[:free])
        local = np.empty((n, nc, nb, n_loads))
        local[:, :, :m] = U[rows].reshape(n, nc, m, n_loads)
        work = load.T @ U
        if nb > m:
            local[:, :, m:] = (inner[1] - inner[0] @ U[rows]).reshape(n, nc, nb - m, n_loads)
            work += np.tensordot(bubble, inner[1], axes=([0, 1], [0, 1]))
        return local, work, free

    def _places(self, order: int, nc: int) -> tuple[np.ndarray, int]:
        """Return where the unknowns of the elements stand, and how many unknowns are free.

        Places (elements, nc x 3 order) run in the order of elimination; those of the held vertices come last.
        """
        period = self.period
        place = period.elimination
        key = np.concatenate([place[: period.n_vertices], np.tile(place[period.n_vertices :], order - 1)])
        key[period.anchors] = len(place)
        rank = np.empty(len(key), dtype=np.int64)
        rank[np.argsort(key, kind="stable")] = np.arange(len(key))
        edges = [period.n_vertices + k * period.n_edges + period.edge for k in range(order - 1)]
        functions = rank[np.concatenate([period.vertex, *edges], axis=1)]
        rows = functions[:, None, :] * nc + np.arange(nc)[:, None]
        return rows.reshape(len(functions), -1), nc * (len(key) - len(period.anchors))


def condense(
    K: np.ndarray, F: np.ndarray, m: int
) -> tuple[tuple[np.ndarray, ...], tuple[np.ndarray, ...], np.ndarray]:
    """Eliminate all functions from the m-th on: outer system, inner system solved for the outer, inner loads."""
    n, nc, nb, n_loads = F.shape
    K_outer = K[:, :, :m, :, :m].reshape(n, nc * m, nc * m)
    F_outer = F[:, :, :m].reshape(n, nc * m, n_loads)
    F_inner = F[:, :, m:].reshape(n, -1, n_loads)
    if nb == m:
        return (K_outer, F_outer), (), F_inner
    K_inner = K[:, :, m:, :, m:].reshape(n, nc * (nb - m), -1)
    K_mixed = K[:, :, m:, :, :m].reshape(n, nc * (nb - m), -1)
    solved = np.linalg.solve(K_inner, np.concatenate([K_mixed, F_inner], axis=2))
    inner = solved[..., : nc * m], solved[..., nc * m :]
    across = K_mixed.transpose(0, 2, 1)
    return (K_outer - across @ inner[0], F_outer - across @ inner[1]), inner, F_inner
