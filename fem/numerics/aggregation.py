"""Conjugate gradients for large elastic systems, preconditioned by smoothed aggregation on two levels.

Nodes near each other form aggregates; on each one the coarse space holds the six rigid motions, smoothed once with
the stiffness so that their energy is low (Vanek, Mandel and Brezina 1996, Computing 56, 179, from memory). The coarse
system is factored; a Chebyshev polynomial of the stiffness, scaled by its diagonal, smooths before and after.
"""

from itertools import pairwise

import numpy as np
import scipy.sparse as sp
import scipy.sparse.linalg as spl

from fem.numerics.solve import Factorised
from patterns.errors import SolverError

_DEGREE = 4  # of the smoother
_RATIO = 30.0  # largest / smallest eigenvalue that the smoother deals with
_LEAST_RANK = 1e-6
_MOST_STEPS = 400


class Aggregated:
    """A symmetric positive definite stiffness with its two-level preconditioner.

    Parameters
    ----------
    K : sparse matrix, shape (n, n)
        Stiffness.
    positions : ndarray, shape (n, 3)
        Place of the node behind each unknown, mm.
    components : ndarray, shape (n, 3)
        Direction in which it moves that node.
    size : float
        Edge of the cubes whose nodes form an aggregate, mm.
    """

    def __init__(self, K: sp.spmatrix, positions: np.ndarray, components: np.ndarray, size: float) -> None:
        self.K = sp.csr_matrix(K)
        self._inverse = 1 / self.K.diagonal()
        self._largest = 1.05 * self._spectral_radius()
        tentative = _rigid_motions(positions, components, size)
        smoothing = sp.diags_array((4 / 3) / self._largest * self._inverse)
        self._up = sp.csr_matrix(tentative - smoothing @ (self.K @ tentative))
        self._down = sp.csr_matrix(self._up.T)
        self._coarse = Factorised(self._down @ self.K @ self._up)

    def _spectral_radius(self) -> float:
        """Return the largest eigenvalue of the stiffness scaled by its diagonal, by Lanczos steps."""
        root = sp.diags_array(np.sqrt(self._inverse))
        start = np.random.default_rng(0).standard_normal(self.K.shape[0])
        scaled = root @ self.K @ root
        return float(
            spl.eigsh(scaled, 1, which="LA", v0=start, ncv=20, tol=2e-2, return_eigenvectors=False)[0]
        )

    def solve(self, F: np.ndarray, tolerance: float = 1e-5) -> np.ndarray:
        """Return the solution for loads F (n, n_loads), to a relative residual in the preconditioner's norm.

        Raises
        ------
        SolverError
            If the iteration does not converge.
        """
        U, R = np.zeros_like(F), F.copy()
        Z = self._precondition(R)
        D, rho = Z.copy(), np.einsum("ij,ij->j", R, Z)
        goal = tolerance**2 * rho
        for _ in range(_MOST_STEPS):
            if np.all(rho <= goal):
                return U
            Q = self.K @ D
            bend = np.einsum("ij,ij->j", D, Q)
            step = np.divide(rho, bend, out=np.zeros_like(rho), where=bend > 0)
            U += step * D
            R -= step * Q
            Z = self._precondition(R)
            new = np.einsum("ij,ij->j", R, Z)
            D = Z + np.divide(new, rho, out=np.zeros_like(rho), where=rho > 0) * D
            rho = new
        raise SolverError(
            f"the iterative solver did not converge in {_MOST_STEPS} steps ({self.K.shape[0]} unknowns)"
        )

    def _precondition(self, R: np.ndarray) -> np.ndarray:
        """Return one symmetric cycle: smooth, correct on aggregates, smooth."""
        X = self._smooth(R)
        X += self._up @ self._coarse.solve(self._down @ (R - self.K @ X))
        found: np.ndarray = X + self._smooth(R - self.K @ X)
        return found

    def _smooth(self, R: np.ndarray) -> np.ndarray:
        """Return a Chebyshev polynomial of the scaled stiffness applied to R (Saad 2003, section 12.3)."""
        middle, half = self._largest * (1 + 1 / _RATIO) / 2, self._largest * (1 - 1 / _RATIO) / 2
        scale = self._inverse[:, None]
        sigma = middle / half
        rho = 1 / sigma
        D = scale * R / middle
        X: np.ndarray = D.copy()
        for _ in range(_DEGREE - 1):
            new = 1 / (2 * sigma - rho)
            D = new * rho * D + 2 * new / half * (scale * (R - self.K @ X))
            X += D
            rho = new
        return X


def _rigid_motions(positions: np.ndarray, components: np.ndarray, size: float) -> sp.csr_matrix:
    """Return orthonormal rigid motions of every aggregate (n, about 6 n_aggregates)."""
    _, group = np.unique(np.floor(positions / size).astype(int), axis=0, return_inverse=True)
    order = np.argsort(group, kind="stable")
    starts = np.flatnonzero(np.r_[True, np.diff(group[order]) > 0, True])
    rows, columns, values, count = [], [], [], 0
    for start, stop in pairwise(starts):
        own = order[start:stop]
        lever = (positions[own] - positions[own].mean(axis=0)) / size
        motions = np.hstack([components[own], np.cross(lever, components[own])])
        basis, strength, _ = np.linalg.svd(motions, full_matrices=False)
        kept = basis[:, strength > _LEAST_RANK * strength[0]]
        rows.append(np.repeat(own, kept.shape[1]))
        columns.append(np.tile(count + np.arange(kept.shape[1]), len(own)))
        values.append(kept.ravel())
        count += kept.shape[1]
    return sp.csr_matrix(
        (np.concatenate(values), (np.concatenate(rows), np.concatenate(columns))),
        shape=(len(positions), count),
    )
