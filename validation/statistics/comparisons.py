"""Do two settings differ? Ratios of geometric means with intervals, adjusted for many comparisons."""

import functools
import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from scipy import stats

from patterns.errors import DataError, InputError
from validation.statistics.intervals import Interval, detectable_difference, log_values
from validation.statistics.scatter import Scatter, pooled_scatter

Method = Literal["welch", "tukey", "dunnett"]
Verdict = Literal["greater", "smaller", "alike", "not resolvable with this n"]


@dataclass(frozen=True)
class WelchTest:
    """Welch's test of two means with unequal scatter.

    Attributes
    ----------
    t, df, p : float
        Statistic, Welch-Satterthwaite degrees of freedom and two-sided p value.
    difference : Interval
        First mean minus second.
    """

    t: float
    df: float
    p: float
    difference: Interval


@dataclass(frozen=True)
class Comparison:
    """One setting beside another.

    Attributes
    ----------
    setting, reference : str
        Names; the ratio is setting over reference.
    ratio : Interval
        Ratio of geometric means; its ends hold for all comparisons of the family at once.
    p, p_adjusted : float
        Two-sided p value alone, and adjusted for the family.
    df : float
        Degrees of freedom of the scatter used.
    n : tuple of int
        Beams of setting and reference.
    detectable_ratio : float
        Smallest ratio above 1 that so many beams show in 80 of 100 such experiments (single comparison, 5 %
        level).
    verdict : str
        ``greater``, ``smaller``, ``alike`` (the whole interval within the margin asked for) or
        ``not resolvable with this n``. With ``welch`` Holm's p decides, which may see a difference that the
        wider Bonferroni interval just covers.
    """

    setting: str
    reference: str
    ratio: Interval
    p: float
    p_adjusted: float
    df: float
    n: tuple[int, int]
    detectable_ratio: float
    verdict: Verdict = "not resolvable with this n"


def welch(
    mean: Sequence[float], sd: Sequence[float], n: Sequence[int], confidence: float = 0.95
) -> WelchTest:
    """Compare two means of unequal scatter from their summaries.

    Parameters
    ----------
    mean, sd, n : sequences of two
        Mean, sample standard deviation and number of each.
    confidence : float
        Of the interval of the difference.

    References
    ----------
    .. [1] NIST/SEMATECH e-Handbook of Statistical Methods, section 1.3.5.3.
    """
    test = stats.ttest_ind_from_stats(mean[0], sd[0], n[0], mean[1], sd[1], n[1], equal_var=False)
    parts = [sd[0] ** 2 / n[0], sd[1] ** 2 / n[1]]
    df = sum(parts) ** 2 / (parts[0] ** 2 / (n[0] - 1) + parts[1] ** 2 / (n[1] - 1))
    half = float(stats.t.ppf((1 + confidence) / 2, df)) * math.sqrt(sum(parts))
    gap = mean[0] - mean[1]
    return WelchTest(
        float(test.statistic), df, float(test.pvalue), Interval(gap - half, gap, gap + half, confidence)
    )


def holm(p: Sequence[float]) -> np.ndarray:
    """Return Holm's step-down adjusted p values, shape (n,), in the order given.

    References
    ----------
    .. [1] S. Holm, A simple sequentially rejective multiple test procedure, Scand. J. Statist. 6 (1979)
       65-70.

    Examples
    --------
    >>> holm([0.01, 0.04, 0.03]).tolist()
    [0.03, 0.06, 0.06]
    """
    raw = np.asarray(p, dtype=float)
    order = np.argsort(raw)
    climbing = np.maximum.accumulate(raw[order] * np.arange(raw.size, 0, -1))
    adjusted = np.empty_like(raw)
    adjusted[order] = np.minimum(climbing, 1.0)
    return adjusted


def compare(
    groups: Mapping[str, Sequence[float]],
    method: Method = "tukey",
    reference: str | None = None,
    confidence: float = 0.95,
    margin: float | None = None,
    neighbours: bool = False,
) -> list[Comparison]:
    """Compare settings by ratios of their geometric means.

    Parameters
    ----------
    groups : mapping of str to sequence of float
        Values per setting, positive.
    method : {"tukey", "dunnett", "welch"}
        ``tukey``: all pairs, pooled scatter (Tukey-Kramer). ``dunnett``: every setting against ``reference``,
        pooled scatter. ``welch``: all pairs, or against ``reference`` if given, each with its own scatter; p
        values by Holm and intervals by Bonferroni. A pair whose repeats are equal to the last digit has no
        scatter of its own and takes that of all settings (``df`` shows it).
    reference : str, optional
        Setting to compare with.
    confidence : float
        Family-wise confidence.
    margin : float, optional
        Ratios within 1/(1 + margin) to 1 + margin do not matter; allows the verdict ``alike``.
    neighbours : bool
        Only the pairs that follow each other in ``groups``; with ``tukey`` they are adjusted for all pairs all the
        same.

    Returns
    -------
    list of Comparison
        In the order of ``groups``; the later setting of a pair is put over the earlier one.

    Raises
    ------
    DataError
        If fewer than two settings are given or too few beams for the method.
    InputError
        If the reference is missing or unknown.
    """
    if reference is not None and reference not in groups:
        raise InputError(f"reference {reference!r} is not among the settings: {', '.join(groups)}")
    if method == "dunnett" and reference is None:
        raise InputError("Dunnett's comparison needs the reference setting all others are held against")
    if len(groups) < 2:
        raise DataError("a comparison needs at least two settings")
    logs = {name: log_values(values, name) for name, values in groups.items()}
    if any(values.size == 0 for values in logs.values()):
        raise DataError(f"no beam of {next(name for name in logs if logs[name].size == 0)!r} to compare")
    if all(np.ptp(values) == 0 for values in logs.values()):
        raise DataError(
            "all repeats are equal to the last digit, so scatter cannot be judged; read them more finely"
        )
    pairs = (
        [(name, reference) for name in logs if name != reference]
        if reference is not None
        else [
            (later, earlier)
            for earlier, later in (
                itertools.pairwise(logs) if neighbours else itertools.combinations(logs, 2)
            )
        ]
    )
    if method == "welch":
        found = _by_welch(logs, pairs, pooled_scatter(groups), confidence)
    else:
        scatter = pooled_scatter(groups)
        by = _by_dunnett if method == "dunnett" else _by_tukey
        found = by(logs, pairs, scatter, confidence)
    return [replace(one, verdict=_verdict(one, margin)) for one in found]


def _by_welch(
    logs: Mapping[str, np.ndarray], pairs: list[tuple[str, str]], pooled: Scatter, confidence: float
) -> list[Comparison]:
    """Return comparisons with each pair's own scatter, the pooled one where a pair has none."""
    lonely = [name for name, values in logs.items() if values.size < 2]
    if lonely:
        raise DataError(
            f"setting {lonely[0]!r} has one beam; Welch needs two or more (use the pooled methods)"
        )
    shared = 1 - (1 - confidence) / len(pairs)
    tests: list[tuple[Interval, float, Scatter]] = []
    for pair in pairs:
        first, second = (logs[name] for name in pair)
        variances = float(first.var(ddof=1)), float(second.var(ddof=1))
        # below round-off of the logarithms there is no scatter
        if max(variances) > 1e-28:
            test = welch(
                (float(first.mean()), float(second.mean())),
                (math.sqrt(variances[0]), math.sqrt(variances[1])),
                (first.size, second.size),
                shared,
            )
            own = Scatter(math.sqrt(sum(variances) / 2), test.df)
            tests.append((replace(test.difference, confidence=confidence), test.p, own))
            continue
        gap, error = _gap(logs, pair, pooled)
        half = float(stats.t.ppf((1 + shared) / 2, pooled.df)) * error
        p = 2 * float(stats.t.sf(abs(gap) / error, pooled.df))
        tests.append(
            (Interval(gap - half, gap, gap + half, confidence), p, Scatter(pooled.log_sd, pooled.df))
        )
    adjusted = holm([p for _, p, _ in tests])
    return [
        _comparison(logs, pair, interval, (p, float(p_holm)), scatter)
        for pair, (interval, p, scatter), p_holm in zip(pairs, tests, adjusted, strict=True)
    ]


def _by_tukey(
    logs: Mapping[str, np.ndarray], pairs: list[tuple[str, str]], scatter: Scatter, confidence: float
) -> list[Comparison]:
    """Return comparisons by the studentised range, Tukey-Kramer for unequal numbers."""
    limit = _range_quantile(confidence, len(logs), scatter.df) / math.sqrt(2)
    found = []
    for pair in pairs:
        gap, error = _gap(logs, pair, scatter)
        t = abs(gap) / error
        p = 2 * float(stats.t.sf(t, scatter.df))
        adjusted = float(stats.studentized_range.sf(t * math.sqrt(2), len(logs), scatter.df))
        span = Interval(gap - limit * error, gap, gap + limit * error, confidence)
        found.append(_comparison(logs, pair, span, (p, max(adjusted, p)), scatter))
    return found


@functools.cache
def _range_quantile(confidence: float, k: int, df: float) -> float:
    """Return the quantile of the studentised range, kept because each takes a good part of a second."""
    return float(stats.studentized_range.ppf(confidence, k, df))


def _by_dunnett(
    logs: Mapping[str, np.ndarray], pairs: list[tuple[str, str]], scatter: Scatter, confidence: float
) -> list[Comparison]:
    """Return comparisons against one reference by the multivariate t distribution."""
    control = logs[pairs[0][1]]
    # scipy integrates by quasi Monte Carlo; a fixed seed keeps reruns identical
    test = stats.dunnett(*(logs[name] for name, _ in pairs), control=control, rng=np.random.default_rng(0))
    limits = test.confidence_interval(confidence)
    found = []
    for place, pair in enumerate(pairs):
        gap, error = _gap(logs, pair, scatter)
        p = 2 * float(stats.t.sf(abs(gap) / error, scatter.df))
        span = Interval(float(limits.low[place]), gap, float(limits.high[place]), confidence)
        found.append(_comparison(logs, pair, span, (p, max(float(test.pvalue[place]), p)), scatter))
    return found


def _gap(logs: Mapping[str, np.ndarray], pair: tuple[str, str], scatter: Scatter) -> tuple[float, float]:
    """Return the difference of two log means and its standard error."""
    first, second = logs[pair[0]], logs[pair[1]]
    error = scatter.log_sd * math.sqrt(1 / first.size + 1 / second.size)
    return float(first.mean() - second.mean()), error


def _comparison(
    logs: Mapping[str, np.ndarray],
    pair: tuple[str, str],
    gap: Interval,
    p: tuple[float, float],
    scatter: Scatter,
) -> Comparison:
    """Return the comparison on the plain scale, its verdict still open."""
    n = (logs[pair[0]].size, logs[pair[1]].size)
    detectable = math.exp(scatter.log_sd * detectable_difference(*n, df=scatter.df))
    return Comparison(*pair, gap.exp(), *p, scatter.df, n, detectable)


def _verdict(one: Comparison, margin: float | None) -> Verdict:
    """Return what the simultaneous interval allows to be said."""
    if margin is not None and 1 / (1 + margin) <= one.ratio.low and one.ratio.high <= 1 + margin:
        return "alike"
    if one.p_adjusted > 1 - one.ratio.confidence:
        return "not resolvable with this n"
    return "greater" if one.ratio.best > 1 else "smaller"
