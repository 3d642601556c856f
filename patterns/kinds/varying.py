"""Patterns whose lines change with the height and repeat after some layers."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar

from patterns.kinds.pattern import Kind, Pattern


@dataclass(frozen=True, kw_only=True)
class VaryingPattern(Pattern):
    """Lines that depend on the height of their layer; the period is as high as the pitch."""

    kind: ClassVar[Kind] = "varying"
    alike: ClassVar[bool] = False
    phase_matters: ClassVar[bool] = False

    def layers_per_period(self, pitch: float, layer_height: float, angles_deg: Sequence[float]) -> int:
        """Return the layers in the period's height."""
        return max(1, round(pitch / layer_height))
