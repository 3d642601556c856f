"""Outlines of specimens in the section plane (y, z)."""

import math

import numpy as np
from shapely import Polygon, box
from shapely.validation import explain_validity

from patterns.errors import InputError
from patterns.setting import Specimen

CIRCLE_CORNERS = 1024
"""Corners of the polygon that stands for a circle: its area is 6.3e-6 too small, (2 pi/n)^2 / 6.

They lie on the circle, one on each axis, so whoever meshes can put true arcs through them.
"""
SNAP_MM = 1e-4
"""Lengths closer than this are equal: far below what a printer resolves, far above round-off."""


def outline(specimen: Specimen) -> Polygon:
    """Return the outer shape of the beam in (y, z), mm, with its holes.

    Rectangles, circles and tubes are centred on the origin; a polygon keeps the coordinates it was given.

    Raises
    ------
    InputError
        If sizes are not positive or do not fit each other, or a polygon crosses itself.

    Examples
    --------
    >>> outline(Specimen("rectangle", width=16, depth=10, length=75)).bounds
    (-8.0, -5.0, 8.0, 5.0)
    """
    _check_sizes(specimen)
    if specimen.shape == "rectangle":
        return box(-specimen.width / 2, -specimen.depth / 2, specimen.width / 2, specimen.depth / 2)
    if specimen.shape == "round":
        return Polygon(_circle(specimen.width))
    if specimen.shape == "tube":
        return Polygon(_circle(specimen.width), [_circle(specimen.inner)])
    return _polygon(specimen)


def _check_sizes(specimen: Specimen) -> None:
    for name in ("width", "depth", "length"):
        value = getattr(specimen, name)
        if not (math.isfinite(value) and value > 0):
            raise InputError(f"specimen {name} {value} mm: it must be a positive length")
    if specimen.shape in ("round", "tube") and abs(specimen.width - specimen.depth) > SNAP_MM:
        raise InputError(
            f"a {specimen.shape} specimen is as wide as deep: width {specimen.width} mm and depth "
            f"{specimen.depth} mm differ; give its diameter as both"
        )
    if specimen.shape == "tube" and not 0 < specimen.inner < specimen.width:
        raise InputError(
            f"tube inner diameter {specimen.inner} mm: it must lie between 0 and the outer, "
            f"{specimen.width} mm"
        )


def _circle(diameter: float) -> np.ndarray:
    """Return the corners of a circle's polygon, anticlockwise from the y axis."""
    angle = np.linspace(0, 2 * np.pi, CIRCLE_CORNERS, endpoint=False)
    return diameter / 2 * np.column_stack([np.cos(angle), np.sin(angle)])


def _polygon(specimen: Specimen) -> Polygon:
    for name, ring in [("outline", specimen.points), *(("hole", hole) for hole in specimen.holes)]:
        if len(ring) < 3:
            raise InputError(f"polygon {name} has {len(ring)} corners: it takes at least three")
        if not np.isfinite(np.asarray(ring, dtype=float)).all():
            raise InputError(f"polygon {name} has a corner that is not a finite number of mm")
    shape = Polygon(specimen.points, specimen.holes)
    if not shape.is_valid:
        raise InputError(f"polygon is not a simple outline: {_trouble(shape)}; reorder or move its corners")
    y0, z0, y1, z1 = shape.bounds
    for name, given, spanned in [("width", specimen.width, y1 - y0), ("depth", specimen.depth, z1 - z0)]:
        if abs(given - spanned) > SNAP_MM:
            raise InputError(
                f"specimen {name} {given:g} mm, but its corners span {spanned:g} mm: make them agree"
            )
    return shape


def _trouble(shape: Polygon) -> str:
    """Return what makes the polygon invalid, with the place, in plain words."""
    words, _, place = explain_validity(shape).rstrip("]").partition("[")
    plain = {
        "Self-intersection": "it crosses itself",
        "Ring Self-intersection": "it touches itself",
        "Hole lies outside shell": "a hole lies outside",
        "Holes are nested": "a hole lies in another",
        "Interior is disconnected": "its holes cut it apart",
    }.get(words, words.lower())
    return str(
        plain + (f" at (y, z) = ({', '.join(f'{float(x):g}' for x in place.split())}) mm" if place else "")
    )


def depth_along_load(specimen: Specimen, load_angle_deg: float = 0.0) -> float:
    """Return the extent of the section along a load turned from z about the beam's axis, mm."""
    turn = math.radians(load_angle_deg)
    corners = np.asarray(outline(specimen).exterior.coords)[:, :2]
    return float(np.ptp(corners @ np.array([-math.sin(turn), math.cos(turn)])))


def root_depth(specimen: Specimen, load_angle_deg: float = 0.0) -> float:
    """Return the depth of the rectangle that has the filled outline's radius of gyration along a load, mm.

    Its square turns with the load as the second moment does, so a square bar's root yields alike whichever way it is
    loaded; the extent of the section would make it softer across its corners.
    """
    turn = math.radians(load_angle_deg)
    filled = Polygon(outline(specimen).exterior)
    ring = np.asarray(filled.exterior.coords)[:, :2] - np.asarray(filled.centroid.coords)[0, :2]
    s, t = ring @ [-math.sin(turn), math.cos(turn)], ring @ [math.cos(turn), math.sin(turn)]
    cross = t[:-1] * s[1:] - t[1:] * s[:-1]
    second_moment = float((cross * (s[:-1] ** 2 + s[:-1] * s[1:] + s[1:] ** 2)).sum()) / 12
    return math.sqrt(12 * abs(second_moment) / filled.area)
