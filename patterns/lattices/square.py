"""Two families of lines at right angles, continuous through the layers."""

import numpy as np

from patterns.cells.net import Net
from patterns.kinds.net import NetPattern


def square() -> Net:
    """Return one square face."""
    return Net(
        lattice=np.eye(2),
        nodes=np.zeros((1, 2)),
        faces=(((0, 0, 0), (0, 1, 0), (0, 1, 1), (0, 0, 1)),),
        strokes=(((0, 0, 0), (0, 1, 0)), ((0, 0, 0), (0, 0, 1))),
    )


PATTERN = NetPattern(
    slug="square",
    build=square,
    summary="two families of lines at right angles",
    pitch_means="line distance",
    axis_1="along one family",
    symmetry="square",
)
