"""Lines that follow the outline inwards; a section has them, an endless plan does not."""

from typing import NoReturn

from shapely import LineString, MultiPolygon, Polygon

from patterns.catalogue import Pattern, register
from patterns.cells.net_pattern import LEAST_FILL, require_positive, require_radius
from patterns.errors import InputError

SLUG = "concentric"


def set_fill(width: float, pitch: float) -> float:
    """Return width / pitch, as between straight lines: corners and the innermost line are left out."""
    require_positive(SLUG, width=width, pitch=pitch)
    return width / pitch


def pitch_for(width: float, set_fill: float) -> float:
    """Return the line distance in mm."""
    require_positive(SLUG, width=width, set_fill=set_fill)
    return width / set_fill


def geometric_fill(width: float, pitch: float, corner_radius: float) -> float:
    """Return the set fill: lines that follow each other do not cross."""
    require_radius(SLUG, corner_radius, width)
    return set_fill(width, pitch)


def fill_range(width: float, corner_radius: float) -> tuple[float, float]:
    """Return the fills from the least to the one at which neighbours touch."""
    require_positive(SLUG, width=width)
    require_radius(SLUG, corner_radius, width)
    return LEAST_FILL, 1.0


def cell(*_: object, **__: object) -> NoReturn:
    """Refuse: the lines follow the specimen's outline, so no period repeats."""
    raise InputError(
        "concentric lines follow the specimen's outline and have no repeating cell; "
        "use the pattern in a section, or `parallel` for its lines far from corners"
    )


def fill_area(area: Polygon | MultiPolygon, pitch: float, phase: float = 0.5) -> list[LineString]:
    """Return the outline moved inwards by ``phase``, ``1 + phase``, ... pitches (mm), as closed lines."""
    require_positive(SLUG, pitch=pitch)
    found: list[LineString] = []
    depth = phase * pitch
    while not (inside := area.buffer(-depth, join_style="mitre")).is_empty:
        for part in getattr(inside, "geoms", [inside]):
            found += [LineString(ring.coords) for ring in (part.exterior, *part.interiors)]
        depth += pitch
    return found


register(
    Pattern(
        slug=SLUG,
        kind="section only",
        summary="lines that follow the outline inwards",
        pitch_means="line distance",
        axis_1="none: the lines follow the outline",
        symmetry="none",
        set_fill=set_fill,
        pitch=pitch_for,
        geometric_fill=geometric_fill,
        fill_range=fill_range,
        cell=cell,
        fill_area=fill_area,
    )
)
