"""Stiffness of a straight prism with a meshed section, as a sum of Kronecker products.

A prism's displacement is sum N_i(x) phi_j(y, z) u_ij. With the strain written as H_x d/dx + H_y d/dy + H_z d/dz, every
term of its stiffness is an integral along x times an integral over the section times a 3 x 3 matrix H^T C H. No
three-dimensional element is ever formed.
"""

import numpy as np
import scipy.sparse as sp
from numpy.polynomial.legendre import leggauss

from fem.layered.bead_mesh import SectionGrid
from fem.numerics.tensor_elements import GRADIENT, assemble, grid_cells, shapes_1d, tensor_shapes
from patterns.errors import SolverError


def prism_points(section: SectionGrid, along: np.ndarray) -> np.ndarray:
    """Return (n_along * n_section, 3) nodes (x, y, z), cross-section by cross-section."""
    x = np.repeat(along, len(section.points))
    return np.column_stack([x, np.tile(section.points, (len(along), 1))])


def prism_cells(section: SectionGrid, along: np.ndarray) -> np.ndarray:
    """Return the nodes (m, (order + 1)^3) of every element of a prism, those along it slowest."""
    order, n = section.order, len(section.points)
    starts = np.arange(0, len(along) - 1, order)
    rows = (starts[:, None] + np.arange(order + 1)) * n  # (elements along, order + 1)
    cells = rows[:, None, :, None] + section.cells[None, :, None, :]
    found: np.ndarray = cells.reshape(-1, (order + 1) ** 3)
    return found


def prism_stiffness(
    section: SectionGrid, along: np.ndarray, to_frame: np.ndarray, C: np.ndarray
) -> sp.csr_matrix:
    """Return the stiffness (3 n, 3 n) of a prism, the components of a node side by side.

    Parameters
    ----------
    section : SectionGrid
        Mesh across the prism.
    along : ndarray, shape (n_along,)
        Node coordinates along it, a multiple of the order plus one.
    to_frame : ndarray, shape (3, 3)
        Positions in the frame of displacements are ``to_frame @ (x, y, z)``.
    C : ndarray, shape (6, 6)
        Stiffness in that frame, MPa.
    """
    inverse = np.linalg.inv(to_frame)
    H = np.einsum("qX,Xvc->qvc", inverse, GRADIENT)
    T = np.einsum("avc,vw,bwd->abcd", H, C, H) * np.linalg.det(to_frame)
    values, mixed, slopes = _line_matrices(along, section.order)
    mass, first, second = _section_matrices(section)
    S00 = sum(sp.kron(second[a][b], T[a + 1, b + 1]) for a in range(2) for b in range(2))
    S10 = sum(sp.kron(first[b], T[0, b + 1]) for b in range(2))
    K = sp.kron(slopes, sp.kron(mass, T[0, 0])) + sp.kron(values, S00)
    K = K + sp.kron(mixed, S10) + sp.kron(mixed.T, S10.T)
    return K.tocsr()


def _line_matrices(nodes: np.ndarray, order: int) -> tuple[sp.csr_matrix, sp.csr_matrix, sp.csr_matrix]:
    """Return the integrals of N N', N_x N' and N_x N_x' along a row of nodes."""
    x, w = leggauss(order + 1)
    N, D = shapes_1d(order, (x + 1) / 2)
    cells = grid_cells(np.arange(len(nodes)), order)
    jacobian = nodes[cells] @ D.T  # (m, q)
    weight = w / 2
    values = np.einsum("qi,qj,mq->mij", N, N, jacobian * weight)
    mixed = np.broadcast_to(np.einsum("qi,qj,q->ij", D, N, weight), values.shape)
    slopes = np.einsum("qi,qj,mq->mij", D, D, weight / jacobian)
    values, mixed, slopes = (assemble(each, cells, len(nodes)) for each in (values, mixed, slopes))
    return values, mixed, slopes


def _section_matrices(
    section: SectionGrid,
) -> tuple[sp.csr_matrix, list[sp.csr_matrix], list[list[sp.csr_matrix]]]:
    """Return the integrals over the section of phi phi', phi phi'_b and phi_a phi'_b, for a, b = y, z."""
    cells, n = section.cells, len(section.points)
    values, slopes, weights = tensor_shapes(section.order, 2)
    jacobian = np.einsum("qnr,mnx->mqxr", slopes, section.points[cells], optimize=True)
    volume = np.linalg.det(jacobian) * weights
    if not (volume > 0).all():
        raise SolverError("a mapped element of the bead section is turned inside out")
    slope = slopes @ np.linalg.inv(jacobian)  # (m, q, n, x)
    weighted = slope * volume[..., None, None]

    def joined(left: np.ndarray, right: np.ndarray) -> sp.csr_matrix:
        return assemble(np.swapaxes(left, 1, 2) @ right, cells, n)

    shapes = np.broadcast_to(values, (len(cells), *values.shape))
    mass = joined(shapes * volume[..., None], shapes)
    first = [joined(shapes, weighted[..., b]) for b in range(2)]
    second = [[joined(slope[..., a], weighted[..., b]) for b in range(2)] for a in range(2)]
    return mass, first, second
