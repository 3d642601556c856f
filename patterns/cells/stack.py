"""Cells made of any plans stacked layer on layer."""

from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString, MultiPolygon, Polygon

from patterns.bead import Bead
from patterns.cells.strokes import rotation

_AROUND = (-0.5, -0.5, 1.5, 1.5)  # of the unit period
_FLATNESS = 2e-3  # of the width; how far a simplified line may stray


@dataclass(frozen=True)
class Motion:
    """A motion of the unit period that leaves the stack as it is: x -> signs * x + shift.

    ``signs`` are 1 or -1 along axes 1, 2 and 3; ``shift_eighths`` is the shift in eighths of the period.
    """

    signs: tuple[int, int, int]
    shift_eighths: tuple[int, int, int]


IDENTITY = Motion((1, 1, 1), (0, 0, 0))


@dataclass(frozen=True)
class StackedCell:
    """One period, square in the plan, of layers that each have their own lines.

    Attributes
    ----------
    pattern : str
        Slug of the pattern.
    bead : Bead
        Deposited bead.
    period : float
        Side of the square plan in mm, along axes 1 and 2 at angle 0.
    angle_deg : float
        Turn of the cell about axis 3.
    layers : tuple of tuple of LineString
        Centre-lines of each layer from the bottom, at period 1, with all copies that reach the unit square.
    layer_height : float
        mm; the bead's, changed a little where a whole number of layers has to fill the period.
    set_fill : float
        Deposited line length x width / plan area, averaged over the layers.
    motions : tuple of Motion
        All motions, a group, under which the stack is known to repeat; the identity at least.
    quarter_turn : bool
        Whether a quarter turn about axis 3 gives a stack that differs only in where the layers meet the pattern; the
        stiffness is then the mean of both.
    """

    pattern: str
    bead: Bead
    period: float
    angle_deg: float
    layers: tuple[tuple[LineString, ...], ...]
    layer_height: float
    set_fill: float
    motions: tuple[Motion, ...] = (IDENTITY,)
    quarter_turn: bool = False

    @property
    def height(self) -> float:
        """Height of the period in mm."""
        return self.layer_height * len(self.layers)

    @property
    def lattice(self) -> np.ndarray:
        """Rows are the period vectors of the plan (2, 2) in mm, anticlockwise."""
        return self.period * rotation(self.angle_deg).T

    def plans(self, width: float) -> list[Polygon | MultiPolygon]:
        """Return the area that beads of some width (mm) cover in every layer, beyond the period on all sides."""
        return [shapely.union_all(self._beads(lines, width)) for lines in self.layers]

    def _beads(self, lines: tuple[LineString, ...], width: float) -> np.ndarray:
        near = shapely.clip_by_rect(np.array(lines, dtype=object), *_AROUND)
        flatter = shapely.simplify(near, _FLATNESS * width / self.period)
        scaled = shapely.transform(flatter, lambda points: points * self.period)
        found: np.ndarray = shapely.buffer(scaled, width / 2, cap_style="flat", quad_segs=8)
        return found

    def samples(self, layer: int, spacing: float) -> tuple[np.ndarray, np.ndarray]:
        """Return points (n, 2) in mm along the lines of a layer, and the angle (n,) of the lines there in rad."""
        near = shapely.clip_by_rect(np.array(self.layers[layer], dtype=object), *_AROUND)
        points, angles = [], []
        for line in shapely.get_parts(near):
            dense = self.period * shapely.get_coordinates(shapely.segmentize(line, spacing / self.period))
            step = np.diff(dense, axis=0)
            points.append((dense[1:] + dense[:-1]) / 2)
            angles.append(np.arctan2(step[:, 1], step[:, 0]))
        return np.concatenate(points), np.concatenate(angles)
