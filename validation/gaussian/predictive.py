"""A mixture of normal distributions of one logarithm, and what is asked of it."""

from dataclasses import dataclass

import numpy as np
from scipy import optimize, special


@dataclass(frozen=True, eq=False)
class Predictive:
    """What is known of one quantity at one place: one normal distribution per node of the grid.

    Attributes
    ----------
    weight : ndarray, shape (g,)
        Of the nodes, with sum 1.
    mean, sd : ndarray, shape (g,)
        Of the place's own mean logarithm.
    scatter, group : ndarray, shape (g,)
        Of one reading about it, and of another group.
    """

    weight: np.ndarray
    mean: np.ndarray
    sd: np.ndarray
    scatter: np.ndarray
    group: np.ndarray

    @property
    def beam_sd(self) -> np.ndarray:
        """Standard deviation of one reading of a new group about the mean, shape (g,)."""
        found: np.ndarray = np.hypot(self.scatter, self.group)
        return found

    @property
    def best(self) -> float:
        """Mean of the mean logarithm."""
        return float(self.weight @ self.mean)

    @property
    def log_sd(self) -> float:
        """Standard deviation of the mean logarithm."""
        return float(np.sqrt(self.weight @ (self.sd**2 + (self.mean - self.best) ** 2)))

    @property
    def beam_log_sd(self) -> float:
        """Root mean square of the standard deviation of one reading about the mean."""
        return float(np.sqrt(self.weight @ self.beam_sd**2))

    def quantile(self, share: float, n: float = np.inf, known: bool = False) -> float:
        """Return the point below which the mean of n new readings lies with a probability; the place's mean for inf.

        Each comes from a new group; from those that the prediction was made for where these are ``known``.
        """
        spread = (self.scatter if known else self.beam_sd) / np.sqrt(n)
        return self._point(self.mean, np.hypot(self.sd, spread), share)

    def band(self, n: float = np.inf, confidence: float = 0.95, known: bool = False) -> tuple[float, float]:
        """Return the central interval of the mean of n new readings."""
        low, high = (self.quantile((1 + side * confidence) / 2, n, known) for side in (-1, 1))
        return low, high

    def lower_bound(self, coverage: float, confidence: float) -> float:
        """Return the point above which a share ``coverage`` of readings lies with ``confidence``.

        The lower end of what is known of that quantile of readings: the tolerance bound of a normal distribution where
        only scatter is unknown.
        """
        depth = float(special.ndtri(coverage))
        return self._point(self.mean - depth * self.beam_sd, self.sd, 1 - confidence)

    def share_above(self, value: float) -> float:
        """Return the probability that the next reading lies above a value."""
        return float(self.weight @ special.ndtr((self.mean - value) / np.hypot(self.sd, self.beam_sd)))

    def _point(self, mean: np.ndarray, sd: np.ndarray, share: float) -> float:
        """Return where the mixture's distribution function reaches a share."""
        sd = np.maximum(sd, 1e-12)
        ends = mean + float(special.ndtri(share)) * sd
        low, high = float(ends.min()), float(ends.max())
        if high - low < 1e-10:
            return low

        def miss(x: float) -> float:
            return float(self.weight @ special.ndtr((x - mean) / sd)) - share

        return float(optimize.brentq(miss, low - 1e-9, high + 1e-9, xtol=1e-8))
