"""The Hashin-Shtrikman limit that no cell isotropic in its plane can pass."""


def hashin_shtrikman_E1(phi: float, E: float, nu: float) -> float:
    """Return the largest E1 = E2 (MPa) of a prismatic cell that is isotropic in its plane.

    The bound phi/(3 - 2 phi) on the sheet in plane stress (Hashin 1965; Torquato 2002), carried over to the cell whose
    mean stress 33 is zero:
    1/E1 = ((1 - nu^2)/e + nu^2/phi)/E with e = phi/(3 - 2 phi).
    """
    e = phi / (3 - 2 * phi)
    return E / ((1 - nu**2) / e + nu**2 / phi)
