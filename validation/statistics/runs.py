"""Runs of equal sign among residuals: a sign that a curve misses the shape of a series."""

from dataclasses import dataclass
from math import comb

import numpy as np
from numpy.typing import ArrayLike


@dataclass(frozen=True)
class Runs:
    """Runs test of a sequence of residuals.

    Attributes
    ----------
    positive, negative : int
        Residuals of each sign; zeros are left out.
    count : int
        Number of runs of equal sign.
    longest : int
        Length of the longest run.
    p : float
        Exact chance of so few runs or fewer when the order is random.
    """

    positive: int
    negative: int
    count: int
    longest: int
    p: float


def runs_test(residuals: ArrayLike) -> Runs:
    """Count the runs of equal sign and how seldom so few occur in random order.

    With one residual per setting of a short series the test is weak: seven settings cannot go below 0.057.

    References
    ----------
    .. [1] A. Wald and J. Wolfowitz, On a test whether two samples are from the same population,
       Ann. Math. Statist. 11 (1940) 147-162.

    Examples
    --------
    >>> runs_test([1, 2, 1, 3, -1, -2, -1, -2]).p.__round__(4)
    0.0286
    """
    signs = np.sign(np.asarray(residuals, dtype=float))
    signs = signs[signs != 0]
    changes = np.flatnonzero(np.diff(signs)) + 1
    lengths = np.diff(np.concatenate([[0], changes, [signs.size]])) if signs.size else np.array([0])
    up, down = int((signs > 0).sum()), int((signs < 0).sum())
    count = int(changes.size + 1) if signs.size else 0
    if count == 0:
        return Runs(0, 0, 0, 0, 1.0)
    ways = sum(_ways(runs, up, down) for runs in range(1, count + 1))
    return Runs(up, down, count, int(lengths.max()), ways / comb(up + down, up))


def _ways(runs: int, up: int, down: int) -> int:
    """Return in how many orders ``up`` and ``down`` signs form exactly so many runs."""
    if up == 0 or down == 0 or runs == 1:
        return int(runs == 1 and min(up, down) == 0)
    half = runs // 2
    if runs % 2 == 0:
        return 2 * comb(up - 1, half - 1) * comb(down - 1, half - 1)
    return comb(up - 1, half) * comb(down - 1, half - 1) + comb(up - 1, half - 1) * comb(down - 1, half)
