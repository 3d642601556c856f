"""What fills the core of a beam, settled once: pattern, pitch, corner radius, options and where the lines lie."""

from dataclasses import dataclass, replace

import shapely
from shapely import LineString

from patterns.bead import Bead
from patterns.catalogue import find
from patterns.cells.strokes import Box
from patterns.errors import InputError
from patterns.fill import default_corner_radius, fill_for
from patterns.kinds.pattern import Cell, Pattern
from patterns.setting import Core

# Where lines are drawn whose phase nobody knows: the origin lies half-way between two of them.
UNKNOWN_PHASE = 0.5


@dataclass(frozen=True)
class Infill:
    """Lines of a core without its outline; mm and degrees.

    Attributes
    ----------
    pattern : Pattern
    bead : Bead
    set_fill, geometric_fill : float
        The plan's, fractions of one.
    pitch : float
        As the pattern defines it.
    corner_radius : float
        Of the voids in the plan; 0 where layers differ, for their corners lie in no plan.
    angle_deg : float
        Turn of the pattern about the build axis; 0 where the outline says where lines run.
    turns_deg : tuple of float
        The layers' own directions in turn, beside that angle; a single 0 where they have none.
    phase : float
        0 to 1; moves the lines by that part of a pitch; the middle where the core's is unknown.
    options : tuple of (str, float)
        All of the pattern's own that have a value.
    """

    pattern: Pattern
    bead: Bead
    set_fill: float
    geometric_fill: float
    pitch: float
    corner_radius: float
    angle_deg: float
    turns_deg: tuple[float, ...]
    phase: float
    options: tuple[tuple[str, float], ...]

    def __post_init__(self) -> None:
        if not 0 <= self.phase <= 1:
            raise InputError(f"phase is {self.phase!r}; it must lie between 0 and 1")

    @property
    def angles_deg(self) -> tuple[float, ...]:
        """Directions of the layers in turn, the pattern's turn included."""
        return tuple(self.angle_deg + turn for turn in self.turns_deg)

    @property
    def layers_per_period(self) -> int:
        """After how many layers the lines repeat, to the nearest whole layer."""
        return self.pattern.layers_per_period(self.pitch, self.bead.height, self.turns_deg)

    def lines(self, area: shapely.Geometry, layer: int = 0) -> list[LineString]:
        """Return the centre-lines of one layer, cut at the border of an area.

        Parameters
        ----------
        area : Polygon or MultiPolygon
            mm, in plan axes 1 and 2. The pattern is fixed to the origin, so that neighbouring areas match.
        layer : int
            From 0, the first layer of the core; only patterns that differ from layer to layer use it.
        """
        return self.pattern.lines_in(area, *self._placed(layer), **dict(self.options))

    def uncut(self, box: Box, layer: int = 0) -> list[LineString]:
        """Return the centre-lines of one layer that reach a box (mm); they may stick out of it."""
        return self.pattern.lines(box, *self._placed(layer), **dict(self.options))

    def _placed(self, layer: int) -> tuple[float, float, float, float]:
        """Return pitch, angle, phase and height of a layer."""
        angle = self.angles_deg[layer % len(self.turns_deg)]
        return self.pitch, angle, self.phase, (layer + 0.5) * self.bead.height

    def cell(self) -> Cell:
        """Return one period of the pattern, or raise `InputError` where it has none."""
        return self.pattern.cell(
            self.bead, self.pitch, self.corner_radius, self.angle_deg, self.turns_deg, **dict(self.options)
        )

    def straight(self) -> "Infill":
        """Return the infill as it is far from the corners of an outline; see `Pattern.straight`."""
        return replace(self, pattern=self.pattern.straight())

    def shifted(self, phase: float) -> "Infill":
        """Return the same lines at another phase."""
        return replace(self, phase=phase)


def infill_of(core: Core, bead: Bead) -> Infill:
    """Return what fills a core.

    Raises
    ------
    InputError
        For an unknown pattern or option, a phase out of range, or a fill out of the pattern's reach.

    Examples
    --------
    >>> square = infill_of(Core("square", 0.3), Bead(0.45))
    >>> square.pitch, square.corner_radius
    (3.0, 0.1125)
    """
    pattern = find(core.pattern)
    options = pattern.settle(dict(core.options))
    radius = default_corner_radius(bead.width) if core.corner_radius is None else core.corner_radius
    fill = fill_for(pattern, bead.width, radius, set_fill=core.set_fill, **options)
    return Infill(
        pattern=pattern,
        bead=bead,
        set_fill=core.set_fill,
        geometric_fill=fill.geometric_fill,
        pitch=fill.pitch,
        corner_radius=radius if pattern.alike else 0.0,
        angle_deg=core.angle_deg if pattern.periodic else 0.0,
        turns_deg=pattern.layer_turns(core.angles_deg),
        phase=UNKNOWN_PHASE if core.phase is None else core.phase,
        options=tuple(options.items()),
    )
