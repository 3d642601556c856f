"""Which further readings shrink what is unknown most, by the covariance alone: no reading is needed to know that."""

from collections.abc import Sequence

import numpy as np

from validation.gaussian.fit import Quantity
from validation.gaussian.kernel import alike
from validation.gaussian.places import Place


def posterior_covariance(told: Quantity, places: Sequence[Place]) -> np.ndarray:
    """Return the covariance of the places' mean logarithms as readings leave it, shape (m, m).

    The standard deviations are held at the middle of their nodes.
    """
    shape, d, g, s = told.middle()

    def prior(one: Sequence[Place], other: Sequence[Place]) -> np.ndarray:
        loadings = [np.array([place.loadings[told.name] for place in side]) for side in (one, other)]
        distance, near = told.metric.distance(one, other), alike(one, other)
        kernel = sum(w * k(distance) for w, k in zip(shape, told.grid.shapes, strict=True))
        found: np.ndarray = told.informed.covariance(*loadings) + d**2 * kernel * near
        return found

    cells = told.cells
    if not cells.places:
        return prior(places, places)
    V = prior(cells.places, cells.places) + g**2 * cells.group_covariance()
    V += np.diag(s**2 / cells.count + 1e-12)
    cross = prior(cells.places, places)
    found: np.ndarray = prior(places, places) - cross.T @ np.linalg.solve(V, cross)
    return found


def next_readings(
    covariance: np.ndarray, noise: float, weights: np.ndarray, cost: np.ndarray, n: int
) -> list[int]:
    """Return the places of n further readings, chosen one after the other by variance removed per cost.

    Parameters
    ----------
    covariance : ndarray, shape (m, m)
        Of the places now.
    noise : float
        Standard deviation of one reading.
    weights : ndarray, shape (m,)
        How much each place's variance counts.
    cost : ndarray, shape (m,)
        Of one reading there.
    n : int
        How many.

    References
    ----------
    .. [1] D. J. C. MacKay, Information-based objective functions for active data selection, Neural Computation 4
       (1992) 590-604, section on the mean marginal variance (from memory).
    """
    chosen = []
    for _ in range(n):
        removed = (weights[:, None] * covariance**2).sum(axis=0) / (np.diag(covariance) + noise**2)
        best = int(np.argmax(removed / cost))
        chosen.append(best)
        covariance = after(covariance, noise, [best])
    return chosen


def after(covariance: np.ndarray, noise: float, read: Sequence[int]) -> np.ndarray:
    """Return the covariance after readings at places, one each, shape (m, m)."""
    for place in read:
        column = covariance[:, place]
        covariance = covariance - np.outer(column, column) / (column[place] + noise**2)
    return covariance
