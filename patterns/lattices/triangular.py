"""Three families of lines at 60 degrees that meet in common points, continuous through the layers."""

import math

import numpy as np

from patterns.cells.net import Net
from patterns.kinds.net import NetPattern


def triangular() -> Net:
    """Return two triangles, one on each side of a common edge."""
    side = 2 / math.sqrt(3)
    return Net(
        lattice=np.array([[side, 0], [side / 2, 1]]),
        nodes=np.zeros((1, 2)),
        faces=(((0, 0, 0), (0, 1, 0), (0, 0, 1)), ((0, 1, 0), (0, 1, 1), (0, 0, 1))),
        strokes=(((0, 0, 0), (0, 1, 0)), ((0, 0, 0), (0, 0, 1)), ((0, 0, 0), (0, -1, 1))),
    )


PATTERN = NetPattern(
    slug="triangular",
    build=triangular,
    summary="three families of lines at 60 degrees that meet in common points",
    pitch_means="line distance of a family (side x sqrt3/2)",
    axis_1="along one family",
    symmetry="isotropic",
)
