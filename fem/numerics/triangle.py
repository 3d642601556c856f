"""Hierarchical shape functions of any order on triangles: order p contains order p - 1 as its first functions.

Vertices of every element are sorted along one fixed direction of the plane, so that an edge is run the same way by
both its elements, and by its periodic copies, and edge functions need no signs. Szabo and Babuska, Finite Element
Analysis, 1991, chapter 6.
"""

from functools import lru_cache

import numpy as np
from numpy.polynomial import legendre
from scipy.special import roots_jacobi

from fem.numerics.read_only import locked

EDGES = ((0, 1), (1, 2), (0, 2))
# grad of the barycentric coordinates 1 - x - y, x, y
_SLOPES = np.array([[-1.0, -1.0], [1.0, 0.0], [0.0, 1.0]])


def n_functions(order: int) -> int:
    """Return the number of shape functions of a triangle of this order."""
    return (order + 1) * (order + 2) // 2


def n_bubbles(order: int) -> int:
    """Return the number of shape functions that vanish on the triangle's rim."""
    return (order - 1) * (order - 2) // 2


def shape(order: int, points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return values (n_functions, n) and gradients (2, n_functions, n) at reference points (2, n).

    Functions come in the order: 3 vertices; 3 edges of order 2; 3 edges of order 3; ...; bubbles of order 3, 4, ...
    """
    x, y = points
    bary = np.array([1 - x - y, x, y])
    n = len(x)
    edge_values, edge_slopes = np.empty((order - 1, 3, n)), np.empty((order - 1, 3, 2, n))
    kernel, kernel_slope = _kernels(order)
    for number, (a, b) in enumerate(EDGES):
        powers = legendre.legvander(bary[b] - bary[a], order)
        f, df = (powers @ kernel).T, (powers @ kernel_slope).T
        product = bary[a] * bary[b]
        lean = bary[a] * _SLOPES[b][:, None] + bary[b] * _SLOPES[a][:, None]
        turn = (_SLOPES[b] - _SLOPES[a])[:, None]
        edge_values[:, number] = product * f
        edge_slopes[:, number] = lean * f[:, None] + (product * df)[:, None] * turn
    bubble_values, bubble_slopes = _bubbles(order, bary)
    values = np.concatenate([bary, edge_values.reshape(-1, n), bubble_values])
    corners = np.repeat(_SLOPES[:, :, None], n, axis=2)
    slopes = np.concatenate([corners, edge_slopes.reshape(-1, 2, n), bubble_slopes])
    return values, slopes.transpose(1, 0, 2)


def _bubbles(order: int, bary: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Values (k, n) and slopes (k, 2, n): the cubic bubble times Legendre polynomials of two directions."""
    n = bary.shape[1]
    if order < 3:
        return np.empty((0, n)), np.empty((0, 2, n))
    pairs = [(i, k - 3 - i) for k in range(3, order + 1) for i in range(k - 2)]
    i, j = np.array(pairs).T
    derivative = legendre.legder(np.eye(order - 2))
    derivative = np.vstack([derivative, np.zeros((order - 2 - len(derivative), order - 2))])
    P = legendre.legvander(bary[1] - bary[0], order - 3)
    Q = legendre.legvander(2 * bary[2] - 1, order - 3)
    f, g, df, dg = P.T[i], Q.T[j], (P @ derivative).T[i], (Q @ derivative).T[j]
    bubble = bary.prod(axis=0)
    lean = sum(np.prod(np.delete(bary, k, axis=0), axis=0) * _SLOPES[k][:, None] for k in range(3))
    ds, dt = (_SLOPES[1] - _SLOPES[0])[:, None], 2 * _SLOPES[2][:, None]
    turn = (df * g)[:, None] * ds + (f * dg)[:, None] * dt
    return bubble * f * g, lean * (f * g)[:, None] + bubble * turn


@lru_cache(maxsize=16)
def _kernels(order: int) -> tuple[np.ndarray, np.ndarray]:
    """Legendre coefficients (order + 1, order - 1) of the edge kernels of order 2 to ``order`` and of their slopes.

    A kernel is l_k(s) / ((1 - s^2)/4), l_k the integrated Legendre polynomial.
    """
    kernels, slopes = np.zeros((2, order + 1, order - 1))
    for k in range(2, order + 1):
        integrated = (np.eye(k + 1)[k] - np.pad(np.eye(k - 1)[k - 2], (0, 2))) / np.sqrt(2 * (2 * k - 1))
        kernel, _ = legendre.legdiv(integrated, legendre.poly2leg([0.25, 0, -0.25]))
        slope = legendre.legder(kernel)
        kernels[: len(kernel), k - 2], slopes[: len(slope), k - 2] = kernel, slope
    return locked((kernels, slopes))


def edge_coefficients(shares: np.ndarray, deviation: np.ndarray) -> np.ndarray:
    """Return coefficients (n_edges, n, 2) of the edge functions of order 2, 3, ... that bend a straight edge.

    Parameters
    ----------
    shares : ndarray, shape (n,)
        Where along the edge, 0 to 1.
    deviation : ndarray, shape (n_edges, n, 2)
        Vector from the chord to the curve there, mm.
    """
    s = 2 * shares - 1
    kernel, _ = _kernels(len(s) + 1)
    values = (shares * (1 - shares))[:, None] * (legendre.legvander(s, len(s) + 1) @ kernel)
    return np.linalg.solve(values, deviation)


@lru_cache(maxsize=32)
def quadrature(degree: int) -> tuple[np.ndarray, np.ndarray]:
    """Return points (2, n) and weights (n,) on the reference triangle, exact for polynomials of this degree.

    A square rule folded onto the triangle: Gauss-Legendre by Gauss-Jacobi.
    """
    n = degree // 2 + 1
    s, ws = roots_jacobi(n, 0, 0)
    t, wt = roots_jacobi(n, 1, 0)
    y = np.repeat((1 + t) / 2, n)
    x = (1 - y) * np.tile((1 + s) / 2, n)
    return locked((np.array([x, y]), np.repeat(wt, n) * np.tile(ws, n) / 8))


@lru_cache(maxsize=8)
def split_quadrature(degree: int, parts: int) -> tuple[np.ndarray, np.ndarray]:
    """Return points (2, n) and weights (n,) of a rule repeated on parts x parts small triangles."""
    points, weights = quadrature(degree)
    found = []
    for i in range(parts):
        for j in range(parts - i):
            found.append(np.array([[i], [j]]) + points)
            if i + j < parts - 1:
                found.append(np.array([[i + 1], [j + 1]]) - points)
    return locked((np.concatenate(found, axis=1) / parts, np.tile(weights, len(found)) / parts**2))
