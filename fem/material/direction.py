"""Stiffness by direction in the plan: E, G and nu of theta, and how far a cell is from isotropic."""

from dataclasses import dataclass

import numpy as np

from fem.material.stiffness import compliance, powerless


@dataclass(frozen=True)
class Directional:
    """Constants of the plan by direction, nan where there is no load path.

    Attributes
    ----------
    angle_deg : ndarray, shape (n,)
        From axis 1.
    E, G, nu : ndarray, shape (n,)
        Young's modulus along the direction and shear modulus with respect to it and its normal in the plan, MPa;
        contraction along that normal under tension along the direction.
    """

    angle_deg: np.ndarray
    E: np.ndarray
    G: np.ndarray
    nu: np.ndarray


def by_direction(C: np.ndarray, angle_deg: np.ndarray) -> Directional:
    """Return E, G and nu of a stiffness (6, 6) at angles (n,) from axis 1.

    Examples
    --------
    >>> from fem.material.stiffness import isotropic
    >>> found = by_direction(isotropic(2.0, 0.25), np.array([0.0, 30.0]))
    >>> found.E.round(12).tolist(), found.nu.round(12).tolist()
    ([2.0, 2.0], [0.25, 0.25])
    """
    angle = np.radians(np.asarray(angle_deg, dtype=float))
    c, s, zero = np.cos(angle), np.sin(angle), np.zeros_like(angle)
    along = np.stack([c * c, s * s, zero, zero, zero, c * s], axis=1)
    across = np.stack([s * s, c * c, zero, zero, zero, -c * s], axis=1)
    shear = np.stack([-2 * c * s, 2 * c * s, zero, zero, zero, c * c - s * s], axis=1)
    S, void = compliance(C), powerless(C)

    def product(a: np.ndarray, b: np.ndarray) -> np.ndarray:
        """Compliance a S b of two unit mean stresses, nan where one has no path."""
        held = (np.abs(a @ void) < 1e-6).all(axis=1) & (np.abs(b @ void) < 1e-6).all(axis=1)
        return np.where(held, np.einsum("ni,ij,nj->n", a, S, b), np.nan)

    tension = product(along, along)
    return Directional(
        angle_deg=np.asarray(angle_deg, dtype=float),
        E=1 / tension,
        G=1 / product(shear, shear),
        nu=-product(along, across) / tension,
    )


@dataclass(frozen=True)
class Anisotropy:
    """How the plan's constants spread over directions; all three are 1, 1, 0 for an isotropic plane.

    Attributes
    ----------
    E_ratio, G_ratio : float
        Largest over smallest; infinite where some direction has no load path.
    isotropy_defect : float
        Largest distance over directions of 2 G (1 + nu)/E from 1; nan without load path.
    """

    E_ratio: float
    G_ratio: float
    isotropy_defect: float


def anisotropy(C: np.ndarray, steps: int = 180) -> Anisotropy:
    """Return anisotropy measures of the plan of a stiffness (6, 6), over ``steps`` directions of half a turn."""
    found = by_direction(C, np.arange(steps) * 180 / steps)
    defect = np.abs(2 * found.G * (1 + found.nu) / found.E - 1)
    return Anisotropy(_ratio(found.E), _ratio(found.G), float(defect.max()))


def _ratio(values: np.ndarray) -> float:
    """Largest over smallest, infinite where a value is missing."""
    return float(values.max() / values.min()) if np.isfinite(values).all() else np.inf
