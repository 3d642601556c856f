"""Three-component warping of a section: strains, nodal loads and stiffness on second-order triangles."""

from typing import Any

import numpy as np
import scipy.sparse as sp
from skfem import Basis, ElementTriP2, MeshTri

# Voigt rows xx, yy, zz, yz, xz, xy that hold d/dx, d/dy and d/dz of the displacements u_x, u_y, u_z.
_ALONG_X, _ALONG_Y, _ALONG_Z = [0, 5, 4], [5, 1, 3], [4, 3, 2]
_ACROSS = (_ALONG_Y, _ALONG_Z)


class WarpingBasis:
    """Shape functions of the warping, evaluated at the same local points of every element.

    The strain is that of the four classical measures q = [e0, twist, ky, kz] about ``origin``, plus the in-plane
    gradients of the warping ``w``, plus its slope ``dw`` along x.

    Parameters
    ----------
    mesh : MeshTri or MeshTri2
        Section plane (y, z), mm.
    origin : ndarray, shape (2,)
        Point that the measures q and the resultants refer to, mm.
    local : ndarray, shape (2, n_points), optional
        Points of the reference triangle; the integration points by default.
    elements : ndarray of int, optional
        Elements that take part; all by default. Nodes keep the numbers they have in the mesh.
    """

    def __init__(
        self,
        mesh: MeshTri,
        origin: np.ndarray,
        local: np.ndarray | None = None,
        elements: np.ndarray | None = None,
    ) -> None:
        if local is None:
            # exact for second moments of straight triangles; higher orders change curved ones by 1e-7
            basis = Basis(mesh, ElementTriP2(), intorder=4, elements=elements)
        else:
            basis = Basis(
                mesh, ElementTriP2(), quadrature=(local, np.zeros(local.shape[1])), elements=elements
            )
        self.nodes = np.ascontiguousarray(basis.element_dofs.T)
        self.node_points = basis.doflocs.T
        self.points = np.moveaxis(np.asarray(basis.global_coordinates()), 0, -1)
        self.weights = basis.dx
        self._arms = self.points - origin
        n_elements, n_points = self.weights.shape
        values = [np.broadcast_to(np.asarray(f[0]), self.weights.shape)[0] for f in basis.basis]
        self._values = np.stack(values, axis=1)  # alike in every element
        self._gradients = np.empty((n_elements, n_points, 2, 6))
        for k, function in enumerate(basis.basis):
            self._gradients[..., k] = np.moveaxis(np.asarray(function[0].grad), 0, -1)

    @property
    def n_nodes(self) -> int:
        """Number of nodes, corners and middles of sides."""
        return len(self.node_points)

    def strain(self, q: np.ndarray, w: np.ndarray | None = None, dw: np.ndarray | None = None) -> np.ndarray:
        """Return the strain (n_elements, n_points, 6) of q (4,), warping w and its slope dw (n_nodes, 3).

        Measures may also differ from element to element: q (n_elements, 4).
        """
        y, z = np.moveaxis(self._arms, -1, 0)
        e0, twist, ky, kz = np.moveaxis(np.atleast_2d(q)[:, None], -1, 0)
        eps = np.zeros((*self.weights.shape, 6))
        eps[..., 0] = e0 + z * ky - y * kz
        eps[..., 4] = y * twist
        eps[..., 5] = -z * twist
        if w is not None:
            gradient = (self._flat_gradients() @ w[self.nodes]).reshape(*self.weights.shape, 2, 3)
            for direction, rows in enumerate(_ACROSS):
                for component, row in enumerate(rows):  # one by one: fancy indexing takes twice as long
                    eps[..., row] += gradient[..., direction, component]
        if dw is not None and dw.any():
            value = self._values @ dw[self.nodes]
            for component, row in enumerate(_ALONG_X):
                eps[..., row] += value[..., component]
        return eps

    def resultants(self, sig: np.ndarray) -> np.ndarray:
        """Return N, Vy, Vz, T, My, Mz about the origin of a stress field (n_elements, n_points, 6)."""
        y, z = np.moveaxis(self._arms, -1, 0)
        xx, xz, xy = sig[..., 0], sig[..., 4], sig[..., 5]
        densities = (xx, xy, xz, y * xz - z * xy, z * xx, -y * xx)
        return np.array([np.vdot(self.weights, density) for density in densities])

    def forces_across(self, sig: np.ndarray) -> np.ndarray:
        """Return nodal forces (n_nodes, 3) of a stress through the in-plane gradients of the warping."""
        flux = np.stack([sig[..., rows] for rows in _ACROSS], axis=2) * self.weights[..., None, None]
        flux = flux.reshape(len(flux), -1, 3)
        return self._gather(np.swapaxes(self._flat_gradients(), 1, 2) @ flux)

    def forces_along(self, sig: np.ndarray) -> np.ndarray:
        """Return nodal forces (n_nodes, 3) of the stress on the cut x = const, through the warping itself."""
        return self._gather(self._values.T @ (sig[..., _ALONG_X] * self.weights[..., None]))

    def stiffness(self, C: np.ndarray) -> sp.csr_matrix:
        """Return the warping stiffness, (3 n_nodes, 3 n_nodes), for C (n_elements or 1, 6, 6).

        Unknown ``k * n_nodes + i`` is component k of node i. Blocks that C does not couple hold no entries.
        """
        weighted = self._gradients * self.weights[..., None, None]
        products = {
            (c, d): np.swapaxes(weighted[:, :, c], 1, 2) @ self._gradients[:, :, d]
            for c, d in ((0, 0), (0, 1), (1, 1))
        }
        products[1, 0] = np.swapaxes(products[0, 1], 1, 2)
        row = np.repeat(self.nodes, 6, axis=1).ravel()
        column = np.tile(self.nodes, (1, 6)).ravel()
        blocks: list[list[Any]] = [[None] * 3 for _ in range(3)]
        for a in range(3):
            for b in range(a, 3):
                local = np.zeros((len(self.nodes), 6, 6))
                for (c, d), product in products.items():
                    modulus = C[:, _ACROSS[c][a], _ACROSS[d][b]]
                    if modulus.any():
                        local += modulus[:, None, None] * product
                if local.any() or a == b:
                    shape = (self.n_nodes, self.n_nodes)
                    blocks[a][b] = sp.coo_matrix((local.ravel(), (row, column)), shape=shape).tocsr()
                    blocks[b][a] = blocks[a][b] if a == b else blocks[a][b].T
        K = sp.csr_matrix(sp.bmat(blocks, format="csr"))
        K.eliminate_zeros()
        return K

    def _flat_gradients(self) -> np.ndarray:
        """Gradients as (n_elements, n_points * 2, 6)."""
        return self._gradients.reshape(len(self.nodes), -1, 6)

    def _gather(self, local: np.ndarray) -> np.ndarray:
        """Sum of element contributions (n_elements, 6, 3) at the nodes."""
        at = self.nodes.ravel()
        sums = [np.bincount(at, local[..., k].ravel(), self.n_nodes) for k in range(3)]
        return np.stack(sums, axis=1)
