"""Shape functions: completeness, continuity across shared edges, gradients, quadrature."""

import numpy as np
import pytest

from fem.numerics.edges import SHARES
from fem.numerics.triangle import (
    EDGES,
    edge_coefficients,
    n_bubbles,
    n_functions,
    quadrature,
    shape,
    split_quadrature,
)

RNG = np.random.default_rng(7)
INSIDE = np.array([[0.1, 0.2], [0.3, 0.3], [0.05, 0.9], [0.6, 0.1], [0.25, 0.5]]).T


@pytest.mark.parametrize("order", range(2, 9))
def test_functions_span_all_polynomials_of_their_order(order):
    points = RNG.dirichlet(np.ones(3), 400)[:, 1:].T
    values, _ = shape(order, points)
    monomials = [points[0] ** i * points[1] ** j for i in range(order + 1) for j in range(order + 1 - i)]
    assert len(values) == n_functions(order) == len(monomials)
    assert np.linalg.matrix_rank(values, tol=1e-10) == n_functions(order)
    _, rest, *_ = np.linalg.lstsq(values.T, np.array(monomials).T, rcond=None)
    assert np.max(rest, initial=0) < 1e-18


@pytest.mark.parametrize("order", range(2, 9))
def test_slopes_are_the_derivatives_of_the_values(order):
    step = 1e-6
    for axis in range(2):
        shift = step * np.eye(2)[:, [axis]]
        numeric = (shape(order, INSIDE + shift)[0] - shape(order, INSIDE - shift)[0]) / (2 * step)
        assert np.abs(numeric - shape(order, INSIDE)[1][axis]).max() < 1e-8


@pytest.mark.parametrize("order", range(3, 9))
def test_an_order_begins_with_the_functions_of_the_order_below(order):
    outer, lower = 3 * (order - 1), shape(order - 1, INSIDE)[0]
    values = shape(order, INSIDE)[0]
    assert np.array_equal(values[:outer], lower[:outer])
    assert np.array_equal(values[3 * order : 3 * order + n_bubbles(order - 1)], lower[outer:])


@pytest.mark.parametrize("order", range(2, 9))
def test_traces_on_edges_match_from_both_sides(order):
    """On an edge run from a to b only its own functions and its ends live, and they are the same on every edge."""
    s = np.linspace(0, 1, 11)
    corner = np.array([[0.0, 0], [1, 0], [0, 1]])
    traces = []
    for number, (a, b) in enumerate(EDGES):
        values = shape(order, (corner[a] + s[:, None] * (corner[b] - corner[a])).T)[0]
        own = [a, b, *(3 + 3 * k + number for k in range(order - 1))]
        others = np.setdiff1d(np.arange(n_functions(order)), own)
        assert np.abs(values[others]).max(initial=0) < 1e-14
        traces.append(values[own])
    assert np.abs(np.array(traces) - traces[0]).max() < 1e-14


def test_edge_coefficients_return_the_curve():
    """An arc of 0.8 rad is met to ten digits between the points it was given by."""
    turn = 0.8

    def arc(s):
        return np.column_stack([np.cos(turn * s), np.sin(turn * s)])

    chord = arc(np.array([0.0, 1.0]))
    deviation = arc(SHARES) - chord[0] - SHARES[:, None] * (chord[1] - chord[0])
    bends = edge_coefficients(SHARES, deviation[None])[0]
    s = np.linspace(0, 1, 33)
    values = shape(8, np.array([s, 0 * s]))[0]
    found = chord[0] + s[:, None] * (chord[1] - chord[0]) + values[3:24:3].T @ bends
    assert np.abs(found - arc(s)).max() < 1e-10


@pytest.mark.parametrize("degree", [1, 4, 9, 16])
@pytest.mark.parametrize("parts", [1, 3])
def test_quadrature_is_exact(degree, parts):
    """Integral of x^i y^j over the reference triangle is i! j!/(i + j + 2)!."""
    from math import factorial

    points, weights = quadrature(degree) if parts == 1 else split_quadrature(degree, parts)
    assert (weights > 0).all()
    for i in range(degree + 1):
        j = degree - i
        exact = factorial(i) * factorial(j) / factorial(i + j + 2)
        assert weights @ (points[0] ** i * points[1] ** j) == pytest.approx(exact, rel=1e-12)
