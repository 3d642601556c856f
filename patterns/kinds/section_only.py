"""Patterns whose lines depend on the outline they fill: a section has them, an endless plan does not."""

from abc import abstractmethod
from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar, NoReturn

import shapely
from shapely import LineString

from patterns.bead import Bead
from patterns.cells.strokes import Box
from patterns.errors import InputError
from patterns.kinds.pattern import Kind, Pattern


@dataclass(frozen=True, kw_only=True)
class SectionPattern(Pattern):
    """Lines alike in every layer that no period repeats."""

    kind: ClassVar[Kind] = "section only"
    periodic: ClassVar[bool] = False

    def cell(
        self,
        bead: Bead,
        pitch: float,
        corner_radius: float = 0.0,
        angle_deg: float = 0.0,
        angles_deg: Sequence[float] | None = None,
        **options: float,
    ) -> NoReturn:
        """Refuse: the lines follow the specimen's outline, so no period repeats."""
        raise InputError(
            f"{self.slug} lines follow the specimen's outline and have no repeating cell; "
            "use the pattern in a section, or `parallel` for its lines far from corners"
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
