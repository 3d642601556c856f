"""Straight lines in two directions that take turns layer by layer; they touch only where they cross."""

from shapely import LineString

from patterns.bead import Bead
from patterns.catalogue import Pattern, register
from patterns.cells.layered import LayeredCell, conserving_section, layered_cell
from patterns.cells.net_pattern import LEAST_FILL, require_positive
from patterns.cells.raster import raster_lines
from patterns.cells.strokes import Box

_SLUG = "alternating"


def _set_fill(width: float, pitch: float) -> float:
    require_positive(_SLUG, width=width, pitch=pitch)
    return width / pitch


def _pitch(width: float, set_fill: float) -> float:
    require_positive(_SLUG, width=width, set_fill=set_fill)
    return width / set_fill


def _geometric_fill(width: float, pitch: float, corner_radius: float) -> float:
    # Beads keep their deposited volume, so that the volume share is the set fill of every layer.
    return _set_fill(width, pitch)


def _fill_range(width: float, corner_radius: float) -> tuple[float, float]:
    require_positive(_SLUG, width=width)
    return LEAST_FILL, 1.0


def _cell(
    bead: Bead,
    pitch: float,
    corner_radius: float = 0.0,
    angle_deg: float = 0.0,
    angles_deg: tuple[float, ...] = (45.0, -45.0),
    shift: float = 0.0,
) -> LayeredCell:
    """Return the cell; straight lines that cross in different layers have no corners to round."""
    turned = tuple(angle + angle_deg for angle in angles_deg)
    return layered_cell(_SLUG, bead, conserving_section(bead, pitch), turned, shift)


def _lines(box: Box, pitch: float, angle_deg: float = 0.0, phase: float = 0.0) -> list[LineString]:
    require_positive(_SLUG, pitch=pitch)
    return raster_lines(box, pitch, angle_deg, phase)


register(
    Pattern(
        slug=_SLUG,
        kind="alternating",
        summary="lines in two directions that take turns layer by layer; solid at set fill 1",
        pitch_means="line distance in a layer",
        axis_1="at angle 0, from which the line directions count",
        symmetry="orthotropic",
        set_fill=_set_fill,
        pitch=_pitch,
        geometric_fill=_geometric_fill,
        fill_range=_fill_range,
        cell=_cell,
        lines=_lines,
    )
)
