"""Stress of a section under its six resultants: inside the elements, at their nodes, for field viewers."""

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
from skfem import MeshTri

from fem.section.basis import WarpingBasis

Places = Literal["points", "nodes"]

# three points inside, where stresses of second-order triangles are best, or corners and then middles of sides
_LOCAL = {
    "points": np.array([[1, 4, 1], [1, 1, 4]]) / 6,
    "nodes": np.array([[0, 1, 0, 0.5, 0.5, 0], [0, 0, 1, 0, 0.5, 0.5]]),
}


@dataclass(frozen=True)
class UnitFields:
    """Displacement fields of the six unit resultants N, Vy, Vz, T, My, Mz about ``origin``.

    Attributes
    ----------
    mesh : MeshTri or MeshTri2
        Section plane (y, z), mm.
    C : ndarray, shape (n_elements or 1, 6, 6)
        Material stiffness in beam axes, MPa.
    origin : ndarray, shape (2,)
        Point (y, z) that the unit resultants refer to, mm.
    measures : ndarray, shape (6, n_elements or 1, 4)
        e0, twist, ky, kz of every unit resultant; pieces of a section have their own.
    warping, slope : ndarray, shape (6, n_nodes, 3)
        Warping and its derivative along x of every unit resultant: u_x, u_y, u_z, mm; corners, then middles of
        sides.
    """

    mesh: MeshTri
    C: np.ndarray
    origin: np.ndarray
    measures: np.ndarray
    warping: np.ndarray
    slope: np.ndarray

    def strains(self, resultants: np.ndarray, basis: WarpingBasis) -> np.ndarray:
        """Return the strain (n_elements, n_points, 6) under resultants (6,) about the fields' origin."""
        q, w, dw = (np.tensordot(resultants, part, 1) for part in (self.measures, self.warping, self.slope))
        return basis.strain(q, w, dw)

    def stresses(self, resultants: np.ndarray, at: Places) -> np.ndarray:
        """Return the stress (n_elements, n_points, 6), MPa, under resultants about the fields' origin."""
        found: np.ndarray = self.strains(resultants, self._basis(at)) @ self.C
        return found

    def element_energy(self, resultants: np.ndarray) -> np.ndarray:
        """Return the strain energy per length of every element under resultants about the fields' origin."""
        strain = self.strains(resultants, self._basis("points"))
        found: np.ndarray = np.einsum("eki,eki,ek->e", strain, strain @ self.C, self.areas) / 2
        return found

    def points(self, at: Places) -> np.ndarray:
        """Return where stresses are given: (n_elements, n_points, 2), mm."""
        return self._basis(at).points

    @property
    def nodes(self) -> np.ndarray:
        """Nodes (n_elements, 6) of every element: corners, then middles of sides 01, 12, 20."""
        return self._at_nodes.nodes

    @cached_property
    def areas(self) -> np.ndarray:
        """Area (n_elements, 3), mm2, that each of the inner points stands for."""
        found: np.ndarray = np.abs(self.mesh.mapping().detDF(_LOCAL["points"])) / 6
        return found

    def nodal(self, values: np.ndarray, elements: np.ndarray | None = None) -> np.ndarray:
        """Return means over the elements that meet at each node.

        Parameters
        ----------
        values : ndarray, shape (n_elements, 6, n)
            Values at the nodes of every element.
        elements : ndarray of bool, shape (n_elements,), optional
            Elements that take part: those of one material, since stress jumps between materials.

        Returns
        -------
        ndarray, shape (n_nodes, n)
            Not a number at nodes that no such element has.
        """
        chosen = slice(None) if elements is None else elements
        at, parts = self.nodes[chosen].ravel(), values[chosen].reshape(-1, values.shape[-1])
        n_nodes = self._at_nodes.n_nodes
        count = np.bincount(at, minlength=n_nodes).astype(float)
        count[count == 0] = np.nan
        found: np.ndarray = (
            np.stack([np.bincount(at, part, n_nodes) for part in parts.T], axis=1) / count[:, None]
        )
        return found

    def _basis(self, at: Places) -> WarpingBasis:
        return self._at_points if at == "points" else self._at_nodes

    @cached_property
    def _at_points(self) -> WarpingBasis:
        return WarpingBasis(self.mesh, self.origin, _LOCAL["points"])

    @cached_property
    def _at_nodes(self) -> WarpingBasis:
        return WarpingBasis(self.mesh, self.origin, _LOCAL["nodes"])
