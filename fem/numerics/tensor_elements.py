"""Lagrange elements of any order on curved quadrilaterals and hexahedra, in arrays.

A mesh is ``points`` (n_points, d) with ``cells`` (m, (p+1)^d): the nodes of each element in tensor order, the last
coordinate running fastest. Nodes lie at Gauss-Lobatto points of the reference element (0, 1)^d, and the geometry is
interpolated in the same nodes as the displacement, so that constant strain is exact on any mesh.
"""

from dataclasses import dataclass
from functools import lru_cache, reduce

import numpy as np
import scipy.sparse as sp
from numpy.polynomial.legendre import Legendre, leggauss

from fem.numerics.read_only import locked
from patterns.errors import SolverError

_VOIGT = ((0, 0), (1, 1), (2, 2), (1, 2), (0, 2), (0, 1))
# Voigt strain of a displacement gradient along axes 1, 2, 3: strain = sum over i of GRADIENT[i] @ du/dx_i.
GRADIENT = np.zeros((3, 6, 3))
for _row, (_i, _j) in enumerate(_VOIGT):
    GRADIENT[_i, _row, _j] = 1.0
    GRADIENT[_j, _row, _i] = 1.0


@lru_cache(maxsize=16)
def lobatto(order: int) -> np.ndarray:
    """Return the Gauss-Lobatto points (order + 1,) of the interval from 0 to 1."""
    inner = Legendre.basis(order).deriv().roots().real if order > 1 else np.empty(0)
    return locked((np.concatenate([[-1.0], np.sort(inner), [1.0]]) + 1) / 2)


def shapes_1d(order: int, x: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return values and derivatives, each (n_x, order + 1), of the Lagrange polynomials of the Gauss-Lobatto points."""
    basis = [Legendre.basis(k, domain=(0, 1)) for k in range(order + 1)]
    vandermonde = np.column_stack([b(lobatto(order)) for b in basis])
    values = np.column_stack([b(x) for b in basis])
    slopes = np.column_stack([b.deriv()(x) for b in basis])
    inverse = np.linalg.inv(vandermonde)
    return values @ inverse, slopes @ inverse


@lru_cache(maxsize=16)
def tensor_shapes(order: int, dimension: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return values (n_q, n_nodes), gradients (n_q, n_nodes, d) and weights (n_q,) at order + 1 Gauss points a side."""
    x, w = leggauss(order + 1)
    axes = [(x + 1) / 2] * dimension
    values = reduce(np.kron, [shapes_1d(order, axis)[0] for axis in axes])
    weights = reduce(np.multiply.outer, [w / 2] * dimension).ravel()
    return locked((values, gradients(order, axes), weights))


def gradients(order: int, axes: list[np.ndarray]) -> np.ndarray:
    """Return reference gradients (n_q, n_nodes, d) at the tensor points of the given coordinates along each axis."""
    pairs = [shapes_1d(order, x) for x in axes]
    return np.stack(
        [_tensor([pair[axis == other] for other, pair in enumerate(pairs)]) for axis in range(len(axes))],
        axis=-1,
    )


def _tensor(factors: list[np.ndarray]) -> np.ndarray:
    """Return the product (n_q, n_nodes) of one-dimensional shapes (points, nodes)."""
    return reduce(np.kron, factors)


def grid_nodes(breaks: np.ndarray, order: int) -> np.ndarray:
    """Return all node coordinates of a row of intervals, (order * n_intervals + 1,)."""
    steps = np.diff(breaks)[:, None] * lobatto(order)[1:]
    return np.concatenate([breaks[:1], (breaks[:-1, None] + steps).ravel()])


def grid_cells(numbers: np.ndarray, order: int) -> np.ndarray:
    """Return the cells of a block whose nodes are numbered ``numbers[i, j]`` or ``numbers[i, j, k]``."""
    d = numbers.ndim
    windows = np.lib.stride_tricks.sliding_window_view(numbers, (order + 1,) * d)
    return windows[(slice(None, None, order),) * d].reshape(-1, (order + 1) ** d)


@dataclass(frozen=True)
class Strains:
    """Strain at points of all elements: ``B`` (m, n_q, 6, n_nodes * n_components), ``volume`` (m, n_q)."""

    B: np.ndarray
    volume: np.ndarray


def strains(points: np.ndarray, cells: np.ndarray, order: int, at: list[np.ndarray] | None = None) -> Strains:
    """Return strain-displacement matrices and the volume that each point stands for.

    Parameters
    ----------
    points : ndarray, shape (n_points, d)
        mm. In two dimensions they are coordinates 2 and 3, and so are the displacements (plane strain).
    cells : ndarray, shape (m, (order + 1)**d)
        Node numbers.
    order : int
        Polynomial order.
    at : list of ndarray, optional
        Reference coordinates along each axis; Gauss points by default (else the volumes are Jacobians).

    Raises
    ------
    SolverError
        If an element is turned inside out.
    """
    d = points.shape[1]
    slopes, weights = tensor_shapes(order, d)[1:] if at is None else (gradients(order, at), np.float64(1.0))
    jacobian = np.einsum("qnr,mnx->mqxr", slopes, points[cells], optimize=True)
    volume = np.linalg.det(jacobian) * weights
    if at is None and not (volume > 0).all():
        raise SolverError("a mapped element of the bead mesh is turned inside out")
    slope = slopes @ np.linalg.inv(jacobian)  # (m, q, n, x)
    B = np.zeros((*volume.shape, 6, cells.shape[1], d))
    first = 3 - d  # 0 in space; in the plane coordinate 0 is number 1, the second axis
    for row, (i, j) in enumerate(_VOIGT):
        if i >= first:
            B[:, :, row, :, j - first] += slope[..., i - first]
            if i != j:
                B[:, :, row, :, i - first] += slope[..., j - first]
    return Strains(B.reshape(*volume.shape, 6, -1), volume)


def element_stiffness(points: np.ndarray, cells: np.ndarray, order: int, C: np.ndarray) -> np.ndarray:
    """Return element stiffness matrices (m, k, k), k = nodes x components, node by node; C (6, 6) in MPa."""
    strain = strains(points, cells, order)
    m, q, _, k = strain.B.shape
    stress = (C @ strain.B) * strain.volume[..., None, None]
    found: np.ndarray = strain.B.reshape(m, q * 6, k).transpose(0, 2, 1) @ stress.reshape(m, q * 6, k)
    return found


def assemble(matrices: np.ndarray, cells: np.ndarray, n_points: int) -> sp.csr_matrix:
    """Return the sparse matrix (n_points * d, n_points * d) of element matrices (m, k, k), components side by side."""
    d = matrices.shape[1] // cells.shape[1]
    rows = (d * cells[:, :, None] + np.arange(d)).reshape(len(cells), d * cells.shape[1])
    k, n = rows.shape[1], d * n_points
    i, j = np.repeat(rows, k, axis=1).ravel(), np.tile(rows, (1, k)).ravel()
    return sp.coo_matrix((matrices.ravel(), (i, j)), shape=(n, n)).tocsr()
