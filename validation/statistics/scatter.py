"""Scatter of repeats on the log scale, per setting and pooled, and what it says of each setting."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy import stats

from patterns.errors import DataError
from validation.statistics.intervals import (
    Interval,
    log_values,
    mean_factor,
    prediction_factor,
    sd_range_factors,
    tolerance_factor,
)


@dataclass(frozen=True)
class Scatter:
    """A standard deviation of log values.

    Attributes
    ----------
    log_sd : float
        Standard deviation of the natural logarithm.
    df : float
        Its degrees of freedom.
    """

    log_sd: float
    df: float

    @property
    def percent(self) -> float:
        """Coefficient of variation of the plain values in percent, lognormal."""
        return 100 * math.sqrt(math.expm1(self.log_sd**2))

    def true_range(self, confidence: float = 0.95) -> Interval:
        """Return the range of the true log standard deviation."""
        low, high = sd_range_factors(self.df, confidence)
        return Interval(low * self.log_sd, self.log_sd, high * self.log_sd, confidence)


@dataclass(frozen=True)
class PooledScatter(Scatter):
    """Scatter pooled over settings.

    Attributes
    ----------
    per_setting : dict of str to Scatter or None
        Scatter of each setting alone; None where a single beam was tested.
    equal_p : float or None
        Bartlett's p value for equal scatter in all settings; None with fewer than two settings of two or more
        beams. With three repeats it sees a tenfold scatter, hardly a threefold one.
    """

    per_setting: dict[str, Scatter | None]
    equal_p: float | None


@dataclass(frozen=True)
class Summary:
    """What the repeats of one setting say, in the unit of the values.

    Attributes
    ----------
    n : int
        Number of beams.
    mean : Interval
        Geometric mean with the t interval of the mean.
    next_beam : Interval
        The same best value with the interval for one further beam.
    lower_bound : float
        Lower one-sided tolerance bound for ``coverage`` of the beams with ``confidence``.
    scatter : Scatter
        Log standard deviation that was used, this setting's own or pooled.
    coverage, confidence : float
        Of the lower bound; ``confidence`` is also that of the intervals.
    """

    n: int
    mean: Interval
    next_beam: Interval
    lower_bound: float
    scatter: Scatter
    coverage: float
    confidence: float


def setting_scatter(values: Sequence[float]) -> Scatter | None:
    """Return the log scatter of one setting's repeats, None for a single beam."""
    logs = log_values(values)
    return Scatter(float(np.std(logs, ddof=1)), logs.size - 1) if logs.size > 1 else None


def pooled_scatter(groups: Mapping[str, Sequence[float]]) -> PooledScatter:
    """Pool the log scatter of repeats over settings.

    Parameters
    ----------
    groups : mapping of str to sequence of float
        Values per setting (force, stiffness, mass), positive, in any one unit.

    Returns
    -------
    PooledScatter
        Root of the within-setting sum of squares over its degrees of freedom.

    Raises
    ------
    DataError
        If no setting has two beams, or a value is not positive.

    Examples
    --------
    >>> round(pooled_scatter({"a": [100, 110], "b": [200, 210]}).percent, 2)
    5.36
    """
    logs = {name: log_values(values, name) for name, values in groups.items()}
    squares = sum(float(np.sum((values - values.mean()) ** 2)) for values in logs.values() if values.size)
    df = sum(max(values.size - 1, 0) for values in logs.values())
    if df == 0:
        raise DataError("no setting has two beams, so scatter cannot be told; repeat at least one setting")
    repeated = [values for values in logs.values() if values.size > 1 and np.ptp(values) > 0]
    equal_p = float(stats.bartlett(*repeated).pvalue) if len(repeated) > 1 else None
    per_setting = {name: setting_scatter(values) for name, values in groups.items()}
    return PooledScatter(math.sqrt(squares / df), df, per_setting, equal_p)


def summarise(
    values: Sequence[float],
    scatter: Scatter | None = None,
    coverage: float = 0.90,
    confidence: float = 0.95,
) -> Summary:
    """Return mean, next-beam interval and lower bound of one setting, made on the log scale.

    Parameters
    ----------
    values : sequence of float
        Repeats of the setting, positive.
    scatter : Scatter, optional
        Pooled scatter to use; the setting's own otherwise.
    coverage : float
        Share of the beams that shall lie above the lower bound.
    confidence : float
        Confidence of the bound and of both intervals.

    Raises
    ------
    DataError
        If there is no value, or a single one and no pooled scatter.

    Examples
    --------
    >>> summary = summarise([100.0, 104.0, 96.0])
    >>> round(summary.mean.low), round(summary.mean.best), round(summary.lower_bound)
    (90, 100, 78)
    """
    logs = log_values(values)
    used = scatter or (setting_scatter(values) if logs.size else None)
    if logs.size == 0 or used is None:
        raise DataError(
            f"{logs.size} beam(s) give no interval; test two or more, or pool the scatter over settings"
        )
    n, middle, sd = logs.size, float(logs.mean()), used.log_sd
    half = sd * mean_factor(n, used.df, confidence)
    wide = sd * prediction_factor(n, used.df, confidence)
    bound = middle - sd * tolerance_factor(n, coverage, confidence, used.df)
    return Summary(
        n=n,
        mean=Interval(middle - half, middle, middle + half, confidence).exp(),
        next_beam=Interval(middle - wide, middle, middle + wide, confidence).exp(),
        lower_bound=math.exp(bound),
        scatter=used,
        coverage=coverage,
        confidence=confidence,
    )
