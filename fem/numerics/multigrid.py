"""Conjugate gradients for large elastic systems, preconditioned by one multigrid cycle per step.

Levels smooth by one damped step with a diagonal D before and after; more of them save fewer steps than they cost. An
assembled stiffness is a sum of element matrices, so the largest eigenvalue of D^-1 K is at most the largest one of any
element against its own share of D (Fried 1972, from memory): the damping needs no estimate of it. Levels work in
single precision; the iteration around them and the coarsest level's factors are double.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import scipy.sparse as sp

from fem.numerics.solve import Factorised, conjugate_gradients

_DAMPING = 0.55  # times the largest eigenvalue; above a half every cycle is positive definite
_MOST_STEPS = 400

Apply = Callable[[np.ndarray], np.ndarray]


@dataclass(frozen=True)
class Level:
    """A level above the coarsest one.

    Attributes
    ----------
    apply : callable
        The level's stiffness K times a vector (n,), in single precision.
    scale : ndarray, shape (n,)
        The diagonal D, positive.
    largest : float
        No eigenvalue of D^-1 K is larger.
    up : sparse matrix, shape (n, n_coarser)
        Displacements here from those of the next coarser level.
    """

    apply: Apply
    scale: np.ndarray
    largest: float
    up: sp.csr_matrix


class Multigrid:
    """A symmetric stiffness, definite on its loads, with a hierarchy of coarser spaces.

    Parameters
    ----------
    apply : callable
        The stiffness times a vector (n,), in double precision.
    levels : sequence of Level
        From the finest; none where the stiffness itself is factored.
    coarsest : sparse matrix
        Stiffness of the last level's coarser space, positive definite. Motions that need no force may be held there.
    """

    def __init__(self, apply: Apply, levels: Sequence[Level], coarsest: sp.spmatrix) -> None:
        self._apply, self._levels = apply, levels
        self._steps = [(1 / (_DAMPING * level.largest * level.scale)).astype(np.float32) for level in levels]
        self._ups = [sp.csr_matrix(level.up, dtype=np.float32) for level in levels]
        self._downs = [sp.csr_matrix(up.T) for up in self._ups]
        self._coarsest = Factorised(coarsest)

    def solve(self, F: np.ndarray, tolerance: float, noise: float = 0.0) -> np.ndarray:
        """Return the solution for loads F (n, n_loads), to a relative residual in the preconditioner's norm.

        The energy of what is missing falls with the square of the tolerance. Forces below ``noise`` are round-off,
        which need not be in balance, and are left out.

        Raises
        ------
        SolverError
            If the iteration does not converge.
        """
        loads = np.ascontiguousarray(np.where(np.abs(F) < noise, 0.0, F).T)
        found = [conjugate_gradients(self._apply, self._cycle, f, tolerance, _MOST_STEPS) for f in loads]
        return np.stack(found, axis=-1)

    def _cycle(self, r: np.ndarray) -> np.ndarray:
        """Return a symmetric cycle: smooth on the way down, solve on the coarsest level, smooth on the way up."""
        if not self._levels:
            return self._coarsest.solve(r)
        size = float(np.abs(r).max()) or 1.0  # keeps single precision away from its smallest numbers
        return size * self._descend((r / size).astype(np.float32), 0).astype(float)

    def _descend(self, r: np.ndarray, depth: int) -> np.ndarray:
        if depth == len(self._levels):
            return self._coarsest.solve(r.astype(float)).astype(np.float32)
        apply, step = self._levels[depth].apply, self._steps[depth]
        x = step * r
        x += self._ups[depth] @ self._descend(self._downs[depth] @ (r - apply(x)), depth + 1)
        answer: np.ndarray = x + step * (r - apply(x))
        return answer
