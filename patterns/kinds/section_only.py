"""Patterns whose lines depend on the outline they fill: a section has them, an endless plan does not.

In flat and on-edge beams the outline of a layer runs along the beam, in upright ones around the section. Away from its
corners the lines are straight and parallel, and that is what their cell holds.
"""

from abc import abstractmethod
from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar, NoReturn

import shapely
from shapely import LineString

from patterns.bead import Bead
from patterns.cells.cell import PlanCell
from patterns.cells.strand import Wave
from patterns.cells.strokes import Box
from patterns.errors import InputError
from patterns.kinds.pattern import Kind, Pattern
from patterns.kinds.strand import StrandPattern


@dataclass(frozen=True, kw_only=True)
class SectionPattern(Pattern):
    """Lines alike in every layer that no period repeats."""

    kind: ClassVar[Kind] = "section only"
    periodic: ClassVar[bool] = False
    phase_matters: ClassVar[bool] = False  # lines keep their distance from the outline wherever the beam lies

    def cell(
        self,
        bead: Bead,
        pitch: float,
        corner_radius: float = 0.0,
        angle_deg: float = 0.0,
        angles_deg: Sequence[float] | None = None,
        **options: float,
    ) -> PlanCell:
        """Return one period of the lines where they are straight, along axis 1 at angle 0."""
        self.settle(options)
        return self.straight().cell(bead, pitch, corner_radius, angle_deg)

    def straight(self) -> StrandPattern:
        """Return the pattern of parallel lines that this one is far from the corners of an outline."""
        return StrandPattern(
            slug=self.slug,
            summary=self.summary,
            pitch_means=self.pitch_means,
            axis_1="along the lines",
            symmetry="orthotropic",
            build=_straight_line,
        )

    def lines(
        self,
        box: Box,
        pitch: float,
        angle_deg: float = 0.0,
        phase: float = 0.0,
        height: float = 0.0,
        **options: float,
    ) -> NoReturn:
        """Refuse: a box says nothing of the outline; `lines_in` takes it."""
        raise InputError(f"{self.slug} lines follow an outline: none can be drawn in a box without it")

    @abstractmethod
    def lines_in(
        self,
        area: shapely.Geometry,
        pitch: float,
        angle_deg: float = 0.0,
        phase: float = 0.0,
        height: float = 0.0,
        **options: float,
    ) -> list[LineString]:
        """Return the centre-lines of one layer in an area (mm) whose outline they follow."""


def _straight_line() -> Wave:
    return Wave(amplitude=0.0, wavelength=1.0)
