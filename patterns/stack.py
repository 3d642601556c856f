"""Cells made of any plans stacked layer on layer."""

from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString, MultiPolygon, Polygon

from patterns.bead import Bead

_AROUND = (-0.5, -0.5, 1.5, 1.5)  # of the unit period
_FLATNESS = 2e-3  # of the width; how far a simplified line may stray


@dataclass(frozen=True)
class StackedCell:
    """One cubic or square period of layers that each have their own lines.

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
        mm; the bead's, changed a little so that a whole number of layers fills the period.
    set_fill : float
        Deposited line length x width / plan area, averaged over the layers.
    """

    pattern: str
    bead: Bead
    period: float
    angle_deg: float
    layers: tuple[tuple[LineString, ...], ...]
    layer_height: float
    set_fill: float

    @property
    def height(self) -> float:
        """Height of the period in mm."""
        return self.layer_height * len(self.layers)

    def plans(self, width: float) -> list[Polygon | MultiPolygon]:
        """Return the area that beads of some width (mm) cover in every layer, beyond the period on all sides."""
        beads = [
            shapely.buffer(np.array(lines, dtype=object), width / self.period / 2, cap_style="flat")
            for lines in self.layers
        ]
        return [
            shapely.transform(shapely.union_all(layer), lambda points: points * self.period)
            for layer in beads
        ]
