"""Sparse symmetric systems: factor once, solve many loads; conjugate gradients."""

from collections.abc import Callable

import numpy as np
import scipy.sparse as sp
import scipy.sparse.linalg as spl

from patterns.errors import SolverError

_REFINED = 1e-10  # relative residual of refined solutions
_MOST_REFINEMENTS = 25
_LEFT = 1e-8  # of the scaled load may be out of balance


class Factorised:
    """A factorised symmetric matrix that solves any number of loads.

    Parameters
    ----------
    K : sparse matrix, shape (n, n)
        Symmetric; definite, or with a border of constraints.
    definite : bool
        True keeps the pivots on the diagonal, which halves the fill; False allows row exchanges.
    ordered : bool
        Whether the unknowns of a definite K come in a good order already, see `minimum_degree` and
        `fem.numerics.dissection`.

    Raises
    ------
    SolverError
        If K is singular.
    """

    def __init__(self, K: sp.spmatrix, definite: bool = True, ordered: bool = False) -> None:
        matrix = sp.csc_matrix(K)
        try:
            if definite:
                self._factor = spl.splu(
                    matrix,
                    permc_spec="NATURAL" if ordered else "MMD_AT_PLUS_A",
                    diag_pivot_thresh=0.0,
                    options={"SymmetricMode": True},
                )
            else:
                self._factor = spl.splu(matrix)
        except RuntimeError as error:
            raise SolverError(f"the stiffness matrix ({K.shape[0]} unknowns) is singular: {error}") from error
        self.shape = K.shape

    def solve(self, F: np.ndarray) -> np.ndarray:
        """Return the solution for loads ``F`` of shape (n,) or (n, n_loads).

        Raises
        ------
        SolverError
            If a value is not finite.
        """
        U: np.ndarray = self._factor.solve(np.ascontiguousarray(F, dtype=float))
        if not np.isfinite(U).all():
            raise SolverError(f"the stiffness matrix ({self.shape[0]} unknowns) is singular")
        return U


class SingleFactorised:
    """A factorised definite matrix in single precision, half as large and quicker, with refined solutions.

    Conjugate gradients, preconditioned by the factors, bring what single precision loses back in two or three steps.
    Where they do not, the matrix is factored again in double precision.

    Parameters
    ----------
    K : sparse matrix, shape (n, n)
        Symmetric and definite.

    Raises
    ------
    SolverError
        If K is singular.
    """

    def __init__(self, K: sp.spmatrix) -> None:
        self._K = sp.csr_matrix(K)
        diagonal = self._K.diagonal()
        if not (diagonal > 0).all():
            raise SolverError(f"the stiffness matrix ({K.shape[0]} unknowns) is singular")
        self._root = 1 / np.sqrt(diagonal)
        scaled = sp.diags_array(self._root) @ self._K @ sp.diags_array(self._root)
        try:
            self._factor = spl.splu(
                sp.csc_matrix(scaled, dtype=np.float32),
                permc_spec="MMD_AT_PLUS_A",
                diag_pivot_thresh=0.0,
                options={"SymmetricMode": True},
            )
        except RuntimeError:  # singular in single precision
            self._factor = None

    def solve(self, F: np.ndarray) -> np.ndarray:
        """Return the solution for loads ``F`` (n, n_loads), as exact as double precision allows.

        Raises
        ------
        SolverError
            If K is singular.
        """
        if self._factor is None:
            return Factorised(self._K).solve(F)
        try:
            found = [
                conjugate_gradients(self._K.__matmul__, self._nearly, f, _REFINED, _MOST_REFINEMENTS)
                for f in np.ascontiguousarray(F.T)
            ]
        except SolverError:
            return Factorised(self._K).solve(F)
        U = np.stack(found, axis=-1)
        left = np.linalg.norm(self._root[:, None] * (F - self._K @ U), axis=0)
        if (left > _LEFT * np.linalg.norm(self._root[:, None] * F, axis=0)).any():
            return Factorised(self._K).solve(F)
        return U

    def _nearly(self, r: np.ndarray) -> np.ndarray:
        size = float(np.abs(r).max()) or 1.0
        z = self._factor.solve((self._root * (r / size)).astype(np.float32))
        answer: np.ndarray = size * self._root * z.astype(float)
        return answer


def conjugate_gradients(
    apply: Callable[[np.ndarray], np.ndarray],
    precondition: Callable[[np.ndarray], np.ndarray],
    f: np.ndarray,
    tolerance: float,
    most: int,
) -> np.ndarray:
    """Return the solution (n,) for a load f, to a relative residual in the preconditioner's norm.

    Raises
    ------
    SolverError
        If the stiffness is not definite or the iteration does not converge in ``most`` steps.
    """
    u, r = np.zeros_like(f), f.copy()
    z = precondition(r)
    d, rho = z.copy(), float(r @ z)
    goal = tolerance**2 * rho
    for _ in range(most):
        if 0 <= rho <= goal:
            return u
        q = apply(d)
        bend = float(d @ q)
        if not (bend > 0 and rho > 0):
            raise SolverError(
                f"the stiffness matrix or its preconditioner ({len(f)} unknowns) is not definite"
            )
        step = rho / bend
        u += step * d
        r -= step * q
        z = precondition(r)
        new = float(r @ z)
        d = z + new / rho * d
        rho = new
    raise SolverError(f"the iterative solver did not converge in {most} steps ({len(f)} unknowns)")


def minimum_degree(elements: np.ndarray, n_nodes: int) -> np.ndarray:
    """Return the place (n_nodes,) of every node in a minimum degree order of elimination.

    Ordering nodes instead of their many unknowns takes a fraction of the time, serves every system on the mesh, and
    leaves less fill. Networks of slender struts come out better than by dissection.

    Parameters
    ----------
    elements : ndarray of int, shape (n_elements, k)
        Nodes of every element.
    n_nodes : int
        Number of nodes.
    """
    k = elements.shape[1]
    i, j = np.repeat(elements, k, axis=1).ravel(), np.tile(elements, (1, k)).ravel()
    graph = sp.coo_matrix((np.ones(len(i)), (i, j)), shape=(n_nodes, n_nodes)).tocsc()
    graph.setdiag(2 * np.asarray(graph.sum(axis=0)).ravel())  # dominant, so that it can be factorised
    found: np.ndarray = spl.splu(
        graph, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True}
    ).perm_c
    return found
