"""Shear of bars: energy coefficients k = V^2/(A int tau^2 dA), stresses, shear centres.

Energy values and Cowper's (J. Appl. Mech. 33, 1966, 335) are two definitions; only the first belongs to a section
stiffness. "Spectral elements": see `tests.closed_forms.torsion`.
"""

import math

import numpy as np

CIRCULAR_TUBE = (0.5, 0.3, 0.587131740)
"""Inner over outer radius, nu, energy coefficient (spectral elements)."""
SQUARE_TUBE = {0.05: 0.42751609, 0.1: 0.44374852, 0.2: 0.49943621}
"""Energy coefficient of a square tube of outer side 1 by wall thickness, nu 0.3 (spectral elements)."""
RECTANGULAR_TUBE = (0.35, 21.96, 0.17374941)
"""nu, area, energy coefficient of a 10 x 4 tube, wall 0.9, force along the 4 (spectral elements)."""
THIN_CIRCULAR_TUBE = 0.5
"""Energy coefficient of a thin circular tube: tau = V sin(a)/(pi R t), so A int tau^2 = 2 V^2."""


def rectangle(nu: float, width: float, height: float) -> float:
    """Energy coefficient of a rectangle for a force along its height.

    From memory (Renton, Int. J. Solids Structures 27, 1991, 1425; Pilkey, Analysis and Design of Elastic Beams, 2002);
    equal to spectral elements in 9 digits.
    """
    m = np.arange(1, 200)
    ratio = width / height
    series = np.sum(np.tanh(m * math.pi / ratio) / m**5)
    return float(1 / (1.2 + (nu / (1 + nu)) ** 2 * ratio**4 * (0.2 - 18 / math.pi**5 * ratio * series)))


def circle(nu: float) -> float:
    """Energy coefficient of a circle: integral of the exact flexure field (Love; spectral elements agree)."""
    return 6 * (1 + nu) ** 2 / (7 + 14 * nu + 8 * nu**2)


def circle_centre_stress(nu: float) -> float:
    """Shear stress at the centre of a circle over V/A (Timoshenko and Goodier, art. 121, from memory)."""
    return (3 + 2 * nu) / (2 * (1 + nu))


def jourawski(V: float, first_moment: float, I: float, width: float) -> float:  # noqa: E741
    """Mean shear stress V S/(I b) across a cut of the section (Jourawski 1856): plain equilibrium."""
    return V * first_moment / (I * width)


def layered_bar(width: float, heights: list[float], E: list[float], G: list[float]) -> tuple[float, float]:
    """EI and GA of a layered bar without lateral contraction, layers stacked along the force.

    Derived here: equilibrium alone gives tau = V S(z)/(EI), so GA = EI^2/(b int S^2/G dz), S of E.
    """
    edges = np.concatenate([[0.0], np.cumsum(heights)])
    e = np.array(E)
    middle = np.sum(e * (edges[1:] ** 2 - edges[:-1] ** 2)) / 2 / np.sum(e * np.array(heights))
    z = edges - middle
    EI = width * float(np.sum(e * (z[1:] ** 3 - z[:-1] ** 3)) / 3)
    integral, below = 0.0, 0.0  # S per width of what lies below, quadratic in each layer
    x, w = np.polynomial.legendre.leggauss(4)
    for k in range(len(heights)):
        half = (z[k + 1] - z[k]) / 2
        at = z[k] + half * (1 + x)
        S = below - e[k] * (at**2 - z[k] ** 2) / 2
        integral += float(np.sum(w * S**2) * half / G[k])
        below -= e[k] * (z[k + 1] ** 2 - z[k] ** 2) / 2
    return EI, EI**2 / (width**2 * integral) * width


def channel_shear_centre(flange: float, web: float) -> float:
    """Distance of a thin channel's shear centre behind its web, centre-line sizes, uniform thickness.

    Shear flow of the flanges (Timoshenko, Strength of Materials II): e = 3 b^2/(h + 6 b).
    """
    return 3 * flange**2 / (web + 6 * flange)
