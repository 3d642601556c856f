"""The deposited bead: its section, flats and volume."""

import math
from dataclasses import dataclass
from typing import Literal

from patterns.errors import InputError

BeadSection = Literal["stadium", "square"]


@dataclass(frozen=True)
class Bead:
    """A bead of flow-equivalent width, so that area = width x height whatever its section.

    Attributes
    ----------
    width : float
        Flow-equivalent width w in mm: bead area / layer height, the pitch of a void-free raster.
    height : float
        Layer height t in mm.
    section : {"stadium", "square"}
        Real rounded section (a rectangle with half-circle ends) or a square-edged one for checks.
    """

    width: float
    height: float = 0.2
    section: BeadSection = "stadium"

    def __post_init__(self) -> None:
        if not (self.width > 0 and self.height > 0):
            raise InputError(f"bead {self.width} x {self.height} mm: both sizes must be positive")
        if self.section == "stadium" and self.flat_width <= 0:
            raise InputError(
                f"a bead {self.width} mm wide cannot be {self.height} mm high: "
                f"its flats would vanish; use a height below {self.width * 4 / math.pi:.3g} mm"
            )

    @classmethod
    def from_full_width(cls, full_width: float, height: float) -> "Bead":
        """Return the stadium bead whose extreme width is ``full_width`` (mm)."""
        return cls(full_width - height * (1 - math.pi / 4), height)

    @property
    def area(self) -> float:
        """Deposited area w x t in mm^2."""
        return self.width * self.height

    @property
    def full_width(self) -> float:
        """Extreme width in mm: w + t (1 - pi/4) for a stadium."""
        return self.width + self.height * (1 - math.pi / 4) if self.section == "stadium" else self.width

    @property
    def flat_width(self) -> float:
        """Width of the flats in mm: w - pi t/4 for a stadium."""
        return self.width - math.pi * self.height / 4 if self.section == "stadium" else self.width

    @property
    def flat_share(self) -> float:
        """Flat width over full width, the contact share of beads stacked in line."""
        return self.flat_width / self.full_width
