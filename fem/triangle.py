"""Hierarchical shape functions of any order on triangles: order p contains order p - 1 as its first functions.

Vertices of every element are sorted along one fixed direction of the plane, so that an edge is run the same way by
both its elements, and by its periodic copies, and edge functions need no signs. Szabo and Babuska, Finite Element
Analysis, 1991, chapter 6.
"""

from functools import lru_cache

import numpy as np
from numpy.polynomial import legendre
from scipy.special import roots_jacobi

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
    values, slopes = list(bary), [np.repeat(s[:, None], len(x), axis=1) for s in _SLOPES]
    for k in range(2, order + 1):
        kernel, derivative = _kernel(k)
        for a, b in EDGES:
            s = bary[b] - bary[a]
            product = bary[a] * bary[b]
            f, df = legendre.legval(s, kernel), legendre.legval(s, derivative)
            values.append(product * f)
            lean = bary[a] * _SLOPES[b][:, None] + bary[b] * _SLOPES[a][:, None]
            slopes.append(lean * f + product * df * (_SLOPES[b] - _SLOPES[a])[:, None])
    bubble = bary.prod(axis=0)
    lean = sum(np.prod(np.delete(bary, i, axis=0), axis=0) * _SLOPES[i][:, None] for i in range(3))
    for k in range(3, order + 1):
        for i in range(k - 2):
            s, t = bary[1] - bary[0], 2 * bary[2] - 1
            P, Q = np.eye(k - 2)[i], np.eye(k - 2)[k - 3 - i]
            f, g = legendre.legval(s, P), legendre.legval(t, Q)
            df, dg = legendre.legval(s, legendre.legder(P)), legendre.legval(t, legendre.legder(Q))
            values.append(bubble * f * g)
            ds, dt = (_SLOPES[1] - _SLOPES[0])[:, None], 2 * _SLOPES[2][:, None]
            slopes.append(lean * f * g + bubble * (df * g * ds + f * dg * dt))
    return np.array(values), np.array(slopes).transpose(1, 0, 2)


@lru_cache(maxsize=64)
def _kernel(k: int) -> tuple[np.ndarray, np.ndarray]:
    """Legendre coefficients of l_k(s) / ((1 - s^2)/4), l_k the integrated Legendre polynomial, and of its slope."""
    integrated = (np.eye(k + 1)[k] - np.pad(np.eye(k - 1)[k - 2], (0, 2))) / np.sqrt(2 * (2 * k - 1))
    kernel, _ = legendre.legdiv(integrated, legendre.poly2leg([0.25, 0, -0.25]))
    return kernel, legendre.legder(kernel)


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
    values = [shares * (1 - shares) * legendre.legval(s, _kernel(k)[0]) for k in range(2, len(s) + 2)]
    return np.linalg.solve(np.array(values).T, deviation)


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
    return np.array([x, y]), np.repeat(wt, n) * np.tile(ws, n) / 8


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
    return np.concatenate(found, axis=1) / parts, np.tile(weights, len(found)) / parts**2
