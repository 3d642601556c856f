"""Equally spaced straight lines in one direction."""

import numpy as np
from shapely import LineString

from patterns.cells.strokes import Box, Stroke, repeat

_STROKE = Stroke(np.array([[0.0, 0.0], [1.0, 0.0]]), (1, 0))


def raster_lines(box: Box, pitch: float, angle_deg: float, phase: float) -> list[LineString]:
    """Return the lines that reach a box (mm); at phase 0 one of them passes the origin."""
    return repeat([_STROKE], np.eye(2), box, pitch, angle_deg, phase)
