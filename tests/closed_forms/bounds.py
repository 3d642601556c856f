"""Limits that no arrangement of the phases can pass: Voigt, Reuss and Hashin-Shtrikman in the plane."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np


def voigt(shares: Sequence[float], stiffness: Sequence[np.ndarray]) -> np.ndarray:
    """Return the mean stiffness (6, 6): an upper bound in the sense of quadratic forms (equal strain everywhere)."""
    return np.einsum("p,pij->ij", np.asarray(shares, dtype=float), np.asarray(stiffness, dtype=float))


def reuss(shares: Sequence[float], stiffness: Sequence[np.ndarray]) -> np.ndarray:
    """Return the inverse mean compliance (6, 6): a lower bound (equal stress everywhere).

    A phase without stiffness makes it zero.
    """
    phases = np.asarray(stiffness, dtype=float)
    if any(np.linalg.matrix_rank(C) < 6 for C, share in zip(phases, shares, strict=True) if share > 0):
        return np.zeros((6, 6))
    return np.linalg.inv(np.einsum("p,pij->ij", np.asarray(shares, dtype=float), np.linalg.inv(phases)))


@dataclass(frozen=True)
class PlaneBounds:
    """Largest moduli that a solid with voids can have in an isotropic plane, MPa.

    Attributes
    ----------
    bulk : float
        Plane (area) bulk modulus.
    shear : float
        Shear modulus in the plane.
    young : float
        Young's modulus in the plane.
    """

    bulk: float
    shear: float
    young: float


def hashin_shtrikman_plane(phi: float, E: float, nu: float, plane: str = "stress") -> PlaneBounds:
    """Return the two-dimensional upper bounds of an isotropic solid with voids.

    Parameters
    ----------
    phi : float
        Solid share of the area.
    E, nu : float
        The solid's Young's modulus (MPa) and Poisson's ratio.
    plane : {"stress", "strain"}
        Plane stress or plane strain; in plane strain Young's modulus is the plane one, E/(1 - nu^2) for the solid.

    References
    ----------
    Z. Hashin, J. Mech. Phys. Solids 13, 119 (1965); S. Torquato, Random Heterogeneous Materials, 2002.

    Examples
    --------
    >>> round(hashin_shtrikman_plane(0.5, 1.0, 0.3).young, 12)
    0.25
    """
    G = E / (2 * (1 + nu))
    K = E / (2 * (1 - nu)) if plane == "stress" else E / (2 * (1 + nu) * (1 - 2 * nu))
    bulk = phi * K * G / (G + (1 - phi) * K)
    shear = phi * G * K / (2 * (K + G) - phi * (K + 2 * G))
    return PlaneBounds(bulk, shear, 4 * bulk * shear / (bulk + shear))


def hashin_shtrikman_antiplane(phi: float) -> float:
    """Return the largest antiplane shear modulus over the solid's of an isotropic plane: phi/(2 - phi)."""
    return phi / (2 - phi)
