"""Guaranteed lower bound on antiplane shear stiffness, from a stress function.

Displacements give the stiffness from above. Any shear stress in equilibrium gives it from below: q = (d psi/dx2,
-d psi/dx1) is in equilibrium whatever psi is, and leaves voids unloaded where psi is constant along their surface.
With psi = r.x + periodic part, the mean stress is (r2, -r1), and the least complementary energy over all psi bounds
the compliance from above (Prandtl's stress function, on one period). The edge functions of order 8 hold the outline
exactly, so no stress crosses it.
"""

import numpy as np
import scipy.sparse as sp
from scipy.sparse.csgraph import breadth_first_order, connected_components

from fem.numerics.edges import SHARES
from fem.numerics.solve import Factorised
from fem.numerics.triangle import EDGES
from fem.prismatic.periodic import Period
from fem.prismatic.plan_elements import PlanElements
from fem.prismatic.plan_system import condense
from patterns.errors import InputError

ORDER = len(SHARES) + 1
_CLOSED = 1e-6  # share of a period by which the way round a void may fail to close
_TURN = np.array([[0.0, 1.0], [-1.0, 0.0]])  # from r to the mean stress


def antiplane_lower_bound(period: Period, G: float) -> np.ndarray:
    """Return a lower bound (2, 2) in MPa on the stiffness against shears 13 and 23, as a quadratic form.

    Parameters
    ----------
    period : Period
        Closed mesh of a prismatic cell.
    G : float
        Shear modulus of the beads, MPa; the same everywhere.

    Raises
    ------
    InputError
        If a void runs through the whole plan, so that some shear has no load path.
    """
    elements = PlanElements(period, np.diag([0, 0, 0, 1 / G, 1 / G, 0]), ORDER)
    outer, inner, bubble = condense(*elements.matrices((2,), (4, 3)), 3 * ORDER)
    base = np.eye(2) * elements.solid_area() / G - np.tensordot(bubble, inner[1], axes=([0, 1], [0, 1]))
    A, b = _assembled(period, *outer)
    P, fixed = _constant_along_voids(period)
    z = Factorised(P.T @ A @ P).solve(P.T @ (b - A @ fixed))
    psi = P @ z + fixed
    work = psi.T @ b
    energy = (base - work - work.T + psi.T @ (A @ psi)) / period.area
    return np.linalg.inv(_TURN @ energy @ _TURN.T)


def _assembled(period: Period, K: np.ndarray, F: np.ndarray) -> tuple[sp.csr_matrix, np.ndarray]:
    """Return matrix and loads over vertices, then edge functions order by order."""
    edges = [period.n_vertices + k * period.n_edges + period.edge for k in range(ORDER - 1)]
    rows = np.concatenate([period.vertex, *edges], axis=1)
    count, m = period.n_vertices + (ORDER - 1) * period.n_edges, rows.shape[1]
    i, j = np.repeat(rows, m, axis=1).ravel(), np.tile(rows, (1, m)).ravel()
    load = np.zeros((count, F.shape[-1]))
    np.add.at(load, rows.ravel(), F.reshape(-1, F.shape[-1]))
    return sp.coo_matrix((K.ravel(), (i, j)), shape=(count, count)).tocsr(), load


def _constant_along_voids(period: Period) -> tuple[sp.csr_matrix, np.ndarray]:
    """Return P and D so that the periodic part P z + D makes psi constant along every void, for r = e1 and e2.

    Unknowns z are the vertices and edge functions inside the solid and one constant per void; the first is zero.
    """
    void, place = _voids(period)
    n, n_edges = period.n_vertices, period.n_edges
    element, edge = np.nonzero(period.free)
    surface = np.zeros(n_edges, dtype=bool)
    surface[period.edge[element, edge]] = True
    fixed = np.zeros((n + (ORDER - 1) * n_edges, 2))
    fixed[:n] = -place
    for k in range(ORDER - 1):
        fixed[n + k * n_edges + period.edge[element, edge]] = -period.bends[element, edge, k]
    inside = np.flatnonzero(np.concatenate([void < 0, np.tile(~surface, ORDER - 1)]))
    if void.max() < 0:
        inside = inside[1:]  # without voids nothing else holds the constant
    held = np.flatnonzero(void > 0)
    rows = np.concatenate([inside, held])
    columns = np.concatenate([np.arange(len(inside)), len(inside) + void[held] - 1])
    shape = (len(fixed), len(inside) + max(int(void.max()), 0))
    return sp.csr_matrix((np.ones(len(rows)), (rows, columns)), shape=shape), fixed


def _voids(period: Period) -> tuple[np.ndarray, np.ndarray]:
    """Return the void (n_vertices,) that every vertex borders, -1 inside the solid, and its place (n_vertices, 2).

    Places are counted along the void's own surface from one of its vertices, so that a void across the rim of the
    period is in one piece; zero inside the solid.
    """
    n = period.n_vertices
    element, edge = np.nonzero(period.free)
    ends = np.array(EDGES)[edge]
    first, last = (period.vertex[element, ends[:, k]] for k in range(2))
    step = period.corners[element, ends[:, 1]] - period.corners[element, ends[:, 0]]
    both = np.concatenate([first, last]), np.concatenate([last, first])
    graph = sp.coo_matrix((np.ones(2 * len(first)), both), shape=(n, n)).tocsr()
    _, label = connected_components(graph, directed=False)
    on = np.unique(both[0])
    void = np.full(n, -1)
    void[on] = np.unique(label[on], return_inverse=True)[1]
    steps = dict(zip(zip(*both, strict=True), np.concatenate([step, -step]), strict=True))
    place = np.zeros((n, 2))
    for start in (on[np.argmax(void[on] == k)] for k in range(int(void.max(initial=-1)) + 1)):
        order, before = breadth_first_order(graph, start, directed=False)
        for vertex in order[1:]:
            place[vertex] = place[before[vertex]] + steps[before[vertex], vertex]
    if np.abs(place[last] - place[first] - step).max(initial=0) > _CLOSED * np.sqrt(period.area):
        raise InputError(
            "a void runs through the whole plan: shear across it has no load path and no lower bound"
        )
    return void, place
