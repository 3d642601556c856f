"""Bending beyond yield in closed form: textbooks of plastic bending (Neal; Timoshenko); derived here."""

import math


def bilinear_rectangle(ductility: float) -> float:
    """Moment over first-yield moment of an elastic-plastic rectangle at so many yield curvatures.

    The elastic middle is 1/ductility of the depth: 3/2 (1 - 1/(3 ductility^2)).
    """
    return 1.5 * (1 - 1 / (3 * ductility**2))


def plastic_rectangle(width: float, depth: float, tension: float, compression: float) -> float:
    """Fully plastic moment; the axis parts the depth so that both forces are equal: b h^2 t c/(2 (t + c))."""
    return width * depth**2 * tension * compression / (2 * (tension + compression))


def tube_shape_factor(outer: float, inner: float) -> float:
    """Plastic over elastic section modulus of a tube by its radii: (16/3 pi) (1 - k^3)/(1 - k^4)."""
    k = inner / outer
    return 16 / (3 * math.pi) * (1 - k**3) / (1 - k**4)


def yielding_sandwich(
    width: float, core: float, face: float, face_stress: float, core_stress: float
) -> float:
    """Moment with faces at one stress and the core at its plateau: couples s_f b t (c + t) and s_c b c^2/4."""
    return face_stress * width * face * (core + face) + core_stress * width * core**2 / 4
