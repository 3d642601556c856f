"""A full raster of real beads with the voids between their round sides."""

from shapely import LineString

from patterns.bead import Bead
from patterns.catalogue import Option, Pattern, register
from patterns.cells.layered import LayeredCell, conserving_section, layered_cell, overlapping_section
from patterns.cells.net_pattern import require_positive
from patterns.cells.raster import raster_lines
from patterns.cells.strokes import Box
from patterns.errors import InputError

_SLUG = "solid"
_SAME = 1e-6  # relative


def _set_fill(width: float, pitch: float, overlap_mm: float | None = None) -> float:
    require_positive(_SLUG, width=width, pitch=pitch)
    if abs(pitch - width) > _SAME * width:
        raise InputError(
            f"solid: pitch is {pitch:g} mm; lines lie one bead width, {width:g} mm, apart. "
            "For voids of another size give the overlap, for wider lines take 'alternating'"
        )
    return 1.0


def _pitch(width: float, set_fill: float, overlap_mm: float | None = None) -> float:
    require_positive(_SLUG, width=width, set_fill=set_fill)
    return width / set_fill


def _geometric_fill(
    width: float, pitch: float, corner_radius: float, overlap_mm: float | None = None
) -> float:
    # In the plan the beads hide their voids; the volume share needs the layer height and is the cell's.
    return _set_fill(width, pitch) if overlap_mm is None or overlap_mm >= 0 else 1 + overlap_mm / pitch


def _fill_range(width: float, corner_radius: float, overlap_mm: float | None = None) -> tuple[float, float]:
    require_positive(_SLUG, width=width)
    return 1.0, 1.0


def _cell(
    bead: Bead,
    pitch: float,
    corner_radius: float = 0.0,
    angle_deg: float = 0.0,
    angles_deg: tuple[float, ...] = (0.0, 90.0),
    shift: float = 0.0,
    overlap_mm: float | None = None,
) -> LayeredCell:
    """Return the cell: outlines of full width pitch + overlap; without an overlap given, the bead's own."""
    _set_fill(bead.width, pitch)
    turned = tuple(angle + angle_deg for angle in angles_deg)
    if bead.section == "square":
        return layered_cell(_SLUG, bead, conserving_section(bead, pitch), turned, shift)
    overlap = bead.full_width - pitch if overlap_mm is None else overlap_mm
    return layered_cell(_SLUG, bead, overlapping_section(bead.height, pitch, overlap), turned, shift)


def _lines(
    box: Box,
    pitch: float,
    angle_deg: float = 0.0,
    phase: float = 0.0,
    overlap_mm: float | None = None,
) -> list[LineString]:
    require_positive(_SLUG, pitch=pitch)
    return raster_lines(box, pitch, angle_deg, phase)


register(
    Pattern(
        slug=_SLUG,
        kind="alternating",
        summary="full raster of round-sided beads, one bead width apart, with the voids between them",
        pitch_means="bead width",
        axis_1="along the beads of the first layer",
        symmetry="orthotropic",
        set_fill=_set_fill,
        pitch=_pitch,
        geometric_fill=_geometric_fill,
        fill_range=_fill_range,
        options=(
            Option(
                "overlap_mm",
                None,
                -1.0,
                1.0,
                "mm",
                "overlap of neighbouring outlines, negative for a gap; by default that of the given bead",
            ),
        ),
        cell=_cell,
        lines=_lines,
    )
)
