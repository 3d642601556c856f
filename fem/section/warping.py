"""Warping of a section under its six resultants: four central solutions constant along x, two that grow with it.

A long beam loaded at its ends has six strain states beside its rigid motions. Four are constant along x
(tension, torsion, two bendings): the measures q = [e0, twist, ky, kz] plus a warping w of three components with

    E w = -R q,    E = int B^T C B,   R = int B^T C L,

where B takes in-plane gradients and L q is the strain of the measures. Two grow with x (shear forces with the
bending they cause): q = q0 + x q1, and the warping w1 of q1 acts as a slope,

    E w = int N^T sigma_x(q1) - int B^T C N w1,

N being the warping's own part of the strain rate, sigma_x the stress on the cut. All six share one
factorisation of E. The compliance is the energy matrix of the six stress fields of unit resultants; its inverse
is the 6 x 6.

References
----------
V. Giavotto, M. Borri, P. Mantegazza et al., Anisotropic beam theory and applications, Computers and Structures
16 (1983) 403. M. Borri, T. Merlini, A large displacement formulation for anisotropic beam analysis, Meccanica 21
(1986) 30. M. Morandini, M. Chierichetti, P. Mantegazza, Characteristic behavior of prismatic anisotropic beam
via generalized eigenvectors, Int. J. Solids and Structures 47 (2010) 1327.
"""

import numpy as np
import scipy.sparse as sp
from scipy.sparse.csgraph import connected_components

from fem.numerics.dissection import nested_dissection
from fem.numerics.solve import Factorised
from fem.section.basis import WarpingBasis
from patterns.errors import SolverError

VOID = 1e-9
"""Stiffness below this share of the largest counts as none."""


def unit_fields(
    basis: WarpingBasis, C: np.ndarray, free: "FreeWarping"
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return measures (6, 4), warping and slope along x (6, n_nodes, 3) of the unit resultants at the basis' origin.

    ``C`` (n_elements or 1, 6, 6) is the stiffness of the basis' elements, MPa.
    """
    classical = [0, 3, 4, 5]  # N, T, My, Mz
    sig = [basis.strain(q) @ C for q in np.eye(4)]
    W = free.solve(np.stack([-basis.forces_across(s) for s in sig]))
    sig = [basis.strain(q, w) @ C for q, w in zip(np.eye(4), W, strict=True)]
    A = np.stack([basis.resultants(s)[classical] for s in sig], axis=1)
    unit = np.linalg.inv(A)  # column: measures of a unit N, T, My, Mz
    rate = np.stack([-unit[:, 3], unit[:, 2]])  # of q along x under Vy (Mz' = -1) and Vz (My' = 1)
    slope = np.tensordot(rate, W, 1)
    forces = []
    for q, dw in zip(rate, slope, strict=True):
        growing = basis.strain(q, np.tensordot(q, W, 1)) @ C
        forces.append(basis.forces_along(growing) - basis.forces_across(basis.strain(np.zeros(4), dw=dw) @ C))
    flexure = free.solve(np.stack(forces))
    measures, warping, slopes = np.zeros((6, 4)), np.zeros((6, *W.shape[1:])), np.zeros((6, *W.shape[1:]))
    measures[classical] = unit.T
    warping[classical] = np.tensordot(unit.T, W, 1)
    for row, w, dw in zip((1, 2), flexure, slope, strict=True):
        spurious = basis.resultants(basis.strain(np.zeros(4), w, dw) @ C)[classical]
        measures[row] = -unit @ spurious
        warping[row] = w + np.tensordot(measures[row], W, 1)
        slopes[row] = dw
    return measures, warping, slopes


class FreeWarping:
    """The warping stiffness, factorised without rigid motions and without freedoms that nothing holds."""

    def __init__(self, basis: WarpingBasis, C: np.ndarray) -> None:
        n = basis.n_nodes
        K = basis.stiffness(C)
        largest = np.abs(C).max()
        held, node, whole = _held_directions(K, n, VOID * largest)
        self._n_nodes, self._held = n, held
        self.dropped = 3 * n - held.shape[1]
        # loads of the warping do no work on rigid motions, so springs that just hold these carry no force
        springs = np.zeros(3 * n)
        springs[_supports(basis.node_points, whole)] = largest
        K = (K + sp.diags_array(springs)).tocsr()
        if self.dropped:
            K = (held.T @ K @ held).tocsr()
        rank = np.empty(n, dtype=np.int64)
        rank[nested_dissection(basis.nodes, basis.points.mean(axis=1), n)] = np.arange(n)
        order = np.argsort(rank[node], kind="stable")
        _, group = connected_components(K, directed=False)
        self._groups = [order[group[order] == g] for g in range(group.max() + 1)]
        self._factors = [_definite(K[part][:, part]) for part in self._groups]

    def solve(self, forces: np.ndarray) -> np.ndarray:
        """Return the warping (n_loads, n_nodes, 3) under nodal forces of the same shape."""
        F = self._held.T @ forces.transpose(2, 1, 0).reshape(3 * self._n_nodes, -1)
        U = np.empty_like(F)
        for part, factor in zip(self._groups, self._factors, strict=True):
            U[part] = factor.solve(F[part])
        found: np.ndarray = (self._held @ U).reshape(3, self._n_nodes, -1).transpose(2, 1, 0)
        return found


def _held_directions(K: sp.csr_matrix, n: int, least: float) -> tuple[sp.csr_matrix, np.ndarray, np.ndarray]:
    """Columns (3 n, m) of the nodal directions with stiffness, their nodes (m,), and which nodes have all three.

    K is positive semi-definite: a direction without stiffness in its node's own 3 x 3 block has none at all.
    """
    own = np.empty((n, 3, 3))
    for a in range(3):
        for b in range(3):
            own[:, a, b] = K.diagonal((b - a) * n)[min(a, b) * n :][:n]
    scale = np.trace(own, axis1=1, axis2=2)
    weak = np.flatnonzero((scale <= least) | (np.linalg.det(own) <= 1e-6 * scale**3))
    strength, direction = np.linalg.eigh(own[weak])
    kept = np.asarray(strength > least)
    full = np.asarray(kept.all(axis=1))
    whole = np.ones(n, dtype=bool)
    whole[weak] = full
    plain = (np.arange(3)[:, None] * n + np.flatnonzero(whole)).ravel()
    node, mode = np.nonzero(kept & ~full[:, None])
    row = np.arange(3)[:, None] * n + weak[node]
    value = direction[node, :, mode].T
    column = len(plain) + np.broadcast_to(np.arange(len(node)), row.shape)
    entries = np.concatenate([np.ones(len(plain)), value.ravel()])
    rows = np.concatenate([plain, row.ravel()])
    columns = np.concatenate([np.arange(len(plain)), column.ravel()])
    held = sp.csr_matrix((entries, (rows, columns)), shape=(3 * n, len(plain) + len(node)))
    held.data[np.abs(held.data) < 1e-12] = 0
    held.eliminate_zeros()
    return held, np.concatenate([plain % n, weak[node]]), whole


def _supports(points: np.ndarray, whole: np.ndarray) -> np.ndarray:
    """Four unknowns that just hold the rigid motions of the slice: three at one node, one at the farthest."""
    nodes, n = np.flatnonzero(whole), len(points)
    if len(nodes) < 2:
        raise SolverError("no material holds the section in all directions: a part can move without strain")
    here = nodes[0]
    arm = points - points[here]
    there = nodes[np.argmax((arm[nodes] ** 2).sum(axis=1))]
    sideways = 2 if abs(arm[there, 0]) > abs(arm[there, 1]) else 1
    return np.array([here, n + here, 2 * n + here, sideways * n + there])


def _definite(K: sp.csr_matrix) -> Factorised:
    """Factorise, and refuse a matrix that lets some motion pass without energy."""
    factor = Factorised(K, ordered=True)
    load = np.random.default_rng(1).standard_normal(K.shape[0])
    motion = factor.solve(load)
    if motion @ load <= 1e-14 * K.diagonal().max() * (motion @ motion):
        raise SolverError(
            "a part of the section can move without strain: its material leaves a shear or a direction free; "
            "give it some stiffness or enclose it by a wall"
        )
    return factor
