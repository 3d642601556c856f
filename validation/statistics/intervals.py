"""Factors and intervals for a few repeats: mean, next beam, lower bound, true scatter, detectable difference.

Factors multiply a standard deviation; on the log scale, where scatter is pooled, ``exp(factor * log_sd)`` is
a ratio.
"""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import integrate, optimize, stats

from patterns.errors import DataError


@dataclass(frozen=True)
class Interval:
    """A number with its lower and upper end, in the unit of the number.

    Attributes
    ----------
    low, best, high : float
        Ends and best value; ``best`` lies between them.
    confidence : float
        Probability the ends are made for, between 0 and 1.
    """

    low: float
    best: float
    high: float
    confidence: float = 0.95

    def exp(self) -> "Interval":
        """Return the interval carried from the log scale back to the plain one."""
        # beyond the largest float an end is as good as infinite
        low, best, high = (
            math.exp(end) if end < 700 else math.inf for end in (self.low, self.best, self.high)
        )
        return Interval(low, best, high, self.confidence)

    def to_dict(self) -> dict[str, float]:
        """Return ``low``, ``best`` and ``high`` for a JSON object."""
        return {"low": self.low, "best": self.best, "high": self.high}


def mean_factor(n: float, df: float | None = None, confidence: float = 0.95) -> float:
    """Return the half width of the mean's t interval in standard deviations.

    Parameters
    ----------
    n : float
        Number of repeats behind the mean.
    df : float, optional
        Degrees of freedom of the standard deviation; n - 1 unless it is pooled over settings.
    confidence : float
        Two-sided confidence.

    References
    ----------
    .. [1] ISO 2602:1980, Estimation of the mean, confidence interval.

    Examples
    --------
    >>> round(mean_factor(3), 2)
    2.48
    """
    return _student(confidence, _freedom(n, df)) / math.sqrt(n)


def prediction_factor(n: float, df: float | None = None, confidence: float = 0.95) -> float:
    """Return the half width, in standard deviations, of the interval for the next beam.

    Examples
    --------
    >>> round(prediction_factor(3), 2)
    4.97
    """
    return _student(confidence, _freedom(n, df)) * math.sqrt(1 + 1 / n)


def tolerance_factor(
    n: float, coverage: float = 0.90, confidence: float = 0.95, df: float | None = None
) -> float:
    """Return k such that mean - k sd lies below a share ``coverage`` of all beams with the stated confidence.

    Parameters
    ----------
    n : float
        Number of repeats behind the mean; (sd / standard error of the mean)^2 when the mean comes from a
        model.
    coverage : float
        Share of beams that shall lie above the bound.
    confidence : float
        Confidence that they do.
    df : float, optional
        Degrees of freedom of the standard deviation, n - 1 unless pooled.

    References
    ----------
    .. [1] ISO 16269-6:2014, one-sided statistical tolerance interval by the noncentral t distribution.

    Examples
    --------
    >>> round(tolerance_factor(3), 2)
    6.16
    """
    shift = stats.norm.ppf(coverage) * math.sqrt(n)
    return float(stats.nct.ppf(confidence, _freedom(n, df), shift)) / math.sqrt(n)


def sd_range_factors(df: float, confidence: float = 0.95) -> tuple[float, float]:
    """Return the factors on a sample standard deviation between which the true one lies.

    Examples
    --------
    >>> [round(factor, 2) for factor in sd_range_factors(2)]
    [0.52, 6.28]
    """
    _freedom(2, df)
    tail = (1 - confidence) / 2
    return math.sqrt(df / stats.chi2.ppf(1 - tail, df)), math.sqrt(df / stats.chi2.ppf(tail, df))


def difference_power(
    difference: float, n: float, n_other: float | None = None, df: float | None = None, level: float = 0.05
) -> float:
    """Return the chance that a two-sided t test sees a difference of two means.

    Parameters
    ----------
    difference : float
        True difference in standard deviations.
    n, n_other : float
        Repeats of the two settings; equal unless ``n_other`` is given.
    df : float, optional
        Degrees of freedom of the standard deviation; n + n_other - 2 unless pooled over more settings.
    level : float
        Chance of a false alarm that the test allows.
    """
    other = n if n_other is None else n_other
    freedom = _freedom(n + other - 1, df)
    limit = _student(1 - level, freedom)
    shift = abs(difference) / math.sqrt(1 / n + 1 / other)
    power = float(stats.nct.sf(limit, freedom, shift) + stats.nct.cdf(-limit, freedom, shift))
    return power if math.isfinite(power) else _power_by_integral(limit, freedom, shift)


def _power_by_integral(limit: float, freedom: float, shift: float) -> float:
    """Return the power of the t test where the noncentral t distribution fails far out: the mean over scatter found.

    The found standard deviation over the true one is chi/sqrt(df); given it, the test is one of a normal mean.
    """
    root = math.sqrt(freedom)

    def seen(ratio: float) -> float:
        normal = stats.norm.cdf(shift - limit * ratio) + stats.norm.cdf(-shift - limit * ratio)
        return float(normal * stats.chi.pdf(ratio * root, freedom) * root)

    # the chance falls from one to nothing near shift/limit, in a width of a few over limit
    edges = [0.0, max(shift / limit - 8 / limit, 0.0), shift / limit, shift / limit + 8 / limit]
    return float(sum(integrate.quad(seen, *span, limit=200)[0] for span in itertools.pairwise(edges)))


def detectable_difference(
    n: float, n_other: float | None = None, df: float | None = None, power: float = 0.80, level: float = 0.05
) -> float:
    """Return the true difference of two means, in standard deviations, that is seen with the stated power.

    Examples
    --------
    >>> round(detectable_difference(3), 2), round(detectable_difference(3, df=12), 2)
    (3.07, 2.49)
    """

    def lack(difference: float) -> float:
        return difference_power(difference, n, n_other, df, level) - power

    # the power needs more care far out, so the bracket grows from below
    upper = 1.0
    while lack(upper) < 0:
        upper *= 1.5
    return float(optimize.brentq(lack, 0.0, upper))


def log_values(values: Sequence[float], name: str = "value") -> np.ndarray:
    """Return the logarithms, shape (n,), after checking that all values are positive and finite.

    Raises
    ------
    DataError
        If a value cannot be a force, stiffness or mass.
    """
    plain = np.asarray(values, dtype=float)
    bad = plain[~(np.isfinite(plain) & (plain > 0))]
    if bad.size:
        raise DataError(f"{name}: {bad[0]:g} has no logarithm; give positive numbers and leave gaps out")
    found: np.ndarray = np.log(plain)
    return found


def _freedom(n: float, df: float | None) -> float:
    """Return the degrees of freedom, refusing what leaves none."""
    freedom = n - 1 if df is None else df
    if not freedom > 0:
        raise DataError(
            "one beam alone says nothing of scatter; test at least two of a setting or pool over settings"
        )
    return freedom


def _student(confidence: float, df: float) -> float:
    """Return the two-sided t quantile."""
    return float(stats.t.ppf((1 + confidence) / 2, df))
