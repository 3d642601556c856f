"""What every line pattern can be asked, whatever its kind."""

from abc import ABC, abstractmethod
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, ClassVar, Literal, TypeAlias

import numpy as np
import shapely
from shapely import LineString

from patterns.bead import Bead
from patterns.cells.cell import PlanCell
from patterns.cells.layered import LayeredCell
from patterns.cells.stack import StackedCell
from patterns.cells.strokes import Box
from patterns.kinds.checks import require_positive
from patterns.kinds.option import Option, settle

Cell: TypeAlias = PlanCell | LayeredCell | StackedCell
Kind = Literal["prismatic", "alternating", "varying", "section only"]
KINDS: tuple[Kind, ...] = ("prismatic", "alternating", "varying", "section only")
Symmetry = Literal["isotropic", "square", "orthotropic", "monoclinic", "none"]

_SHORTEST = 1e-6  # mm; shorter pieces are round-off of the cut


@dataclass(frozen=True, kw_only=True)
class Pattern(ABC):
    """One line pattern. Lengths in mm, angles in degrees, fills as fractions of one.

    Methods take the pattern's own options by name, check them and fill in defaults; they raise `InputError` for what
    cannot be.

    Attributes
    ----------
    slug, summary, pitch_means, axis_1 : str
        Name on the command line; one line each on the pattern, its pitch and the direction of axis 1 at angle 0.
    symmetry
        Class of the stiffness at angle 0: "isotropic" in the plan (three- or sixfold), "square" (fourfold),
        "orthotropic" (mirror planes normal to axes 1, 2 and 3), "monoclinic" (only the layer plane is a
        mirror, as in any prismatic cell), "none".
    options : tuple of Option
        The pattern's own numbers.
    kind : str
        The kind's word for tables and JSON; code asks the questions below instead.
    alike : bool
        Whether every layer is the same: then lines lie bead on bead, and corners in the plan are rounded.
    periodic : bool
        Whether the lines repeat in the plan; else they follow the outline of what they fill: there are no `lines` of
        a box, and the `cell` is that of their straight parts.
    crosses : bool
        Whether lines of one layer meet, so that plastic is laid twice there.
    phase_matters : bool
        Whether it is unknown and shows in a beam where the lines lie in it; not where they keep their distance from the
        outline, nor where layers cross its border everywhere (0.1 % of the mass of gyroid cores 12 to 15 mm wide).
    takes_angles : bool
        Whether the directions of the lines are chosen layer by layer.
    default_angles_deg : tuple of float
        These directions where none are given.
    only_fill : float or None
        The set fill of a pattern that has no other.
    """

    slug: str
    summary: str
    pitch_means: str
    axis_1: str
    symmetry: Symmetry
    options: tuple[Option, ...] = ()

    kind: ClassVar[Kind]
    alike: ClassVar[bool] = True
    periodic: ClassVar[bool] = True
    crosses: ClassVar[bool] = False
    phase_matters: ClassVar[bool] = True
    takes_angles: ClassVar[bool] = False
    default_angles_deg: ClassVar[tuple[float, ...]] = (45.0, -45.0)
    only_fill: ClassVar[float | None] = None

    def settle(self, given: Mapping[str, Any]) -> dict[str, float]:
        """Return all options of the pattern, the given ones checked; see `patterns.kinds.option.settle`."""
        return settle(self.slug, self.options, given)

    def straight(self) -> "Pattern":
        """Return the pattern as it is far from the corners of an outline: itself, unless it follows outlines."""
        return self

    @abstractmethod
    def one_period(self, **options: float) -> tuple[float, float]:
        """Return the length of the lines and the plan area of one period at pitch 1, of one layer on average."""

    def set_fill(self, width: float, pitch: float, **options: float) -> float:
        """Return deposited line length x width per plan area (of one layer where layers differ)."""
        require_positive(self.slug, width=width, pitch=pitch)
        length, area = self.one_period(**options)
        return length * width / (area * pitch)

    def pitch(self, width: float, set_fill: float, **options: float) -> float:
        """Return the pitch of a set fill; no check of reach (that is `patterns.fill`)."""
        require_positive(self.slug, width=width, set_fill=set_fill)
        length, area = self.one_period(**options)
        return length * width / (area * set_fill)

    @abstractmethod
    def geometric_fill(self, width: float, pitch: float, corner_radius: float, **options: float) -> float:
        """Return plan area really covered / plan area."""

    @abstractmethod
    def fill_range(self, width: float, corner_radius: float, **options: float) -> tuple[float, float]:
        """Return the least and the highest set fill that can be built, both included."""

    @abstractmethod
    def cell(
        self,
        bead: Bead,
        pitch: float,
        corner_radius: float = 0.0,
        angle_deg: float = 0.0,
        angles_deg: Sequence[float] | None = None,
        **options: float,
    ) -> Cell:
        """Return one period, turned by an angle; ``angles_deg`` are directions layer by layer, where they are chosen.

        Raises
        ------
        InputError
            If the bead does not fit.
        """

    @abstractmethod
    def lines(
        self,
        box: Box,
        pitch: float,
        angle_deg: float = 0.0,
        phase: float = 0.0,
        height: float = 0.0,
        **options: float,
    ) -> list[LineString]:
        """Return the centre-lines of one layer that reach a box; they may stick out of it.

        Parameters
        ----------
        box : (xmin, ymin, xmax, ymax)
            mm.
        pitch : float
            mm.
        angle_deg : float
            Turns the pattern about the origin; the layer's own direction where directions take turns.
        phase : float
            0 to 1; moves the lines by that part of a pitch. At 0 a line, or a node of lines, is on the origin.
        height : float
            mm, of the middle of the layer, for patterns that change with it.
        **options : float
            The pattern's own.

        Raises
        ------
        InputError
            If the pattern has no period.
        """

    def lines_in(
        self,
        area: shapely.Geometry,
        pitch: float,
        angle_deg: float = 0.0,
        phase: float = 0.0,
        height: float = 0.0,
        **options: float,
    ) -> list[LineString]:
        """Return the centre-lines of one layer, cut at the border of an area (mm); the rest as for `lines`."""
        if area.is_empty:
            return []
        lines = self.lines(area.bounds, pitch, angle_deg, phase, height, **options)
        if not lines:
            return []
        pieces = shapely.get_parts(shapely.intersection(np.array(lines, dtype=object), area))
        return [piece for piece in pieces if piece.geom_type == "LineString" and piece.length > _SHORTEST]

    def layer_turns(self, angles_deg: Sequence[float]) -> tuple[float, ...]:
        """Return each layer's own direction in turn, given those asked for; a single 0 where none are chosen."""
        return (0.0,)

    def layers_per_period(self, pitch: float, layer_height: float, angles_deg: Sequence[float]) -> int:
        """Return after how many layers the lines repeat, to the nearest whole layer."""
        return 1
