"""Nets of straight lines that meet: everything follows from one period of the net."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import ClassVar

from shapely import LineString

from patterns.bead import Bead
from patterns.cells.cell import PlanCell
from patterns.cells.net import Net
from patterns.cells.net_cell import net_cell
from patterns.cells.strokes import Box, repeat
from patterns.cells.voids import smallest_scale, void_area
from patterns.kinds.checks import reach, require_positive, require_radius
from patterns.kinds.pattern import Kind, Pattern


@dataclass(frozen=True, kw_only=True)
class NetPattern(Pattern):
    """A net, alike in every layer.

    Attributes
    ----------
    build : ``(**options) -> Net``
        A function of a module: the net at pitch 1 and angle 0. All options are given, checked one by one;
        `InputError` where they do not go together.
    """

    build: Callable[..., Net]
    kind: ClassVar[Kind] = "prismatic"
    crosses: ClassVar[bool] = True

    def net(self, **options: float) -> Net:
        """Return one period of the net at pitch 1 and angle 0."""
        return _built(self.build, tuple(self.settle(options).items()))

    def one_period(self, **options: float) -> tuple[float, float]:
        """Return length and area of one period of the net."""
        net = self.net(**options)
        return net.line_length, net.area

    def geometric_fill(self, width: float, pitch: float, corner_radius: float, **options: float) -> float:
        """Return the covered share: all but the voids."""
        require_positive(self.slug, width=width, pitch=pitch)
        require_radius(self.slug, corner_radius, width)
        net = self.net(**options).turned(0, pitch)
        return 1 - sum(void_area(net.place(face), width, corner_radius) for face in net.faces) / net.area

    def fill_range(self, width: float, corner_radius: float, **options: float) -> tuple[float, float]:
        """Return the fills from the least to the one at which the first void closes."""
        require_positive(self.slug, width=width)
        require_radius(self.slug, corner_radius, width)
        net = self.net(**options)
        closest = max(smallest_scale(net.place(face), width, corner_radius) for face in net.faces)
        return reach(self.slug, net.line_length * width / (net.area * closest))

    def cell(
        self,
        bead: Bead,
        pitch: float,
        corner_radius: float = 0.0,
        angle_deg: float = 0.0,
        angles_deg: Sequence[float] | None = None,
        **options: float,
    ) -> PlanCell:
        """Return the plan cell."""
        require_positive(self.slug, pitch=pitch)
        require_radius(self.slug, corner_radius, bead.width)
        return net_cell(self.slug, self.net(**options), bead, pitch, corner_radius, angle_deg)

    def lines(
        self,
        box: Box,
        pitch: float,
        angle_deg: float = 0.0,
        phase: float = 0.0,
        height: float = 0.0,
        **options: float,
    ) -> list[LineString]:
        """Return the lines of the net that reach a box."""
        require_positive(self.slug, pitch=pitch)
        net = self.net(**options)
        return repeat(net.paths(), net.lattice, box, pitch, angle_deg, phase)


@lru_cache(maxsize=256)
def _built(build: Callable[..., Net], options: tuple[tuple[str, float], ...]) -> Net:
    return build(**dict(options))
