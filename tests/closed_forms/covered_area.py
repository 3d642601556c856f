"""Covered plan area of bead patterns, exact, with the numbers they give.

Derived for this project: a polygon whose sides all move inwards by d loses d P - d^2 sum(cot(a/2)) of its area (P the
perimeter, a its corner angles); rounding a corner of angle a by a radius r gives back r^2 (cot(a/2) - (pi - a)/2) of
material. Each formula was compared with polygon arithmetic to 1e-14 when it was written.
"""

import math

from scipy.special import ellipe


def fillets(radius: float, *corners: float) -> float:
    """Material that rounding adds in void corners of the given angles, rad."""
    return radius**2 * sum(1 / math.tan(a / 2) - (math.pi - a) / 2 for a in corners)


def crossing(width: float, pitch: float, radius: float = 0.0, half_angle: float = math.pi / 4) -> float:
    """Two families of equal pitch that enclose the angle 2 x half_angle: 1 - (1 - w/s)^2 with sharp corners."""
    face = pitch**2 / math.sin(2 * half_angle)
    corners = 2 * [2 * half_angle, math.pi - 2 * half_angle]
    return 1 - (1 - width / pitch) ** 2 + fillets(radius, *corners) / face


def triangular(width: float, pitch: float, radius: float = 0.0) -> float:
    """Three families through common points, pitch h: 1 - (1 - 3 w/2h)^2 with sharp corners."""
    face = pitch**2 / math.sqrt(3)
    return 1 - (1 - 1.5 * width / pitch) ** 2 + fillets(radius, *3 * [math.pi / 3]) / face


def kagome(width: float, pitch: float, radius: float = 0.0) -> float:
    """Bar length a, pitch sqrt3 a: sqrt3 (w/a) - (w/a)^2 with sharp corners."""
    ratio = math.sqrt(3) * width / pitch
    corners = 6 * [math.pi / 3] + 6 * [2 * math.pi / 3]
    cell = 2 / math.sqrt(3) * pitch**2
    return math.sqrt(3) * ratio - ratio**2 + fillets(radius, *corners) / cell


def six_sided(width: float, inclined: float, upright: float, angle: float, radius: float = 0.0) -> float:
    """Six-sided cells, inclined walls at ``angle`` (rad) to axis 1, negative where re-entrant (mitred joints)."""
    c, s = math.cos(angle), math.sin(angle)
    cell = 2 * inclined * c * (upright + inclined * s)
    walls = width / 2 * (2 * upright + 4 * inclined)
    joints = width**2 / 4 * (2 * math.tan(angle) + 4 * math.tan(math.pi / 4 - angle / 2))
    corners = 4 * [math.pi / 2 + angle] + (2 * [math.pi - 2 * angle] if angle > 0 else [])
    return (walls - joints + fillets(radius, *corners)) / cell


def sine_stretch(steepness: float) -> float:
    """Path length of a sine wave / wavelength, q = 2 pi amplitude / wavelength (arc length integral)."""
    q2 = steepness**2
    return float(2 / math.pi * math.sqrt(1 + q2) * ellipe(q2 / (1 + q2)))


CHECKS = [
    # slug, width, pitch, options, covered area fraction with sharp corners
    ("square", 0.4, 2.0, {}, 0.36),
    ("triangular", 0.4, 3.0, {}, 0.36),
    ("triangular", 0.5, 2.5, {}, 0.51),
    ("kagome", 0.2, math.sqrt(3), {}, 0.306410162),
    ("hexagonal", 0.2, math.sqrt(3), {}, 0.217606774),
    ("hexagonal", 0.05, math.sqrt(3), {}, 0.0569017),
    ("reentrant", 0.1, 1.0, {"cell_angle_deg": -20, "height_ratio": 2}, 0.1243711),
    ("reentrant", 0.2, 1.0, {"cell_angle_deg": -20, "height_ratio": 2}, 0.2407438),
    ("reentrant", 0.1, 1.0, {"cell_angle_deg": -30, "height_ratio": 2}, 0.1484045),
]
"""Worked numbers to the digits shown, computed by polygon union apart from this project's code."""

FULL_SET_FILL = {"square": 0.75, "rhombic": 0.75, "triangular": 0.75, "hexagonal": 0.75, "kagome": 2 / 3}
"""What a set fill of 1 covers with sharp corners, from F - F^2/4 (kagome F - F^2/3)."""

SINE_STRETCH = {0.5: 1.059839380, 1.0: 1.216006723, 2.0: 1.677609972}
"""Arc-length integral, computed to ten digits apart from this project's code."""
