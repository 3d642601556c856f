"""Six-sided cells, inclined walls bent inwards, continuous through the layers: stretched, they widen."""

import math

import numpy as np

from patterns.cells.net import Net
from patterns.errors import InputError
from patterns.kinds.net import NetPattern
from patterns.kinds.option import Option


def six_sided(inclined: float, upright: float, angle: float) -> Net:
    """Return one six-sided cell with two walls along axis 2.

    Parameters
    ----------
    inclined, upright : float
        Lengths of the inclined walls and of the walls along axis 2.
    angle : float
        Of the inclined walls to axis 1, rad; negative where they bend into the cell.
    """
    c, s = inclined * math.cos(angle), inclined * math.sin(angle)
    return Net(
        lattice=np.array([[2 * c, 0], [c, upright + s]]),
        nodes=np.array([[0, 0], [c, s]]),
        faces=(((0, 0, 0), (1, 0, 0), (0, 0, 1), (1, -1, 1), (0, -1, 1), (1, -1, 0)),),
        strokes=(((0, 0, 0), (1, 0, 0), (0, 1, 0)), ((1, 0, 0), (0, 0, 1))),
    )


def reentrant(cell_angle_deg: float, height_ratio: float) -> Net:
    """Return one cell whose inclined walls are 1 long."""
    angle = math.radians(cell_angle_deg)
    if height_ratio <= -2 * math.sin(angle):
        raise InputError(
            f"reentrant: height_ratio {height_ratio:g} lets the inclined walls touch; at cell_angle_deg "
            f"{cell_angle_deg:g} it must be above {-2 * math.sin(angle):.3f}"
        )
    return six_sided(1.0, height_ratio, angle)


PATTERN = NetPattern(
    slug="reentrant",
    build=reentrant,
    summary="six-sided cells whose inclined walls bend inwards; stretched, they widen",
    pitch_means="length of the inclined walls",
    axis_1="across the upright walls",
    symmetry="orthotropic",
    options=(
        Option("cell_angle_deg", -20, -60, -1, "deg", "angle of the inclined walls to axis 1, negative"),
        Option("height_ratio", 2, 0.1, 10, "", "length of the upright walls / length of the inclined walls"),
    ),
)
