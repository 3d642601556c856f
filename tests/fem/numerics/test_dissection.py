"""Nested dissection: a permutation, with the fill that theory promises."""

import numpy as np
import pytest
import scipy.sparse as sp
import scipy.sparse.linalg as spl
from skfem import Basis, ElementTriP2, MeshTri
from skfem.models.poisson import laplace, mass

from fem.numerics.dissection import nested_dissection


def square(n, seed=None):
    mesh = MeshTri.init_tensor(*[np.linspace(0, 1, n + 1)] * 2)
    basis = Basis(mesh, ElementTriP2())
    nodes, centres = basis.element_dofs.T, mesh.p[:, mesh.t].mean(axis=1).T
    K = (laplace.assemble(basis) + mass.assemble(basis)).tocsr()
    if seed is None:
        return K, nodes, centres
    place = np.random.default_rng(seed).permutation(basis.N)
    P = sp.csr_matrix((np.ones(basis.N), (place, np.arange(basis.N))))
    return (P @ K @ P.T).tocsr(), place[nodes], centres


def factor_entries(K, order):
    options = {"permc_spec": "NATURAL", "diag_pivot_thresh": 0.0, "options": {"SymmetricMode": True}}
    return spl.splu(K[order][:, order].tocsc(), **options).L.nnz


def test_order_is_a_permutation_with_the_middle_last():
    K, nodes, centres = square(16)
    order = nested_dissection(nodes, centres, K.shape[0])
    assert np.array_equal(np.sort(order), np.arange(K.shape[0]))
    left, right = (set(np.unique(nodes[half])) for half in (centres[:, 0] < 0.5, centres[:, 0] > 0.5))
    assert set(order[-33:]) == left & right  # 17 corners and 16 middles of sides


@pytest.mark.parametrize("n", [16, 48])
def test_fill_stays_within_georges_bound(n):
    """31/4 n log2 n for nine-point stars on a square (George, SIAM J. Numer. Anal. 10, 1973, 345, from memory)."""
    K, nodes, centres = square(n)
    order = nested_dissection(nodes, centres, K.shape[0])
    assert factor_entries(K, order) < 31 / 4 * K.shape[0] * np.log2(K.shape[0])


def test_fill_does_not_depend_on_the_numbering():
    plain, shuffled = square(24), square(24, seed=5)
    fills = [factor_entries(K, nested_dissection(nodes, c, K.shape[0])) for K, nodes, c in (plain, shuffled)]
    assert fills[1] == pytest.approx(fills[0], rel=0.05)


def test_one_element_and_unused_nodes_are_ordered():
    order = nested_dissection(np.array([[0, 2, 3]]), np.zeros((1, 2)), 5)
    assert sorted(order.tolist()) == [0, 1, 2, 3, 4]
