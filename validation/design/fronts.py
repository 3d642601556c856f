"""Mass against force and stiffness: the settings that no other beats, and the knee among them."""

from collections.abc import Sequence

import numpy as np

from fem.estimation import Estimate

# A knee stands out from its front's chord by at least this part of the chord's rise.
_KNEE = 0.05


def front(costs: Sequence[float], gains: Sequence[float | None]) -> list[int]:
    """Return the places that no other beats in both, by rising cost; those without a gain take no part."""
    known = [
        (cost, -gain, place)
        for place, (cost, gain) in enumerate(zip(costs, gains, strict=True))
        if gain is not None
    ]
    kept, best = [], -np.inf
    for _, loss, place in sorted(known):
        if -loss > best:
            kept.append(place)
            best = -loss
    return kept


def pareto(estimates: Sequence[Estimate], quantity: str) -> list[int]:
    """Return the places of the settings that no other beats in both mass and a quantity, lightest first."""
    bands = [getattr(found, quantity) for found in estimates]
    return front([found.mass.best for found in estimates], [band.best if band else None for band in bands])


def knee(estimates: Sequence[Estimate], front: Sequence[int], quantity: str) -> int | None:
    """Return the place on a front farthest above its chord, both axes scaled to the chord.

    None below three points, or where the front is nearly straight or bends the other way.
    """
    if len(front) < 3:
        return None
    x = np.array([estimates[i].mass.best for i in front])
    y = np.array([getattr(estimates[i], quantity).best for i in front])
    rise = (y - y[0]) / (y[-1] - y[0]) - (x - x[0]) / (x[-1] - x[0])
    at = int(np.argmax(rise))
    return front[at] if rise[at] > _KNEE else None
