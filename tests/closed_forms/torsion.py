"""Torsion of bars: exact solutions, series and thin-wall limits.

Values called "spectral elements" were computed once for this project with an independent quadrilateral code of
order 8 to 18 graded to the corners, which returns the series below to 10 digits.
"""

import math

import numpy as np

RECTANGLE = {  # sides a/b: beta of J = beta a b^3, alpha of tau_max = T/(alpha a b^2)
    # Timoshenko and Goodier, Theory of Elasticity, art. 109; digits from the series there
    1.0: (0.140577015, 0.208165260),
    1.5: (0.195760709, 0.230969127),
    2.0: (0.228681677, 0.245878342),
    3.0: (0.263316931, 0.267208046),
    5.0: (0.291316754, 0.291500204),
    10.0: (0.312325037, 0.312325114),
}
SQUARE_TUBE = {0.05: 0.04394596, 0.1: 0.07709341, 0.2: 0.11812214}
"""J of a square tube of outer side 1 by wall thickness, sharp corners (spectral elements)."""
RECTANGULAR_TUBE = 128.694579
"""J of a tube 10 x 4 outside with a wall of 0.9, sharp corners (spectral elements)."""
HEXAGON = 1.035459
"""J of a regular hexagon of side 1 (spectral elements, three orders agree)."""


def rectangle(width: float, height: float) -> float:
    """J of a rectangle: Saint-Venant's series (Timoshenko and Goodier, art. 109)."""
    b, a = sorted((width, height))
    odd = np.arange(1, 400, 2)
    tail = (192 * b / (math.pi**5 * a)) * np.sum(np.tanh(odd * math.pi * a / (2 * b)) / odd**5)
    return float(a * b**3 / 3 * (1 - tail))


def orthotropic_rectangle(width: float, height: float, G_xy: float, G_xz: float) -> float:
    """GJ of a rectangle with width along y and height along z, two shear moduli.

    Derived here: stretching z by sqrt(G_xy/G_xz) turns the equation of the stress function into the isotropic one.
    """
    stretch = math.sqrt(G_xy / G_xz)
    return G_xz / stretch * rectangle(width, height * stretch)


def ellipse(a: float, b: float) -> float:
    """J of an ellipse with semi-axes a and b (Saint-Venant; Timoshenko and Goodier, art. 106, from memory)."""
    return math.pi * a**3 * b**3 / (a**2 + b**2)


def equilateral_triangle(side: float) -> float:
    """J of an equilateral triangle (Timoshenko and Goodier, art. 106, from memory; equal to spectral elements)."""
    return math.sqrt(3) * side**4 / 80


def circular_tube(outer: float, inner: float = 0.0) -> float:
    """J of a circular tube by its radii: the polar moment, for nothing warps."""
    return math.pi / 2 * (outer**4 - inner**4)


def bredt(middle_area: float, middle_length: float, wall: float) -> float:
    """J of a thin closed wall of constant thickness (Bredt 1896): 4 A^2 t/s."""
    return 4 * middle_area**2 * wall / middle_length


def thin_open(length: float, wall: float) -> float:
    """J of a thin open strip of any middle line: s t^3/3, the limit of the rectangle."""
    return length * wall**3 / 3


def layered_rectangle(width: float, heights: list[float], moduli: list[float]) -> float:
    """GJ of a rectangle of bonded layers, one above the other.

    Derived here: stress function, zero on the outline; phi and (1/G) dphi/dn pass through the joints. Each cosine
    across the width leaves one ordinary equation per layer; the unknowns are the values at the joints.
    """
    h, G = np.array(heights), np.array(moduli)
    total = 0.0
    for n in range(200):
        k, sign = (2 * n + 1) * math.pi / width, (-1) ** n
        P = 2 * 4 * sign / ((2 * n + 1) * math.pi) / k**2
        coth, csch = 1 / np.tanh(k * h), 2 * np.exp(-k * h) / (1 - np.exp(-2 * k * h))
        joints = len(h) - 1
        value = np.zeros(joints + 2)
        if joints:
            M, f = np.zeros((joints, joints)), np.zeros(joints)
            for j in range(joints):
                M[j, j] = coth[j] / G[j] + coth[j + 1] / G[j + 1]
                f[j] = P * (coth[j] - csch[j] + coth[j + 1] - csch[j + 1])
                if j + 1 < joints:
                    M[j, j + 1] = M[j + 1, j] = -csch[j + 1] / G[j + 1]
            value[1:-1] = np.linalg.solve(M, f)
        area = G * P * h + (value[:-1] + value[1:] - 2 * G * P) * np.tanh(k * h / 2) / k
        total += 2 * (2 * sign / k) * area.sum()
    return float(total)
