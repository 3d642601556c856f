"""What goes into a calibration: parameters with priors, and measured numbers."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from patterns.errors import InputError

Model = Callable[[Mapping[str, float], Any], Mapping[str, float]]

# width of the range between the 5 % and 95 % points in standard deviations
NORMAL_90 = 2 * 1.6448536269514722


@dataclass(frozen=True)
class Parameter:
    """A parameter to calibrate, with what is known of it beforehand.

    Attributes
    ----------
    name : str
        Key under which the model receives it.
    best : float
        Prior median.
    sd : float
        Prior standard deviation: of the natural logarithm on the log scale, of the value on the linear one.
    scale : {"log", "linear"}
        ``log`` for what must be positive, ``linear`` for what may vanish.
    bounds : tuple of float
        Values that cannot be passed.
    start : float or None
        First starting value; the prior median if None.
    unit : str
        For reports.
    """

    name: str
    best: float
    sd: float
    scale: Literal["log", "linear"] = "log"
    bounds: tuple[float, float] = (-math.inf, math.inf)
    start: float | None = None
    unit: str = ""

    def __post_init__(self) -> None:
        if not self.sd > 0:
            raise InputError(f"parameter {self.name}: prior standard deviation {self.sd:g} must be positive")
        if self.scale == "log" and not self.best > 0:
            raise InputError(f"parameter {self.name}: {self.best:g} has no logarithm; use the linear scale")
        if not self.bounds[0] <= self.best <= self.bounds[1]:
            raise InputError(
                f"parameter {self.name}: prior {self.best:g} lies outside its bounds {self.bounds}"
            )

    @classmethod
    def from_range(
        cls,
        name: str,
        low: float,
        best: float,
        high: float,
        bounds: tuple[float, float] = (-math.inf, math.inf),
        unit: str = "",
    ) -> "Parameter":
        """Return the parameter whose 5 % and 95 % points span the range; linear where the range begins at zero."""
        if not low < high:
            raise InputError(
                f"parameter {name}: the range {low:g} to {high:g} is empty; hold it fixed instead"
            )
        if low > 0:
            return cls(name, best, math.log(high / low) / NORMAL_90, "log", bounds, unit=unit)
        return cls(name, best, (high - low) / NORMAL_90, "linear", bounds, unit=unit)

    def value(self, z: float) -> float:
        """Return the value that lies z prior standard deviations above the median."""
        return self.best * math.exp(self.sd * z) if self.scale == "log" else self.best + self.sd * z

    def place(self, value: float) -> float:
        """Return how many prior standard deviations a value lies above the median."""
        if self.scale == "linear":
            return (value - self.best) / self.sd
        return math.log(value / self.best) / self.sd if value > 0 else -math.inf


@dataclass(frozen=True)
class Observation:
    """One measured number.

    Attributes
    ----------
    item : object
        What the model takes; one object shared by several observations is evaluated once.
    value : float
        Measured value, positive, in the unit of the model.
    group : str
        Setting; observations of a group share the model's error.
    quantity : str
        Which of the model's numbers it is.
    weight : float
        Relative weight among the repeats of its group.
    """

    item: Any
    value: float
    group: str
    quantity: str
    weight: float = 1.0
