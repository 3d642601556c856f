"""Numbers with their band: 5 % point, best value, 95 % point."""

from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True)
class Band:
    """A best value and the 5 % and 95 % points around it.

    Attributes
    ----------
    low, best, high : float
        In the unit of what they tell; ``low <= best <= high``.
    """

    low: float
    best: float
    high: float

    @classmethod
    def of(cls, best: float, samples: np.ndarray) -> "Band":
        """Return the band of ``samples`` (n,) around ``best``, which it always holds."""
        low, high = np.quantile(samples, [0.05, 0.95])
        return cls(float(min(low, best)), float(best), float(max(high, best)))

    def scaled(self, factor: float) -> "Band":
        """Return the band times a positive factor."""
        return Band(self.low * factor, self.best * factor, self.high * factor)

    def as_dict(self) -> dict[str, float]:
        """Return low, best and high by name."""
        return {"low": self.low, "best": self.best, "high": self.high}

    def holds(self, value: float) -> bool:
        """Return whether a value lies within the band."""
        return self.low <= value <= self.high
