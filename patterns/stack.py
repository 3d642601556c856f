"""Cells made of any plans stacked layer on layer."""

from dataclasses import dataclass

from shapely import LineString

from patterns.bead import Bead


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
