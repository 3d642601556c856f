"""What consecutive layers of an upright beam both cover in its section, drawn with the beam's real lines."""

from functools import cached_property

import numpy as np
import shapely

from patterns.infill import Infill
from patterns.outlines.layout import Layout
from patterns.paths.covered import covered


class SectionLines:
    """The section of an upright beam in which its core's lines are laid at one phase after the other."""

    def __init__(self, layout: Layout, straight: bool) -> None:
        """Take the layout; ``straight`` tells that its lines are and cross those of the next layer."""
        self.layout, self.straight = layout, straight
        self.wall, self.core = layout.area("wall"), layout.area("core")
        self.bead = layout.printing.bead

    @cached_property
    def walls(self) -> shapely.Geometry:
        """Flats of the walls, mm."""
        return covered(self.layout.wall_rings, self.bead.flat_width)

    @cached_property
    def lap(self) -> shapely.Geometry:
        """Where lines of the core run into the walls, beside the flats of these."""
        return self.layout.traced_core.intersection(self.wall).difference(self.walls)

    @cached_property
    def wall_share(self) -> float:
        """Welded share of the walls by themselves; that of stacked beads where there are none."""
        if self.wall.is_empty:
            return self.bead.flat_width / self.bead.width
        return float(self.walls.intersection(self.wall).area / self.wall.area)

    def shares(self, infill: Infill, flat: float) -> tuple[float, float]:
        """Return the welded shares of walls and core for core lines of some flat, mm.

        The least over the pairs of consecutive layers. Lines run into the walls by the overlap, so their welds count
        where they lie.
        """
        if self.straight:
            inside, beside = self._crossings(infill, flat)
        else:
            inside, beside = self._covered(infill, flat)
        walls = beside / float(self.wall.area) if self.wall.area > 0 else 0.0
        return self.wall_share + walls, inside / float(self.core.area)

    def _covered(self, infill: Infill, flat: float) -> tuple[float, float]:
        """Return what two layers both cover of core and lap, mm^2, for lines of any shape."""
        number = infill.layers_per_period
        areas = [covered(infill.lines(self.layout.traced_core, layer), flat) for layer in range(number)]
        # two layers in turn make one pair, met twice
        pairs = [areas[i].intersection(areas[i - 1]) for i in range(1 if number == 2 else 0, number)]
        inside, beside = (
            min(float(pair.intersection(zone).area) for pair in pairs) for zone in (self.core, self.lap)
        )
        return inside, beside

    def _crossings(self, infill: Infill, flat: float) -> tuple[float, float]:
        """Return the same for straight lines in two directions: rhombs, of which only those at a border are cut."""
        left, low, right, high = self.layout.traced_core.bounds
        box = (left - flat, low - flat, right + flat, high + flat)
        lines = [np.array(infill.uncut(box, layer), dtype=object) for layer in (0, 1)]
        ends = [shapely.get_coordinates(one).reshape(-1, 2, 2) for one in lines]
        (first, u), (second, v) = ((one[:, 0], _direction(one)) for one in ends)
        sine = float(u[0] * v[1] - u[1] * v[0])
        apart = second[None] - first[:, None]
        along = (apart[..., 0] * v[1] - apart[..., 1] * v[0]) / sine
        middles = (first[:, None] + along[..., None] * u).reshape(-1, 2)
        reach = flat / (2 * abs(sine)) * max(np.linalg.norm(u + v), np.linalg.norm(u - v))
        points = shapely.points(middles)
        far = shapely.distance(points, self.core.boundary) > reach
        whole = far & shapely.contains(self.core, points)
        over, under = np.nonzero(~far.reshape(apart.shape[:2]))
        one, other = (
            shapely.buffer(shapely.intersection(each, self.layout.traced_core), flat / 2, cap_style="flat")
            for each in lines
        )
        cut = shapely.intersection(one[over], other[under])
        inside, beside = (
            float(shapely.area(shapely.intersection(cut, zone)).sum()) for zone in (self.core, self.lap)
        )
        return inside + whole.sum() * flat**2 / abs(sine), beside


def _direction(lines: np.ndarray) -> np.ndarray:
    """Return the unit vector of parallel lines (n, 2, 2)."""
    step = lines[0, 1] - lines[0, 0]
    answer: np.ndarray = step / np.linalg.norm(step)
    return answer
