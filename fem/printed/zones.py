"""Stiffness of printed solids: bonded beads in walls and faces, in the beam's axes."""

from collections.abc import Sequence

import numpy as np
import shapely

from fem.material.bonded import laminate
from fem.material.stiffness import about_axis_3, rotate
from patterns.outlines.layout import Layout, Zone
from patterns.outlines.orientation import beam_from_print
from patterns.setting import Orientation

# Of the beads' stiffness; holds rings that nothing joins in their places, so that they bend with the walls around them.
# EI, GA and GJ of squares and circles change by less than 3e-4 from 1e-5 to 1e-7.
_HELD = 1e-6


def raster_layers(
    beads: np.ndarray, angles_deg: Sequence[float], orientation: Orientation
) -> list[np.ndarray]:
    """Return the stiffness (6, 6) of each raster layer in beam axes."""
    R = beam_from_print(orientation)
    return [rotate(rotate(beads, about_axis_3(np.deg2rad(angle))), R) for angle in angles_deg]


def zone_stiffness(
    zone: Zone, layout: Layout, beads: np.ndarray, core: np.ndarray, points: np.ndarray
) -> np.ndarray:
    """Return the stiffness (n, 6, 6), MPa, in beam axes at points (n, 2) of a zone.

    Parameters
    ----------
    zone : Zone
        Walls, faces, core or remnant.
    layout : Layout
        Its layout, for the orientation and the outline.
    beads : ndarray, shape (6, 6)
        Bonded beads, see `bonded_beads`.
    core : ndarray, shape (6, 6)
        Homogenised core in print axes.
    points : ndarray, shape (n, 2)
        (y, z) in mm.
    """
    orientation = layout.printing.orientation
    R = beam_from_print(orientation)
    if zone.direction == "around":
        if zone.role == "core":
            held = _HELD if not layout.area("wall").is_empty else 0.0
            return rotate(core + held * beads, around(layout, points))
        return rotate(beads, around(layout, points))
    if zone.direction == "raster":
        in_print = laminate([rotate(beads, about_axis_3(np.deg2rad(angle))) for angle in zone.angles_deg])
    elif zone.direction == "along":
        in_print = beads
    elif zone.direction == "core":
        in_print = core
    else:
        in_print = np.zeros((6, 6))
    return np.broadcast_to(rotate(in_print, R), (len(points), 6, 6))


def around(layout: Layout, points: np.ndarray) -> np.ndarray:
    """Return rotations (n, 3, 3) to beam axes from bead axes of upright walls: along, across in the layer, up."""
    tangent = tangents(layout, points)
    R = np.zeros((len(points), 3, 3))
    R[:, 1:, 0] = tangent
    R[:, 1, 1], R[:, 2, 1] = -tangent[:, 1], tangent[:, 0]
    R[:, 0, 2] = 1.0
    return R


def tangents(layout: Layout, points: np.ndarray) -> np.ndarray:
    """Return unit tangents (n, 2) in (y, z) of the outline nearest to each point."""
    rings = [layout.outline.exterior, *layout.outline.interiors]
    starts = np.vstack([np.asarray(ring.coords)[:-1, :2] for ring in rings])
    ends = np.vstack([np.asarray(ring.coords)[1:, :2] for ring in rings])
    tree = shapely.STRtree(list(shapely.linestrings(np.stack([starts, ends], axis=1))))
    nearest = tree.nearest(shapely.points(points))
    along = ends[nearest] - starts[nearest]
    found: np.ndarray = along / np.linalg.norm(along, axis=1, keepdims=True)
    return found
