"""Exact stiffness of layered solids; layer normal is axis 2. Voigt order 11, 22, 33, 23, 13, 12, engineering shear."""

import numpy as np


def lame(E: float, nu: float) -> tuple[float, float]:
    """Return Lame's constants (lambda, mu)."""
    return E * nu / ((1 + nu) * (1 - 2 * nu)), E / (2 * (1 + nu))


def rank_one(shares: list[float], moduli: list[float], ratios: list[float]) -> np.ndarray:
    """Return the stiffness of a laminate of isotropic phases.

    Derived from what is equal in all layers: strains 11, 33, 13 and stresses 22, 23, 12 (the averaging of Backus,
    J. Geophys. Res. 67, 4427, 1962).
    """
    f = np.array(shares)
    lam, mu = np.array([lame(E, nu) for E, nu in zip(moduli, ratios, strict=True)]).T
    M = lam + 2 * mu
    C22 = 1 / (f @ (1 / M))
    mean = f @ (lam / M)
    C = np.zeros((6, 6))
    C[1, 1] = C22
    C[0, 1] = C[1, 0] = C[1, 2] = C[2, 1] = C22 * mean
    C[0, 0] = C[2, 2] = f @ (4 * mu * (lam + mu) / M) + C22 * mean**2
    C[0, 2] = C[2, 0] = f @ (2 * mu * lam / M) + C22 * mean**2
    C[3, 3] = C[5, 5] = 1 / (f @ (1 / mu))
    C[4, 4] = f @ mu
    return C


# Worked numbers of the formulas above, MPa: 0.6 of (2000, 0.35) and 0.4 of (200, 0.25).
WORKED = {
    (0, 0): 1565.23681,
    (1, 1): 539.493706,
    (0, 1): 246.230461,
    (0, 2): 612.347920,
    (3, 3): 172.117040,
    (4, 4): 476.444444,
}


def sheets(phi: float, E: float, nu: float) -> np.ndarray:
    """Return the stiffness of parallel sheets of share phi with voids between: the laminate's limit.

    The sheets' faces are free of stress, so every entry with index 22, 23 or 12 is zero.
    """
    C = np.zeros((6, 6))
    C[0, 0] = C[2, 2] = phi * E / (1 - nu**2)
    C[0, 2] = C[2, 0] = nu * C[0, 0]
    C[4, 4] = phi * E / (2 * (1 + nu))
    return C
