"""Lines that follow the outline inwards; a section has them, an endless plan does not."""

from dataclasses import dataclass

import shapely
from shapely import LineString

from patterns.kinds.checks import LEAST_FILL, require_positive, require_radius
from patterns.kinds.section_only import SectionPattern


@dataclass(frozen=True, kw_only=True)
class Concentric(SectionPattern):
    """The outline moved inwards, again and again."""

    def one_period(self, **options: float) -> tuple[float, float]:
        """Return one line per pitch, as between straight lines: corners and the innermost line are left out."""
        self.settle(options)
        return 1.0, 1.0

    def geometric_fill(self, width: float, pitch: float, corner_radius: float, **options: float) -> float:
        """Return the set fill: lines that follow each other do not cross."""
        require_radius(self.slug, corner_radius, width)
        return self.set_fill(width, pitch, **options)

    def fill_range(self, width: float, corner_radius: float, **options: float) -> tuple[float, float]:
        """Return the fills from the least to the one at which neighbours touch."""
        require_positive(self.slug, width=width)
        require_radius(self.slug, corner_radius, width)
        self.settle(options)
        return LEAST_FILL, 1.0

    def lines_in(
        self,
        area: shapely.Geometry,
        pitch: float,
        angle_deg: float = 0.0,
        phase: float = 0.0,
        height: float = 0.0,
        **options: float,
    ) -> list[LineString]:
        """Return the outline moved inwards by ``phase``, ``1 + phase``, ... pitches, as closed lines."""
        require_positive(self.slug, pitch=pitch)
        self.settle(options)
        rings: list[LineString] = []
        depth = phase * pitch
        while not (inside := area.buffer(-depth, join_style="mitre")).is_empty:
            for part in getattr(inside, "geoms", [inside]):
                rings += [LineString(ring.coords) for ring in (part.exterior, *part.interiors)]
            depth += pitch
        return rings


PATTERN = Concentric(
    slug="concentric",
    summary="lines that follow the outline inwards",
    pitch_means="line distance",
    axis_1="none: the lines follow the outline",
    symmetry="none",
)
