"""Straight lines whose directions take turns layer by layer; they touch only where they cross."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar

from shapely import LineString

from patterns.bead import Bead
from patterns.cells.layered import LayeredCell, LayerSection, conserving_section, layered_cell
from patterns.cells.raster import raster_lines
from patterns.cells.strokes import Box
from patterns.kinds.checks import LEAST_FILL, require_positive
from patterns.kinds.pattern import Kind, Pattern


@dataclass(frozen=True, kw_only=True)
class LayeredPattern(Pattern):
    """Layers of parallel beads."""

    kind: ClassVar[Kind] = "alternating"
    alike: ClassVar[bool] = False
    takes_angles: ClassVar[bool] = True

    def one_period(self, **options: float) -> tuple[float, float]:
        """Return one line per pitch."""
        self.settle(options)
        return 1.0, 1.0

    def geometric_fill(self, width: float, pitch: float, corner_radius: float, **options: float) -> float:
        """Return the set fill: beads keep their deposited volume, so it is the volume share of every layer."""
        return self.set_fill(width, pitch, **options)

    def fill_range(self, width: float, corner_radius: float, **options: float) -> tuple[float, float]:
        """Return the fills from the least to a full layer."""
        require_positive(self.slug, width=width)
        self.settle(options)
        return LEAST_FILL, 1.0

    def bead_section(self, bead: Bead, pitch: float, **options: float) -> LayerSection:
        """Return the outline of a bead between its neighbours."""
        self.settle(options)
        return conserving_section(bead, pitch)

    def cell(
        self,
        bead: Bead,
        pitch: float,
        corner_radius: float = 0.0,
        angle_deg: float = 0.0,
        angles_deg: Sequence[float] | None = None,
        shift: float = 0.0,
        **options: float,
    ) -> LayeredCell:
        """Return the cell; straight lines that cross in different layers have no corners to round.

        ``shift`` moves every second layer of the same direction across its lines, in pitches: 0 or 0.5.
        """
        directions = self.default_angles_deg if angles_deg is None else angles_deg
        turned = tuple(angle + angle_deg for angle in directions)
        return layered_cell(self.slug, bead, self.bead_section(bead, pitch, **options), turned, shift)

    def lines(
        self,
        box: Box,
        pitch: float,
        angle_deg: float = 0.0,
        phase: float = 0.0,
        height: float = 0.0,
        **options: float,
    ) -> list[LineString]:
        """Return the lines of a layer in its own direction that reach a box."""
        require_positive(self.slug, pitch=pitch)
        self.settle(options)
        return raster_lines(box, pitch, angle_deg, phase)

    def layer_turns(self, angles_deg: Sequence[float]) -> tuple[float, ...]:
        """Return the directions as given."""
        return tuple(angles_deg)

    def layers_per_period(self, pitch: float, layer_height: float, angles_deg: Sequence[float]) -> int:
        """Return the number of directions."""
        return len(angles_deg)
