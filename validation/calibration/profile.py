"""Ends of a parameter's interval by its profile: how far it can move before the best fit of the others gets worse.

Where failure modes compete, data may bound a strength from one side only (no beam failed that way, so it must be above
something). Linearised errors do not show that; the profile does.
"""

import math
from collections.abc import Sequence

import numpy as np
from scipy import optimize

from validation.calibration.least_squares import Problem

# an end is looked for to this share of its distance from the best value
TOLERANCE = 0.05


def profile_ends(
    problem: Problem,
    z: np.ndarray,
    tau: np.ndarray,
    minima: Sequence[np.ndarray],
    k: int,
    width: float,
    t: float,
) -> tuple[float, float]:
    """Return the lower and upper end of z[k] where the profile of the sum of squares has risen by t squared.

    Parameters
    ----------
    problem : Problem
        The least squares.
    z : ndarray, shape (k,)
        Place of least cost.
    tau : ndarray, shape (q,)
        Model errors, held.
    minima : sequence of ndarray, shape (k,)
        Where the others start from: one place per failure mode that may govern.
    k : int
        The parameter.
    width : float
        Its linearised standard error, a first guess.
    t : float
        Quantile for the confidence wanted.
    """
    # parameters left at their prior move here too: not knowing them widens the interval
    others = np.arange(z.size) != k

    def end(side: int, room: float) -> float:
        """Return the distance to one side, at most the room."""

        def rise(distance: float) -> float:
            if distance == 0:
                return -t
            costs = []
            for one in distinct:
                start = one.copy()
                start[k] = z[k] + side * distance
                costs.append(problem.cost(problem.minimise(start, tau, others, rough=True), tau))
            # on this scale the profile of a linear model is a straight line, which the search below likes
            return math.sqrt(max(min(costs) - least, 0.0)) - t

        far = min(t * width, room)
        while far > 0 and rise(far) < 0:
            if far >= room:
                return room
            far = min(2 * far, room)
        return optimize.brentq(rise, 0.0, far, xtol=TOLERANCE * far) if far > 0 else 0.0

    least = problem.cost(z, tau)
    distinct = _distinct(problem, z, tau, minima, least + 2 * t**2)
    down, up = end(-1, float(z[k] - problem.lower[k])), end(1, float(problem.upper[k] - z[k]))
    return float(z[k]) - down, float(z[k]) + up


def _distinct(
    problem: Problem, z: np.ndarray, tau: np.ndarray, minima: Sequence[np.ndarray], limit: float
) -> list[np.ndarray]:
    """Return up to three places to start from: minima far worse than the best do not come into play in an interval."""
    places = [z]
    for minimum in minima:
        near = problem.cost(minimum, tau) < limit
        if near and len(places) < 3 and all(np.abs(minimum - other).max() > 0.05 for other in places):
            places.append(minimum)
    return places
