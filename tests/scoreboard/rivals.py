"""Rivals that know no mechanics: each tells a setting from the measured values of all the others.

constant     geometric mean of the others
mass         solid bar times mass: values in proportion to the deposited mass, the scale from the others
neighbours   along each factor, between (or else at) the nearest settings that differ in nothing else, on logarithms
regression   a + b x by least squares on the others, x the series' regressor
"""

from collections.abc import Mapping, Sequence

import numpy as np

# A regression that leaves the positive numbers is held at this part of the smallest value it saw.
_LEAST = 0.01


def constant(measured: np.ndarray) -> np.ndarray:
    """Return for each setting the geometric mean of the others, shape (n,)."""
    logs, n = np.log(measured), measured.size
    return np.exp((logs.sum() - logs) / (n - 1))


def in_proportion(x: np.ndarray, measured: np.ndarray) -> np.ndarray:
    """Return x times the scale that the other settings give, shape (n,)."""
    return x * constant(measured / x)


def regression(x: np.ndarray, measured: np.ndarray) -> np.ndarray:
    """Return a + b x with a and b from the others, shape (n,); NaN where their x are all alike.

    Examples
    --------
    >>> regression(np.array([1.0, 2.0, 3.0]), np.array([3.0, 5.0, 7.0])).round(9)
    array([3., 5., 7.])
    """
    told = np.full(measured.size, np.nan)
    for i in range(measured.size):
        others = np.arange(measured.size) != i
        if np.ptp(x[others]) > 1e-12:
            slope, start = np.polyfit(x[others], measured[others], 1)
            told[i] = max(start + slope * x[i], _LEAST * measured[others].min())
    return told


def neighbours(factors: Sequence[Mapping[str, float]], measured: np.ndarray) -> np.ndarray:
    """Return for each setting what its neighbours tell, shape (n,); NaN where it has none.

    Neighbours along a factor are the settings alike in all other factors. Where the setting lies between two of them
    along any factor, only such factors count; otherwise the nearest ones stand for it. Several factors are averaged.
    """
    names = sorted(factors[0]) if factors else []
    X = np.array([[one[name] for name in names] for one in factors], dtype=float)
    logs = np.log(measured)
    told = np.full(measured.size, np.nan)
    for i in range(measured.size):
        between, nearest = [], []
        for k in range(len(names)):
            alike = np.isclose(np.delete(X, k, axis=1), np.delete(X[i], k)).all(axis=1)
            alike[i] = False
            if alike.any():
                value, inside = _along(X[alike, k], logs[alike], X[i, k])
                (between if inside else nearest).append(value)
        if between or nearest:
            told[i] = np.exp(np.mean(between or nearest))
    return told


def _along(x: np.ndarray, y: np.ndarray, at: float) -> tuple[float, bool]:
    """Return the value at a place by the nearest points on both sides, or the nearest point, and which it was."""
    order = np.argsort(x)
    inside = bool(x.min() < at < x.max())
    return float(np.interp(at, x[order], y[order])), inside
