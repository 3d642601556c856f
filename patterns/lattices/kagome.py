"""Three families of lines at 60 degrees that cross two at a time: triangles around hexagons."""

import math

import numpy as np

from patterns.cells.net import Net
from patterns.kinds.net import NetPattern


def kagome() -> Net:
    """Return a hexagon and two of its neighbouring triangles."""
    side = 1 / math.sqrt(3)
    return Net(
        lattice=np.array([[2 * side, 0], [side, 1]]),
        nodes=np.array([[0, 0], [side, 0], [side / 2, 0.5]]),
        faces=(
            ((0, 0, 0), (1, 0, 0), (2, 0, 0)),
            ((2, 0, 0), (0, 0, 1), (1, -1, 1)),
            ((1, 0, 0), (0, 1, 0), (2, 1, 0), (1, 0, 1), (0, 0, 1), (2, 0, 0)),
        ),
        strokes=(
            ((0, 0, 0), (1, 0, 0), (0, 1, 0)),
            ((0, 0, 0), (2, 0, 0), (0, 0, 1)),
            ((1, 0, 0), (2, 0, 0), (1, -1, 1)),
        ),
    )


PATTERN = NetPattern(
    slug="kagome",
    build=kagome,
    summary="three families of lines at 60 degrees that cross two at a time: triangles around hexagons",
    pitch_means="line distance of a family (side x sqrt3)",
    axis_1="along one family",
    symmetry="isotropic",
)
