"""How the welded area between layers answers to the squeeze tolerance: beads closer than it weld side by side."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from fem.material.cards import Card

# Where nothing is welded at one tolerance the logarithm has no value; a thousandth carries as good as nothing.
_LEAST = 1e-3


@dataclass(frozen=True)
class Welded:
    """Welded area over that at the best squeeze tolerance; its logarithm is linear between the tolerances solved.

    Attributes
    ----------
    tolerances : tuple of float
        mm, rising.
    ratios : tuple of float
        Of the welded areas at these tolerances.

    Examples
    --------
    >>> round(float(Welded((0.0, 0.1), (0.25, 1.0)).at(0.05)), 6)
    0.5
    """

    tolerances: tuple[float, ...]
    ratios: tuple[float, ...]

    @cached_property
    def _logarithms(self) -> np.ndarray:
        return np.log(self.ratios)

    def at(self, squeeze: np.ndarray | float) -> np.ndarray:
        """Return the ratio at tolerances in mm, any shape; the ends hold beyond the range."""
        return np.exp(np.interp(squeeze, self.tolerances, self._logarithms))


def tolerances(card: Card) -> tuple[float, ...]:
    """Return the squeeze tolerances to solve contact at, mm: the card's range, 0 where it has none."""
    squeeze = card.squeeze_mm
    return tuple(sorted({squeeze.low, squeeze.best, squeeze.high})) if squeeze else (0.0,)


def welded(card: Card, shares: Sequence[float]) -> Welded | None:
    """Return how welded shares at the card's `tolerances` go; None where they stay the same or nothing is welded."""
    at = tolerances(card)
    best = shares[at.index(card.squeeze_mm.best)] if card.squeeze_mm else shares[0]
    if best <= 0 or np.allclose(shares, best, rtol=1e-9, atol=0.0):
        return None
    return Welded(at, tuple(max(share / best, _LEAST) for share in shares))
