"""Bars of anisotropic material: exact couplings of a homogeneous bar, laminated strips.

Lekhnitskii, Theory of Elasticity of an Anisotropic Body, chapter 3: in a homogeneous bar of any section tension and
bending leave sigma_xx alone, M z/I, so strains and their compatible twist follow from the first column of S.
"""

import numpy as np


def homogeneous_bar(S: np.ndarray, area: float, I_y: float, I_z: float) -> dict[tuple[str, str], float]:
    """Exact entries of the section compliance about the centroid, principal axes y and z.

    ``S`` is the material's compliance, Voigt xx, yy, zz, yz, xz, xy. Tension and shear force are tied by
    int sigma_yy = int sigma_zz = int sigma_yz = 0, which equilibrium of a shear field asks for. Bending by My
    shears gamma_xy = S61 M z/I and gamma_xz = S51 M z/I: 2 twist = d gamma_xz/dy - d gamma_xy/dz = -S61 M/I.
    """
    return {
        ("N", "N"): S[0, 0] / area,
        ("N", "Vy"): S[0, 5] / area,
        ("N", "Vz"): S[0, 4] / area,
        ("N", "T"): 0.0,
        ("N", "My"): 0.0,
        ("N", "Mz"): 0.0,
        ("My", "My"): S[0, 0] / I_y,
        ("Mz", "Mz"): S[0, 0] / I_z,
        ("My", "Mz"): 0.0,
        ("T", "My"): -S[0, 5] / (2 * I_y),
        ("T", "Mz"): -S[0, 4] / (2 * I_z),
    }


def laminate_strip(layers: list[tuple[float, np.ndarray]], width: float) -> dict[str, float]:
    """Limit of a wide laminated strip, layers (thickness, plane-stress Q) from bottom to top.

    Classical lamination theory (Jones, Mechanics of Composite Materials, chapter 4): free edges leave only the
    force of the load at hand, so the strip's compliances are entries of the inverse of [[A, B], [B, D]]. Twist is
    -kappa_xy/2 for w along z, and T = -2 b M_xy.
    """
    total = sum(thickness for thickness, _ in layers)
    ABD, z = np.zeros((6, 6)), -total / 2
    for thickness, Q in layers:
        powers = [((z + thickness) ** n - z**n) / n for n in (1, 2, 3)]
        ABD += np.block([[powers[0] * Q, powers[1] * Q], [powers[1] * Q, powers[2] * Q]])
        z += thickness
    c = np.linalg.inv(ABD)
    return {
        "N N": c[0, 0] / width,
        "My My": c[3, 3] / width,
        "T T": c[5, 5] / (4 * width),
        "T My": -c[3, 5] / (2 * width),
        "N T": -c[0, 5] / (2 * width),
        "N Vy": c[0, 2] / width,
    }
