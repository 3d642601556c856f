"""Element matrices of order p for displacements that are the same in every layer of a prismatic solid.

Displacement is u = eps x + periodic part u*(x1, x2), so that strain = eps + L_1 du*/dx1 + L_2 du*/dx2.
"""

from dataclasses import dataclass
from functools import cached_property
from typing import Protocol

import numpy as np

from fem.numerics.edges import SHARES
from fem.numerics.triangle import n_functions, quadrature, shape, split_quadrature
from fem.prismatic.periodic import Period

# L[i] (6, 3): Voigt strain from the displacement's slope along axis i + 1 of the plan.
L = np.zeros((2, 6, 3))
L[0, 0, 0] = L[0, 5, 1] = L[0, 4, 2] = 1
L[1, 1, 1] = L[1, 5, 0] = L[1, 3, 2] = 1


class Material(Protocol):
    """Stiffness as a function of place."""

    def sample(self, points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Return the stiffness (m, q, 6, 6) at points (m, q, 2), and in which of the m elements it jumps."""


_BEND = len(SHARES) + 1  # highest order of the geometry
_SPLIT, _CHUNK = 3, 200


class Places:
    """Points of some elements: where they lie, weights, and slopes of the shape functions.

    Parameters
    ----------
    period : Period
        The mesh.
    elements : ndarray of int, shape (m,)
        Which elements.
    points : ndarray, shape (2, q)
        Reference points, the same in every element, or (m, 2, q).
    order : int
        Order of the shape functions.
    """

    def __init__(self, period: Period, elements: np.ndarray, points: np.ndarray, order: int) -> None:
        corners, bends = period.corners[elements], period.bends[elements]
        values, slopes = shape(_BEND, points)
        outline = 3 * _BEND
        nodes = np.concatenate(
            [corners, bends.transpose(0, 2, 1, 3).reshape(len(elements), 3 * len(SHARES), 2)], axis=1
        )
        self.x = np.einsum("nq,eni->eqi", values[:outline], nodes)
        J = np.einsum("rnq,eni->eqir", slopes[:, :outline], nodes, optimize=True)
        det = J[..., 0, 0] * J[..., 1, 1] - J[..., 0, 1] * J[..., 1, 0]
        self._inverse = _inverse(J, det)
        self.det = np.abs(det)
        self._reference = shape(order, points)[1]

    @cached_property
    def slopes(self) -> np.ndarray:
        """Slopes of the shape functions along axes 1 and 2, (elements, 2, functions, points)."""
        found: np.ndarray = np.einsum("eqri,raq->eiaq", self._inverse, self._reference, optimize=True)
        return found


def _inverse(J: np.ndarray, det: np.ndarray) -> np.ndarray:
    """Inverse (..., 2, 2) of matrices with known determinants."""
    rows = [J[..., 1, 1], -J[..., 0, 1], -J[..., 1, 0], J[..., 0, 0]]
    found: np.ndarray = np.stack(rows, axis=-1).reshape(J.shape) / det[..., None, None]
    return found


def strains(places: Places, displacement: np.ndarray) -> np.ndarray:
    """Return total strains of unit mean strains.

    Parameters
    ----------
    places : Places
        Points of m elements.
    displacement : ndarray, shape (m, 3, n_functions, 6)
        Unit solutions in those elements.

    Returns
    -------
    ndarray, shape (m, points, 6, 6)
        Voigt components by unit loads.
    """
    slopes = np.einsum("eiaq,ecal->eqicl", places.slopes, displacement, optimize=True)
    found: np.ndarray = np.eye(6) + np.einsum("ikc,eqicl->eqkl", L, slopes, optimize=True)
    return found


@dataclass(frozen=True)
class _Batch:
    """Elements integrated by points: which, where, weights with the Jacobian, stiffness there."""

    elements: np.ndarray
    places: Places
    weights: np.ndarray
    C: np.ndarray


class PlanElements:
    """Integrals over all elements of one period.

    Straight elements of one material are combinations of three reference matrices. Bent ones are integrated by points,
    and so are those that hold several materials, on a rule fine enough to see where one ends.

    Attributes
    ----------
    jumps : bool
        Whether the material jumps inside some element.
    """

    def __init__(self, period: Period, material: np.ndarray | Material, order: int) -> None:
        self.period, self.order = period, order
        bent = (period.bends != 0).any(axis=(1, 2, 3))
        every, several = np.arange(len(bent)), np.zeros(len(bent), dtype=bool)
        if isinstance(material, np.ndarray):
            self._C = np.broadcast_to(material, (len(bent), 6, 6))
        else:
            C, several = material.sample(Places(period, every, quadrature(2 * order)[0], order).x)
            bent |= (C != C[:, :1]).any(axis=(1, 2, 3))
            self._C = C[:, 0]
        self.jumps = bool(several.any())
        self._plain = every[~(bent | several)]
        smooth, split = quadrature(2 * order + 4), split_quadrature(2 * order - 2, _SPLIT)
        parts = [(every[bent & ~several], smooth)]
        for chunk in np.array_split(every[several], 1 + np.count_nonzero(several) // _CHUNK):
            parts.append((chunk, split))
        self._batches = [self._batch(elements, *rule, material) for elements, rule in parts if len(elements)]
        corner = period.corners[self._plain]
        J = np.stack([corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0]], axis=2)
        det = J[:, 0, 0] * J[:, 1, 1] - J[:, 0, 1] * J[:, 1, 0]
        self._inverse, self._det = _inverse(J, det), np.abs(det)

    def _batch(
        self, elements: np.ndarray, points: np.ndarray, weights: np.ndarray, material: np.ndarray | Material
    ) -> _Batch:
        places = Places(self.period, elements, points, self.order)
        C = self._C[elements][:, None] if isinstance(material, np.ndarray) else material.sample(places.x)[0]
        return _Batch(elements, places, places.det * weights, C)

    @cached_property
    def coupled(self) -> bool:
        """Whether the material couples plane strain (11, 22, 33, 12) with antiplane shear (23, 13)."""
        stiffness = [self._C, *(batch.C for batch in self._batches)]
        return any(np.any(C[..., [0, 1, 2, 5], k] != 0) for C in stiffness for k in (3, 4))

    def solid_area(self) -> float:
        """Area of the solid in mm^2."""
        return float(self._det.sum() / 2 + sum(batch.weights.sum() for batch in self._batches))

    def mean_stiffness(self) -> np.ndarray:
        """Integral of the stiffness over the solid, (6, 6) in N: Voigt's bound times the plan area."""
        total: np.ndarray = np.einsum("e,eij->ij", self._det / 2, self._C[self._plain])
        for batch in self._batches:
            total += (batch.weights[..., None, None] * batch.C).sum(axis=(0, 1))
        return total

    def matrices(self, components: tuple[int, ...], loads: tuple[int, ...]) -> tuple[np.ndarray, np.ndarray]:
        """Return stiffness matrices and loads of unit mean strains.

        Parameters
        ----------
        components : tuple of int
            Components of the displacement, 0 to 2.
        loads : tuple of int
            Voigt components of the mean strain, 0 to 5.

        Returns
        -------
        K : ndarray, shape (elements, components, functions, components, functions)
        F : ndarray, shape (elements, components, functions, loads)
        """
        nb, nc = n_functions(self.order), len(components)
        n_elements = len(self.period.corners)
        K = np.empty((n_elements, nc, nb, nc, nb))
        F = np.empty((n_elements, nc, nb, len(loads)))
        B = L[:, :, list(components)]
        self._plain_matrices(B, list(loads), K, F)
        for batch in self._batches:
            self._batch_matrices(batch, B, list(loads), K, F)
        return K, F

    def _plain_matrices(self, B: np.ndarray, loads: list[int], K: np.ndarray, F: np.ndarray) -> None:
        """Fill in the straight elements of one material."""
        e, nc, nb = self._plain, B.shape[2], K.shape[2]
        if not len(e):
            return
        points, weights = quadrature(2 * self.order)
        _, slope = shape(self.order, points)
        R = np.einsum("q,raq,sbq->rsab", weights, slope, slope, optimize=True)
        A = np.einsum("ikc,ekl,jld->eijcd", B, self._C[e], B, optimize=True)
        jacobian = self._det[:, None, None] * self._inverse
        T = np.einsum("eri,esj,eijcd->ecdrs", jacobian, self._inverse, A, optimize=True)
        blocks = T.reshape(-1, 4) @ R.reshape(4, -1)
        K[e] = blocks.reshape(len(e), nc, nc, nb, nb).transpose(0, 1, 3, 2, 4)
        stress = np.einsum("ikc,ekl->eicl", B, self._C[e][:, :, loads])
        F[e] = -np.einsum("eri,ra,eicl->ecal", jacobian, slope @ weights, stress, optimize=True)

    @staticmethod
    def _batch_matrices(batch: _Batch, B: np.ndarray, loads: list[int], K: np.ndarray, F: np.ndarray) -> None:
        """Fill in elements that are integrated by points."""
        e, nc = batch.elements, B.shape[2]
        D, W = batch.places.slopes, batch.weights
        A = np.einsum("ikc,eqkl,jld->ijcdeq", B, batch.C, B, optimize=True)
        stress = np.einsum("ikc,eqkl->iceql", B, batch.C[..., loads], optimize=True)
        for c in range(nc):
            for d in range(c, nc):
                flux = [sum((W * A[i, j, c, d])[:, None, :] * D[:, j] for j in range(2)) for i in range(2)]
                block = sum(D[:, i] @ flux[i].transpose(0, 2, 1) for i in range(2))
                K[e, c, :, d] = block
                K[e, d, :, c] = np.swapaxes(block, 1, 2)
            F[e, c] = -sum(D[:, i] @ (W[..., None] * stress[i, c]) for i in range(2))
