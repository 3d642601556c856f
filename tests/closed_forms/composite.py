"""Sections of several materials and of turned or built-up outlines: transformed areas."""

import math

import numpy as np

TURNED_RECTANGLE = (123.333333, 263.333333, 121.243557)
"""I of 10 x 4 mm turned by 30 degrees: about y, about z, and the size of the mixed one, mm^4 (derived here)."""
ANGLE = {"area": 1900.0, "centroid": 28.6842105, "I": 1800043.86, "I_mixed": -1065789.47}
"""L 100 x 100 x 10 with sharp corners, legs along the axes from the origin (derived here)."""
ANGLE_PRINCIPAL = (2865833.33, 734254.386)
TEE = {"area": 304.0, "centroid": 28.5263158, "I": 46081.1228}
"""Flange 40 x 4 on a web 4 x 36; centroid from the web's foot (derived here)."""

WOOD_ON_STEEL = {"axis": 36.379, "I_steel": 9.358e-6 * 1e12, "steel_bottom": 7.78, "wood_top": 1.71}
"""Wood 150 x 150 (E 12 GPa) on a steel strap 150 x 20 (E 200 GPa), M = 2 kN m: mm, mm^4, MPa, as printed.

Hibbeler, Mechanics of Materials, composite beams, example (from memory; arithmetic checked)."""
STEEL_UNDER_WOOD = {
    "centroid": 77.2222222,
    "EA": 6.75e8,
    "EI": 4.77229167e12,
    "steel_bottom": 97.0882263,
    "steel_top": 84.5156502,
    "wood_bottom": 4.22578251,
    "wood_top": -11.4899376,
}
"""Steel 150 x 10 (E 200 GPa) below wood 150 x 250 (E 10 GPa), M = 30 kN m (derived here)."""
WALLS_AND_CORE = {"EA": 59410.0, "EI_y": 116962.033, "EI_z": 605894.033}
"""10 x 4 mm, walls 0.9 (E 2500) around a core (E 250), one Poisson's ratio (derived here)."""


def turned(EI_y: float, EI_z: float, angle_deg: float) -> tuple[float, float, float]:
    """EI_y, EI_z and EI_yz of a section with principal axes y, z after a turn about x (rotation of a tensor)."""
    c, s = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    return EI_y * c * c + EI_z * s * s, EI_y * s * s + EI_z * c * c, (EI_z - EI_y) * s * c


def stack(width: float, heights: list[float], E: list[float]) -> tuple[float, float, float]:
    """EA, height of the elastic centroid above the bottom, and EI about it, of layers of one width."""
    edges, e = np.concatenate([[0.0], np.cumsum(heights)]), np.array(E)
    EA = width * float(np.sum(e * np.diff(edges)))
    first = width * float(np.sum(e * np.diff(edges**2))) / 2
    second = width * float(np.sum(e * np.diff(edges**3))) / 3
    return EA, first / EA, second - first**2 / EA
