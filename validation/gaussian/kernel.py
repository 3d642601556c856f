"""How a model's discrepancy varies over places: smooth or rough, over a bounded length, with a term per category."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from validation.gaussian.places import Place

# share of the discrepancy that places of unlike category have in common
SHARED = 0.5
# a coordinate that was never varied counts by its ratio: half as much again is one span
_UNVARIED = 0.5


@dataclass(frozen=True)
class Shape:
    """Matern correlation: of order 1/2 (rough, interpolates along straight lines) or 3/2 (smooth).

    Attributes
    ----------
    order : float
        0.5 or 1.5.
    length : float
        Correlation length in spans of the measured places.

    References
    ----------
    .. [1] C. E. Rasmussen and C. K. I. Williams, Gaussian Processes for Machine Learning, 2006, section 4.2.
    """

    order: float
    length: float

    def __call__(self, distance: np.ndarray) -> np.ndarray:
        """Return the correlation at distances in spans."""
        r = distance / self.length
        if self.order == 0.5:
            return np.exp(-r)
        found: np.ndarray = (1 + np.sqrt(3) * r) * np.exp(-np.sqrt(3) * r)
        return found


# rough over a span, and smooth over less than the gaps of a common series up to three spans: bounded, so that far away
# only the prior is left
SHAPES = (Shape(0.5, 1.0), Shape(1.5, 0.4), Shape(1.5, 1.0), Shape(1.5, 3.0))


@dataclass(frozen=True)
class Metric:
    """Distances between places, by the span of each coordinate over the measured ones.

    Attributes
    ----------
    spans : ndarray, shape (a,)
    """

    spans: np.ndarray

    @classmethod
    def of(cls, places: Sequence[Place]) -> "Metric":
        """Return the metric of measured places."""
        numbers = np.array([place.numbers for place in places], dtype=float).reshape(len(places), -1)
        spans = np.ptp(numbers, axis=0)
        unvaried = _UNVARIED * np.abs(numbers).max(axis=0, initial=0.0)
        return cls(np.where(spans > 0, spans, np.where(unvaried > 0, unvaried, 1.0)))

    def distance(self, one: Sequence[Place], other: Sequence[Place]) -> np.ndarray:
        """Return distances in spans, shape (n, m)."""
        a, b = (
            np.array([p.numbers for p in places], float).reshape(len(places), -1) for places in (one, other)
        )
        found: np.ndarray = np.sqrt((((a[:, None, :] - b[None, :, :]) / self.spans) ** 2).sum(axis=2))
        return found


def alike(one: Sequence[Place], other: Sequence[Place]) -> np.ndarray:
    """Return 1 for places of one category, `SHARED` for others, shape (n, m)."""
    same = np.array([[a.categories == b.categories for b in other] for a in one])
    return np.where(same, 1.0, SHARED)
