"""Stress concentration at single holes and bends."""

import math

# Square hole of half-side b in an infinite plate, corner radius r: r/b, peak over remote stress for tension along a
# side, biaxial tension, shear along the sides. Spectral elements on round plates, extrapolated in their size, +-0.0005
# (shear 0.001).
ROUNDED_SQUARE = (
    (0.5, 2.9984, 3.0367, 5.312),
    (0.2, 3.7691, 4.8368, 7.875),
    (0.1, 4.6409, 6.7198, 10.698),
)

# Hole of diameter d in a strip of width W under tension: d/W, peak over gross stress. Spectral elements on strips six
# widths long, three lengths agreeing to eight digits; Howland, Phil. Trans. 229, 49 (1930) has 3.03 to 4.32 for d/W 0.1
# to 0.5.
STRIP = (
    (0.05, 3.0089083),
    (0.1, 3.0361294),
    (0.2, 3.1525666),
    (0.3, 3.3743818),
    (0.4, 3.7471545),
    (0.5, 4.3475991),
    (0.6, 5.318382),
    (0.7, 6.98708),
    (0.8, 10.3499),
)


def ellipse_tension(a: float, b: float) -> float:
    """Return peak over remote stress of an elliptical hole, tension normal to the axis 2a (Inglis 1913)."""
    return 1 + 2 * a / b


def curved_bar(inner: float, outer: float, r: float) -> float:
    """Return the hoop stress at radius r of a curved bar under a unit moment that straightens it, unit thickness.

    Golovin 1881; S. P. Timoshenko and J. N. Goodier, Theory of Elasticity, 3rd ed., 1970, article 29.
    """
    a, b = inner, outer
    N = (b**2 - a**2) ** 2 - 4 * a**2 * b**2 * math.log(b / a) ** 2
    ring = (
        -(a**2 * b**2 / r**2) * math.log(b / a)
        + b**2 * math.log(r / b)
        + a**2 * math.log(a / r)
        + b**2
        - a**2
    )
    return -4 / N * ring


# outer/inner radius, hoop stress at the inner radius for inner radius 1 (the book's table has 7.755 and 2.292).
CURVED_BAR = (
    (1.5, 27.7305137),
    (2, 7.75524357),
    (3, 2.29199306),
)
