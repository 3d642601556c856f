"""Two families of lines at equal angles to axis 1, continuous through the layers."""

import math

import numpy as np

from patterns.cells.net import Net
from patterns.kinds.net import NetPattern
from patterns.kinds.option import Option


def rhombic(opening_angle_deg: float) -> Net:
    """Return one rhombic face."""
    angle = math.radians(opening_angle_deg)
    side = 1 / math.sin(2 * angle)
    c, s = side * math.cos(angle), side * math.sin(angle)
    return Net(
        lattice=np.array([[c, -s], [c, s]]),
        nodes=np.zeros((1, 2)),
        faces=(((0, 0, 0), (0, 1, 0), (0, 1, 1), (0, 0, 1)),),
        strokes=(((0, 0, 0), (0, 1, 0)), ((0, 0, 0), (0, 0, 1))),
    )


PATTERN = NetPattern(
    slug="rhombic",
    build=rhombic,
    summary="two families of lines at equal angles to axis 1",
    pitch_means="line distance",
    axis_1="bisects the families",
    symmetry="orthotropic",
    options=(Option("opening_angle_deg", 30, 10, 80, "deg", "angle of either family to axis 1"),),
)
