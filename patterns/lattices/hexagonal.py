"""Hexagonal cells between walls of one bead, continuous through the layers."""

import math

from patterns.cells.net import Net
from patterns.kinds.net import NetPattern
from patterns.lattices.reentrant import six_sided


def hexagonal() -> Net:
    """Return one regular hexagon, two of its walls along axis 2."""
    edge = 1 / math.sqrt(3)
    return six_sided(edge, edge, math.radians(30))


PATTERN = NetPattern(
    slug="hexagonal",
    build=hexagonal,
    summary="regular hexagons with walls of one bead",
    pitch_means="distance of opposite wall centre-lines (edge x sqrt3)",
    axis_1="normal to one family of walls",
    symmetry="isotropic",
)
