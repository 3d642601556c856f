"""A full raster of real beads: void-free, since they hold as much as their layer, or with voids of a stated overlap."""

from dataclasses import dataclass
from typing import ClassVar

from patterns.bead import Bead
from patterns.cells.layered import LayerSection, conserving_section, overlapping_section
from patterns.errors import InputError
from patterns.kinds.checks import require_positive
from patterns.kinds.layered import LayeredPattern
from patterns.kinds.option import Option

_SAME = 1e-6  # relative


@dataclass(frozen=True, kw_only=True)
class FullRaster(LayeredPattern):
    """Beads one width apart: they fill their layer, as alternating ones do at set fill 1.

    With an overlap given, stadium outlines of full width pitch + overlap, and the voids between them.
    """

    default_angles_deg: ClassVar[tuple[float, ...]] = (0.0, 90.0)
    only_fill: ClassVar[float | None] = 1.0

    def set_fill(self, width: float, pitch: float, **options: float) -> float:
        """Return 1, or raise `InputError` at any other pitch than the bead width."""
        require_positive(self.slug, width=width, pitch=pitch)
        if abs(pitch - width) > _SAME * width:
            raise InputError(
                f"solid: pitch is {pitch:g} mm; lines lie one bead width, {width:g} mm, apart. "
                "For voids of another size give the overlap, for wider lines take 'alternating'"
            )
        return 1.0

    def geometric_fill(self, width: float, pitch: float, corner_radius: float, **options: float) -> float:
        """Return the plan's share, where beads hide their voids; the volume share is the cell's."""
        overlap = self.settle(options).get("overlap_mm", 0.0)
        return self.set_fill(width, pitch) if overlap >= 0 else 1 + overlap / pitch

    def fill_range(self, width: float, corner_radius: float, **options: float) -> tuple[float, float]:
        """Return 1 and 1."""
        require_positive(self.slug, width=width)
        self.settle(options)
        return 1.0, 1.0

    def bead_section(self, bead: Bead, pitch: float, **options: float) -> LayerSection:
        """Return outlines that keep the deposited volume, or overlap as told; square-edged beads have no voids."""
        self.set_fill(bead.width, pitch)
        overlap = self.settle(options).get("overlap_mm")
        if bead.section == "square" or overlap is None:
            return conserving_section(bead, pitch)
        return overlapping_section(bead.height, pitch, overlap)


PATTERN = FullRaster(
    slug="solid",
    summary="full raster of beads one width apart; with an overlap, the voids between their round sides",
    pitch_means="bead width",
    axis_1="along the beads of the first layer",
    symmetry="orthotropic",
    options=(
        Option(
            "overlap_mm",
            None,
            -1.0,
            1.0,
            "mm",
            "overlap of neighbouring outlines, negative for a gap, and voids beside it; without, none is left",
        ),
    ),
)
