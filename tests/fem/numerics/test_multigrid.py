"""Boxes that are never assembled, their coarser spaces, and the multigrid solver."""

import numpy as np
import pytest
import scipy.sparse as sp
import scipy.sparse.linalg as spl

from fem.material.stiffness import isotropic, transversely_isotropic
from fem.numerics.box_element import CORNERS, box_stiffness
from fem.numerics.boxes import (
    Boxes,
    BoxOperator,
    Merging,
    coarser,
    diagonal,
    interpolation,
    largest_eigenvalue,
    parents,
)
from fem.numerics.multigrid import Level, Multigrid
from fem.numerics.symmetry import Folded, Tie, fold
from fem.numerics.tensor_elements import assemble
from patterns.errors import SolverError

FIBROUS = transversely_isotropic(3.0, 1.0, 0.3, 0.4, 0.8)


def corners(place, shape):
    nodes = place[:, None, :] + CORNERS
    return np.ravel_multi_index(tuple(np.moveaxis(nodes, -1, 0)), [n + 1 for n in shape])


def block(*shape, material=None, seed=0):
    """Boxes of 0.1 x 0.2 x 0.15 mm, filled to random shares, and the number of nodes."""
    place = np.stack(np.meshgrid(*[np.arange(n) for n in shape], indexing="ij"), axis=-1).reshape(-1, 3)
    K = box_stiffness(np.array([0.1, 0.2, 0.15]), isotropic(1.0, 0.35) if material is None else material)
    weights = np.random.default_rng(seed).uniform(0.2, 1.0, len(place))
    return Boxes(corners(place, shape), place, K, weights), int(np.prod([n + 1 for n in shape]))


def assembled(boxes, n):
    return assemble(boxes.full, boxes.cells, n)


def merged(shape, times=2):
    return [Merging.of(np.arange(n + 1.0), times) for n in shape]


def coarse_of(boxes, n, shape):
    """Coarse boxes, their number of nodes, and the interpolation (3 n, 3 n_coarse)."""
    mergings = merged(shape)
    half = [merge.parent[-1] + 1 for merge in mergings]
    place, matrices = coarser([boxes], mergings)
    n_coarse = int(np.prod([k + 1 for k in half]))
    up = interpolation(boxes, mergings, n, corners(parents(boxes, mergings), half), n_coarse)
    found = Boxes(corners(place, half), place, matrices, np.ones(len(place)))
    return found, n_coarse, sp.csr_matrix(sp.kron(up, sp.identity(3)))


def held_system(n):
    """Stiffness of n x n x n boxes with one side held, its hierarchy, and the free unknowns."""
    boxes, count = block(n, n, n)
    coarse, n_coarse, up = coarse_of(boxes, count, (n, n, n))
    K = assembled(boxes, count)
    free = np.repeat(np.arange(count) >= (n + 1) ** 2, 3)
    below = np.repeat(np.arange(n_coarse) >= (n // 2 + 1) ** 2, 3)
    own = sp.csr_matrix(K[free][:, free])
    level = Level(
        apply=own.astype(np.float32).__matmul__,
        scale=own.diagonal(),
        largest=largest_eigenvalue(boxes.matrices[None]),
        up=up[free][:, below],
    )
    return own, Multigrid(own.__matmul__, [level], assembled(coarse, n_coarse)[below][:, below])


@pytest.mark.parametrize("material", [None, FIBROUS], ids=["isotropic", "fibrous"])
def test_boxes_pull_as_their_assembled_stiffness(material):
    boxes, n = block(3, 4, 2, material=material)
    springs = sp.csr_matrix(([2.0, 2.0, -2.0, -2.0], ([0, 1, 0, 1], [0, 1, 1, 0])), shape=(n, n))
    K = assembled(boxes, n) + sp.kron(springs, sp.identity(3))
    u = np.random.default_rng(1).standard_normal(3 * n)
    operator = BoxOperator([boxes], n, springs)
    assert operator(u) == pytest.approx(K @ u, rel=1e-12, abs=1e-13)
    assert diagonal([boxes], n, springs) == pytest.approx(K.diagonal(), rel=1e-12)
    single = BoxOperator([boxes], n, springs, np.float32)(u.astype(np.float32))
    assert single.dtype == np.float32
    assert single == pytest.approx(K @ u, rel=1e-4, abs=1e-4)


@pytest.mark.parametrize("shape", [(4, 4, 2), (5, 3, 2)], ids=["even", "odd"])
def test_coarse_boxes_hold_the_energy_of_the_displacements_they_stand_for(shape):
    boxes, n = block(*shape, material=FIBROUS)
    coarse, n_coarse, up = coarse_of(boxes, n, shape)
    expected = (up.T @ assembled(boxes, n) @ up).toarray()
    assert assembled(coarse, n_coarse).toarray() == pytest.approx(expected, rel=1e-12, abs=1e-12)
    last, n_last, higher = coarse_of(coarse, n_coarse, [(k + 1) // 2 for k in shape])
    expected = higher.T @ expected @ higher
    assert assembled(last, n_last).toarray() == pytest.approx(expected, rel=1e-12, abs=1e-12)


def test_planes_at_any_distance_merge_so_that_straight_displacements_stay_straight():
    line = np.array([0.0, 0.1, 0.4, 0.5, 1.1, 1.2])
    merge = Merging.of(line, 2)
    assert merge.parent.tolist() == [0, 0, 1, 1, 2]
    ends = np.append(line[:-1:2], line[-1])
    back = ends[merge.parent][:, None] + merge.ends * np.diff(ends)[merge.parent][:, None]
    assert back == pytest.approx(np.column_stack([line[:-1], line[1:]]))


def test_no_eigenvalue_passes_the_bound_of_single_boxes():
    boxes, n = block(3, 3, 3)
    K = assembled(boxes, n).toarray()
    root = 1 / np.sqrt(np.diag(K))
    largest = np.linalg.eigvalsh(K * np.outer(root, root)).max()
    assert 0.5 < largest / largest_eigenvalue(boxes.matrices[None]) < 1


def test_the_solver_meets_the_factorisation():
    K, solver = held_system(8)
    F = np.random.default_rng(1).standard_normal((K.shape[0], 2))
    exact = spl.spsolve(sp.csc_matrix(K), F)
    assert np.abs(solver.solve(F, 1e-9) - exact).max() < 1e-7 * np.abs(exact).max()


def test_what_is_missed_falls_with_the_tolerance_and_adds_to_the_energy():
    K, solver = held_system(8)
    f = np.zeros((K.shape[0], 1))
    f[-3:] = 1.0
    exact = spl.spsolve(sp.csc_matrix(K), f[:, 0])
    missed = []
    for tolerance in (1e-1, 1e-2, 1e-3):
        u = solver.solve(f, tolerance)[:, 0]
        missed.append(
            (2 * f[:, 0] @ exact - 2 * f[:, 0] @ u - exact @ f[:, 0] + u @ (K @ u)) / (f[:, 0] @ exact)
        )
    assert np.all(np.array(missed) > 0)
    assert np.all(np.array(missed) < 4 * np.array([1e-1, 1e-2, 1e-3]) ** 2)


def test_steps_hardly_grow_with_the_size(monkeypatch):
    steps = []
    for n in (6, 12):
        K, solver = held_system(n)
        count = 0
        cycle = solver._cycle

        def counted(r, cycle=cycle):
            nonlocal count
            count += 1
            return cycle(r)

        monkeypatch.setattr(solver, "_cycle", counted)
        solver.solve(np.ones((K.shape[0], 1)), 1e-6)
        steps.append(count)
    assert steps[1] < 1.3 * steps[0]
    assert steps[1] < 30


def test_a_solver_that_stalls_says_so(monkeypatch):
    K, solver = held_system(4)
    monkeypatch.setattr("fem.numerics.multigrid._MOST_STEPS", 2)
    with pytest.raises(SolverError, match="did not converge in 2 steps"):
        solver.solve(np.ones((K.shape[0], 1)), 1e-12)


def test_folding_by_indices_is_the_product():
    # Nodes 0 and 1 are mirror images about axis 1, node 2 lies on the mirror plane, 3 and 4 are one, 5 is free.
    mirror, same = np.diag([-1.0, 1.0, 1.0]), np.eye(3)
    ties = [Tie(np.array([0, 2]), np.array([1, 2]), mirror), Tie(np.array([3]), np.array([4]), same)]
    rng = np.random.default_rng(2)
    for strain in (np.diag([1.0, 0.0, 0.0]), np.array([[0, 0, 1.0], [0, 0, 0], [1.0, 0, 0]])):
        P = fold(6, ties, strain)
        folded = Folded(P)
        x, f = rng.standard_normal(folded.size), rng.standard_normal(18)
        assert folded.up(x) == pytest.approx(P @ x, abs=0)
        assert folded.down(f) == pytest.approx(P.T @ f, rel=1e-14)
        assert folded.sums(f) == pytest.approx(abs(P).T @ f, rel=1e-14)
        assert np.abs(P[folded.first].toarray()) == pytest.approx(np.eye(folded.size), abs=0)
