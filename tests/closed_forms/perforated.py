"""Sheets with arrays of circular holes: antiplane shear (conduction) and elasticity, and what holds for any holes."""

import math
from functools import lru_cache

import numpy as np
from scipy.special import zeta

# Antiplane shear modulus over the solid's, by hole area fraction f: Rayleigh's multipoles (Phil. Mag. 34, 481, 1892;
# Perrins, McKenzie and McPhedran, Proc. R. Soc. A 369, 207, 1979), 40 of them in 30-digit arithmetic.
SQUARE_ANTIPLANE = (
    (0.05, 0.9047617314),
    (0.10, 0.8181767630),
    (0.20, 0.6665306777),
    (0.30, 0.5375799840),
    (0.40, 0.4253512266),
    (0.50, 0.3246544724),
    (0.60, 0.2303179457),
    (0.70, 0.1345404422),
    (0.75, 0.0784244713),
)
HEXAGONAL_ANTIPLANE = (
    (0.10, 0.8181818057),
    (0.20, 0.6666653258),
    (0.30, 0.5384420171),
    (0.40, 0.4284453044),
    (0.50, 0.3328090121),
    (0.60, 0.2483429528),
    (0.70, 0.1720834748),
    (0.80, 0.1004154647),
    (0.85, 0.0638340815),
)

# Plane stress, E = 1, nu = 0.3: a/p, f, E, nu, G, plane bulk modulus (and E at 45 degrees). Doubly periodic
# Kolosov-Muskhelishvili potentials, confirmed by spectral elements at a/p = 0.3 to ten digits. The radius is a, the
# distance of neighbouring centres p; along a lattice axis.
SQUARE_PLANE = (
    (0.10, 0.031415927, 0.91388813, 0.30099453, 0.34805773, 0.65370600, 0.90850735),
    (0.20, 0.12566371, 0.72236394, 0.28666649, 0.24824850, 0.50632974, 0.66630916),
    (0.25, 0.19634954, 0.61682368, 0.26649183, 0.18560887, 0.42046136, 0.51506478),
    (0.30, 0.28274334, 0.51166347, 0.23649896, 0.12448517, 0.33507713, 0.36305966),
    (0.35, 0.38484510, 0.40685038, 0.19743425, 0.07242286, 0.25346856, 0.22531329),
    (0.40, 0.50265482, 0.29996740, 0.15061770, 0.03406061, 0.17657973, 0.11421200),
    (0.45, 0.63617251, 0.18569738, 0.09562554, 0.01026557, 0.10266620, 0.03732968),
)
HEXAGONAL_PLANE = (
    (0.10, 0.036275987, 0.89853273, 0.30338291, 0.34469254, 0.64492584),
    (0.20, 0.14510395, 0.66211290, 0.31175597, 0.25237655, 0.48101609),
    (0.25, 0.22672492, 0.52910396, 0.31935158, 0.20051667, 0.38867640),
    (0.30, 0.32648389, 0.39680665, 0.33743357, 0.14834630, 0.29944669),
    (0.35, 0.44438084, 0.26748767, 0.38408532, 0.09662976, 0.21714669),
    (0.40, 0.58041580, 0.14622340, 0.48887089, 0.04910547, 0.14303960),
    (0.45, 0.73458874, 0.04818975, 0.68419718, 0.01430645, 0.07629721),
)

# Peak hoop stress over mean (gross) stress, same method: a/p, square: along an axis, biaxial, shear along the axes;
# hexagonal: along a row of nearest neighbours, normal to one, biaxial, shear in those axes.
PEAKS = (
    (0.10, 3.00286, 2.06878, 4.3416, 3.12637, 3.09954, 2.07540, 4.1510),
    (0.20, 3.10817, 2.35638, 5.5567, 3.72241, 3.30959, 2.34824, 4.7657),
    (0.25, 3.27794, 2.66841, 6.6696, 4.40646, 3.42766, 2.62331, 5.5879),
    (0.30, 3.60788, 3.18878, 8.3052, 5.58900, 3.64962, 3.09381, 7.2508),
    (0.35, 4.26218, 4.06813, 10.813, 7.68320, 4.69770, 3.95722, 10.503),
    (0.40, 5.77349, 5.75078, 17.689, 11.7452, 8.13873, 5.70621, 17.779),
    (0.45, 10.7054, 10.7067, 46.521, 26.1830, 22.2031, 10.7093, 46.512),
)


def rayleigh(f: float, hexagonal: bool = False, terms: int = 40) -> float:
    """Return the antiplane modulus of an array of circular holes over the solid's, by Rayleigh's multipoles.

    Around a hole of radius a the potential is Re sum (A_n z^n + B_n z^-n), n odd. No flux enters the hole, so
    A_n = B_n a^-2n; the regular part comes from the mean field and all other holes, through the lattice sums S_m =
    sum R^-m: A_n = delta_n1 - sum_m C(n+m-1, n) S_(n+m) B_m, with S_2 = pi/area for the mean field as given.
    """
    area = math.sqrt(3) / 2 if hexagonal else 1.0
    a = math.sqrt(f * area / math.pi)
    orders = range(1, 2 * terms, 2)
    # unknowns b_n = B_n a^-n keep the numbers near one
    matrix = np.array(
        [
            [
                (n == m) + math.comb(n + m - 1, n) * _lattice_sum(n + m, hexagonal) * a ** (n + m)
                for m in orders
            ]
            for n in orders
        ]
    )
    field = np.zeros(terms)
    field[0] = a
    return 1 - 2 * math.pi * np.linalg.solve(matrix, field)[0] * a / area


@lru_cache(maxsize=512)
def _lattice_sum(m: int, hexagonal: bool) -> float:
    """Sum of R^-m over the lattice of spacing 1 without its origin: Eisenstein series."""
    if m == 2:
        return math.pi / (math.sqrt(3) / 2 if hexagonal else 1.0)
    if m % (6 if hexagonal else 4):
        return 0.0
    if m >= 20:  # nearest neighbours and a few shells
        steps = np.arange(-8, 9)
        z = (steps[:, None] + steps * np.exp(1j * np.pi / (3 if hexagonal else 2))).ravel()
        return float((z[z != 0] ** -m).sum().real)
    q = -math.exp(-math.pi * math.sqrt(3)) if hexagonal else math.exp(-2 * math.pi)
    tail = sum(sum(d ** (m - 1) for d in range(1, n + 1) if n % d == 0) * q**n for n in range(1, 60))
    sign = -1 if m % 4 == 2 else 1
    return float(2 * zeta(m) + 2 * sign * (2 * math.pi) ** m / math.factorial(m - 1) * tail)


def shifted_shear(G: float, nu_from: float, nu_to: float) -> float:
    """Return G* of a perforated sheet in plane stress for another Poisson's ratio of its solid (E = 1).

    1/G* - 2 nu stays the same (Cherkaev, Lurie and Milton, Proc. R. Soc. A 438, 519, 1992; from memory, confirmed by
    the tables above). E* does not change at all.
    """
    return 1 / (1 / G + 2 * (nu_to - nu_from))


def prismatic_E1(e1: float, phi: float, nu: float) -> float:
    """Return E1 of the prismatic cell (E = 1) from that of its sheet in plane stress: sigma_33 is zero in the mean."""
    return 1 / ((1 - nu**2) / e1 + nu**2 / phi)


def prismatic_G12(g: float, nu: float) -> float:
    """Return G12 of the prismatic cell (E = 1) from that of its sheet in plane stress, both of Poisson's ratio nu.

    Plane strain is plane stress of the solid E/(1 - nu^2), nu/(1 - nu).
    """
    plane_E, plane_nu = 1 / (1 - nu**2), nu / (1 - nu)
    return plane_E * shifted_shear(g, nu, plane_nu)


def prismatic_nu12(e1: float, nu12: float, phi: float, nu: float) -> float:
    """Return nu12 of the prismatic cell (E = 1) from the sheet's E1 and nu12 in plane stress."""
    s12 = -nu12 / e1
    plane = (1 - nu**2) * (s12 + nu - nu / (1 - nu))  # compliance 12 in plane strain
    return -(plane + nu**2 / phi) * prismatic_E1(e1, phi, nu)
