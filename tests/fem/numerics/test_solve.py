"""Factorisations: many loads, any order and precision, singular systems told in one line."""

import numpy as np
import pytest
import scipy.sparse as sp

from fem.numerics.solve import Factorised, SingleFactorised, minimum_degree
from patterns.errors import SolverError


def plate(n):
    """Five-point Laplacian on n x n nodes, and its elements (pairs of neighbours)."""
    line = sp.diags([-1.0, 2.0, -1.0], [-1, 0, 1], shape=(n, n))
    K = sp.kronsum(line, line).tocsc()
    K = K + sp.eye(n * n) * 1e-3
    i, j = sp.triu(K, 1).nonzero()
    return K, np.column_stack([i, j])


def test_many_loads_at_once():
    K, _ = plate(12)
    F = np.random.default_rng(0).normal(size=(144, 5))
    U = Factorised(K).solve(F)
    assert np.abs(K @ U - F).max() < 1e-10
    assert Factorised(K).solve(F[:, 0]) == pytest.approx(U[:, 0])


def test_bordered_systems_are_solved_with_row_exchanges():
    K, _ = plate(6)
    C = np.ones((36, 1))
    bordered = sp.bmat([[K, C], [C.T, None]], format="csc")
    F = np.zeros(37)
    F[3] = 1
    U = Factorised(bordered, definite=False).solve(F)
    assert U[:-1].sum() == pytest.approx(0, abs=1e-12)


def test_a_minimum_degree_order_keeps_the_factor_sparse():
    K, elements = plate(40)
    place = minimum_degree(elements, 1600)
    assert sorted(place) == list(range(1600))
    order = np.argsort(place)
    ordered = Factorised(K[order][:, order], ordered=True)
    plain = Factorised(K, ordered=True)
    assert ordered._factor.L.nnz < 0.5 * plain._factor.L.nnz
    F = np.random.default_rng(1).normal(size=1600)
    assert ordered.solve(F[order])[place] == pytest.approx(plain.solve(F))


def test_a_singular_system_is_one_line():
    K = sp.csc_matrix(np.array([[1.0, -1.0], [-1.0, 1.0]]))
    with pytest.raises(SolverError, match=r"2 unknowns\) is singular"):
        Factorised(K).solve(np.array([1.0, 0.0]))


def stiff_row(n, ratio):
    """Springs in a row, the last of them ``ratio`` times as stiff as the others, the first held."""
    k = np.ones(n)
    k[-1] = ratio
    return sp.diags([-k[1:], k + np.append(k[1:], 0.0), -k[1:]], [-1, 0, 1]).tocsc()


def test_single_precision_loses_nothing_in_the_end():
    K, _ = plate(30)
    F = np.random.default_rng(3).normal(size=(900, 3))
    exact = Factorised(K).solve(F)
    assert np.abs(SingleFactorised(K).solve(F) - exact).max() < 1e-9 * np.abs(exact).max()


def test_where_single_precision_fails_double_takes_over(monkeypatch):
    # Scaled to a diagonal of one, this row still has a condition of 1e10: a single-precision factor is noise.
    K = stiff_row(2000, 1e9)
    f = np.ones((2000, 1))
    exact = np.cumsum(
        np.arange(2000.0, 0.0, -1.0) / np.append(np.ones(1999), 1e9)
    )  # force over stiffness, summed
    assert SingleFactorised(K).solve(f)[:, 0] == pytest.approx(exact, rel=1e-6)
    monkeypatch.setattr("fem.numerics.solve._MOST_REFINEMENTS", 0)
    assert SingleFactorised(K).solve(f)[:, 0] == pytest.approx(exact, rel=1e-6)


def test_a_singular_system_is_one_line_in_single_precision_too():
    K = sp.csc_matrix(np.array([[1.0, -1.0, 0.0], [-1.0, 1.0, 0.0], [0.0, 0.0, 0.0]]))
    with pytest.raises(SolverError, match=r"3 unknowns\) is singular"):
        SingleFactorised(K).solve(np.array([[1.0], [0.0], [0.0]]))
    with pytest.raises(SolverError, match=r"2 unknowns\) is singular"):
        SingleFactorised(K[:2, :2]).solve(np.array([[1.0], [0.0]]))
