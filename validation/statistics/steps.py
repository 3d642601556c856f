"""Steps and kinks in a series: whether, where, how large and how sure.

A smooth trend (a parabola unless told otherwise, scatter in proportion to it) is compared with the same trend plus one
step between neighbouring settings, or one kink, at every place. The best of all places is judged against the best of
all places in simulated series without any, of the same design, so that searching raises no false alarms.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from scipy import stats

from patterns.errors import DataError
from validation.statistics.intervals import Interval, log_values
from validation.statistics.line import LackOfFit, lack_of_fit
from validation.statistics.runs import Runs, runs_test
from validation.statistics.step_candidates import (
    Candidate,
    all_candidates,
    chance_shares,
    detectable_steps,
    directions,
    project,
)
from validation.statistics.step_remarks import AGAINST_CUBIC, OFF_THE_CURVE, weaknesses, why_unjudged
from validation.statistics.trend import TRENDS, TrendFit, fit_trend, polynomial_columns

Kind = Literal["step", "kink", "step or kink"]

# below the usual 0.05, so that trends that are not quite parabolas still give less than one false feature in twenty
DEFAULT_LEVEL = 0.03


@dataclass(frozen=True)
class Feature:
    """A step or kink that the smooth trend does not explain.

    Attributes
    ----------
    kind : {"step", "kink", "step or kink"}
        ``step or kink`` where the series cannot tell them apart, always so with a single setting beyond the
        place.
    between : tuple of float
        The neighbouring places of x that hold the step, or twice the place of the kink.
    places : tuple of float
        Range of x that the place may have at the confidence of ``size``.
    size : Interval
        Ratio of the series to the continued trend: just after a step; at the last place for a kink. The ends
        include the doubt about the place.
    p : float
        Chance of so strong a feature anywhere in a smooth series of this design.
    """

    kind: Kind
    between: tuple[float, float]
    places: tuple[float, float]
    size: Interval
    p: float


@dataclass(frozen=True)
class Rival:
    """One model of the series beside others.

    Attributes
    ----------
    name : str
        ``constant``, ``straight``, ``parabola``, ``cubic``, or ``step`` or ``kink`` on the trend at its best
        place.
    parameters : int
        Fitted parameters, the place and the scatter counted as one each.
    sse : float
        Residual sum of squares on the log scale.
    weight : float
        Akaike weight among the rivals, corrected for few beams; 0 to 1.
    """

    name: str
    parameters: int
    sse: float
    weight: float


@dataclass(frozen=True)
class StepSearch:
    """Outcome of the search.

    Attributes
    ----------
    features : tuple of Feature
        Steps and kinks found, in order of x; empty when none is resolvable.
    p : float
        Chance of so strong a best feature in a smooth series, whether it is found or not.
    detectable : dict of tuple to float
        Per interval between neighbouring places, the step ratio above 1 found in 80 of 100 such series.
    trend : str
        Smooth trend used.
    misfit : LackOfFit or None
        Scatter of settings about trend and features beyond that of the repeats.
    runs : Runs
        Runs of sign among the settings' mean residuals about the smooth trend alone.
    rivals : tuple of Rival
        Models side by side; a high weight of ``cubic`` means that a smooth bend explains the series as well.
    notes : tuple of str
        What limits the verdict, the places and trends where the search sees little among it.
    """

    features: tuple[Feature, ...]
    p: float
    detectable: dict[tuple[float, float], float]
    trend: str
    misfit: LackOfFit | None
    runs: Runs
    rivals: tuple[Rival, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True)
class _Series:
    """What stays the same during one search: polynomial columns, log values and possible features."""

    Z: np.ndarray
    logs: np.ndarray
    candidates: Sequence[Candidate]
    kept: dict[bytes, TrendFit] = field(default_factory=dict)

    def fit(self, terms: np.ndarray) -> TrendFit:
        """Return the fit with these added terms; step by step and model by model ask for the same ones."""
        key = terms.tobytes()
        if key not in self.kept:
            self.kept[key] = fit_trend(self.Z, terms, self.logs)
        return self.kept[key]


def find_steps(
    x: Sequence[float],
    y: Sequence[float],
    settings: Sequence[str] | None = None,
    blocks: Sequence[str] | None = None,
    degree: int = 2,
    level: float = DEFAULT_LEVEL,
    max_features: int = 2,
    confidence: float = 0.95,
    draws: int = 3999,
    seed: int = 1,
) -> StepSearch:
    """Search a series for steps and kinks.

    Parameters
    ----------
    x : sequence of float, length n
        Variable of each beam: fill, mass, walls.
    y : sequence of float, length n
        Positive values: force, stiffness, force per mass.
    settings : sequence of str, optional
        Setting of each beam where repeats differ in x (measured mass); beams of equal x are one setting
        otherwise.
    blocks : sequence of str, optional
        Build or day of each beam, taken out as fixed effects where the design allows.
    degree : int
        Of the smooth trend: 2 by default, raised to 3 (and noted) where there are seven settings or more and a cubic
        outweighs a parabola, each with the features found on it; 1 or 0 where mechanics gives a reason.
    level : float
        Chance of a false feature in a smooth series.
    max_features : int
        Features searched for one after the other, those found kept in the trend.
    confidence : float
        Of place and size.
    draws, seed : int
        Simulated series behind the p value.

    Raises
    ------
    DataError
        If there are too few settings for the trend, or lists of unequal length.

    Examples
    --------
    >>> fill = [0.2, 0.4, 0.6, 0.8, 0.9, 1.0] * 2
    >>> per_gram = [9.8, 10.2, 10.1, 9.9, 10.0, 15.1, 10.1, 9.9, 10.2, 10.1, 9.9, 14.7]
    >>> found = find_steps(fill, per_gram, degree=1).features[0]
    >>> found.kind, found.between, round(found.size.best, 2)
    ('step or kink', (0.9, 1.0), 1.49)
    """
    xs, logs = np.asarray(x, dtype=float), log_values(y)
    lengths = {xs.size, logs.size, *(len(labels) for labels in (settings, blocks) if labels is not None)}
    if len(lengths) > 1:
        raise DataError("x, y, settings and blocks need one entry per beam each")
    places, where = _places(xs, settings)
    if places.size < degree + 3:
        raise DataError(
            f"{places.size} settings cannot tell a step from a {TRENDS[degree]} trend; test {degree + 3}"
        )
    blocked, notes = _block_columns(xs.size, blocks, places.size, degree)
    series = _Series(polynomial_columns(xs, degree), logs, all_candidates(xs, places, where))
    rivals = _rivals(series, xs, degree, blocked)
    how = (max_features, level, confidence, draws, seed)
    features, fit, p = _features(series, blocked, *how)
    if degree == 2 and places.size > 6:
        cubic = _Series(polynomial_columns(xs, 3), logs, series.candidates)
        bent = _features(cubic, blocked, *how)
        gain = _akaike(fit, len(features)) - _akaike(bent[1], len(bent[0]))
        plain = max(rivals, key=lambda rival: rival.weight).name == "cubic"
        # seven times as likely, corrected for few beams, unless a bare cubic is the best of all simple models
        if gain > (0 if plain else 4):
            degree, series, (features, fit, p) = 3, cubic, bent
            notes.append(AGAINST_CUBIC)
    smooth = series.fit(blocked)
    misfit = lack_of_fit(where, fit.residual, fit.sse, fit.tangent.shape[1])
    if misfit is None:
        notes.append(why_unjudged(logs, where, fit.tangent.shape[1]))
    elif misfit.p < 0.01:
        notes.append(OFF_THE_CURVE)
    log_sd = math.sqrt(fit.sse / fit.df)
    steps = [one.between for one in series.candidates if one.kind == "step"]
    ratios = detectable_steps(smooth.tangent, series.candidates, log_sd, level, draws=draws, seed=seed)
    detectable = dict(zip(steps, ratios, strict=True))
    notes += weaknesses(detectable)
    return StepSearch(
        features=tuple(sorted(features, key=lambda feature: feature.between)),
        p=p,
        detectable=detectable,
        trend=TRENDS[degree],
        misfit=misfit,
        runs=runs_test(np.bincount(where, smooth.residual) / np.bincount(where)),
        rivals=rivals,
        notes=tuple(notes),
    )


def _places(xs: np.ndarray, settings: Sequence[str] | None) -> tuple[np.ndarray, np.ndarray]:
    """Return the ascending places of the settings and, for each beam, the number of its place."""
    if settings is None:
        places, where = np.unique(xs, return_inverse=True)
        return places, where
    _, label = np.unique(np.asarray(settings), return_inverse=True)
    means = np.bincount(label, xs) / np.bincount(label)
    rank = np.argsort(np.argsort(means))
    return np.sort(means), rank[label]


def _block_columns(
    n: int, blocks: Sequence[str] | None, n_places: int, degree: int
) -> tuple[np.ndarray, list[str]]:
    """Return a column per further block (n, k) where the beams allow, and a note where they do not."""
    none = np.empty((n, 0))
    if blocks is None or len(set(blocks)) < 2:
        return none, []
    names = list(dict.fromkeys(blocks))
    columns = np.array([[float(block == name) for name in names[1:]] for block in blocks])
    if n - degree - 1 - columns.shape[1] < n_places:
        return none, ["too many blocks for so few beams, so not taken out: a feature may be a build's"]
    return columns, []


def _strongest(
    series: _Series, terms: np.ndarray, smooth: TrendFit, confidence: float, draws: int, seed: int
) -> tuple[Feature, Candidate]:
    """Return the best candidate beside trend and terms, as a feature and as it is."""
    U, kept = directions(smooth.tangent, series.candidates)
    candidates = [series.candidates[k] for k in kept]
    fits = [series.fit(np.column_stack([terms, one.column])) for one in candidates]
    least = min(fit.sse for fit in fits)
    # steps come first among the candidates and win ties: one setting beyond the place makes step and kink the same
    best = next(k for k, fit in enumerate(fits) if fit.sse <= least * (1 + 1e-6))
    by_chance = chance_shares(smooth.tangent, U, draws, seed) >= 1 - fits[best].sse / smooth.sse
    # all places whose sum of squares the F limit does not tell from the best one
    df, t = fits[best].df, float(stats.t.ppf((1 + confidence) / 2, fits[best].df))
    likely = [k for k, fit in enumerate(fits) if fit.sse <= fits[best].sse * (1 + t**2 / df)]
    kind = candidates[best].kind
    same = [k for k in likely if candidates[k].kind == kind]
    sizes = {k: _size(fits[k], candidates[k], t, confidence) for k in same}
    feature = Feature(
        kind=kind if len(same) == len(likely) else "step or kink",
        between=candidates[best].between,
        places=(
            min(candidates[k].between[0] for k in likely),
            max(candidates[k].between[1] for k in likely),
        ),
        size=Interval(
            min(size.low for size in sizes.values()),
            sizes[best].best,
            max(size.high for size in sizes.values()),
            confidence,
        ),
        p=(1 + int(by_chance.sum())) / (1 + draws),
    )
    return feature, candidates[best]


def _size(fit: TrendFit, candidate: Candidate, t: float, confidence: float) -> Interval:
    """Return the ratio to the continued trend with its t interval, the place taken as known."""
    free = project(fit.tangent[:, :-1], candidate.column)
    half = t * math.sqrt(fit.sse / fit.df / float(free @ free))
    reach, best = float(candidate.column.max()), float(fit.added[-1])
    return Interval(reach * (best - half), reach * best, reach * (best + half), confidence).exp()


def _features(
    series: _Series,
    blocked: np.ndarray,
    max_features: int,
    level: float,
    confidence: float,
    draws: int,
    seed: int,
) -> tuple[list[Feature], TrendFit, float]:
    """Return the features found one after the other, the fit with all of them, and the p value of the first."""
    terms, features, p = blocked, list[Feature](), 1.0
    fit = series.fit(blocked)
    while len(features) < max_features and fit.df > 2:
        feature, chosen = _strongest(series, terms, fit, confidence, draws, seed)
        p = p if features else feature.p
        # the place of an earlier feature was chosen by the data, so a later one has to be clearer
        if feature.p > (level / 3 if features else level):
            break
        features.append(feature)
        terms = np.column_stack([terms, chosen.column])
        fit = series.fit(terms)
    return features, fit, p


def _akaike(fit: TrendFit, n_features: int) -> float:
    """Return the criterion of a fit; the place of each feature counts as a parameter, as its size does."""
    return _corrected(fit.sse, len(fit.residual), fit.tangent.shape[1] + 1 + n_features)


def _corrected(sse: float, n: int, k: int) -> float:
    """Return Akaike's criterion of k parameters corrected for few beams, on the scale of twice the log likelihood."""
    return n * math.log(max(sse, 1e-300) / n) + 2 * k + 2 * k * (k + 1) / max(n - k - 1, 1)


def _rivals(series: _Series, xs: np.ndarray, degree: int, blocked: np.ndarray) -> tuple[Rival, ...]:
    """Return smooth curves up to the cubic, and the best step and kink on the trend, with Akaike weights."""
    models = []
    for power, name in enumerate(TRENDS):
        fit = fit_trend(polynomial_columns(xs, power), blocked, series.logs)
        models.append((name, fit.tangent.shape[1] + 1, fit.sse))
    for kind in ("step", "kink"):
        columns = [one.column for one in series.candidates if one.kind == kind]
        fits = [series.fit(np.column_stack([blocked, column])) for column in columns]
        models.append((kind, fits[0].tangent.shape[1] + 2, min(fit.sse for fit in fits)))
    n = series.logs.size
    aicc = np.array([_corrected(sse, n, k) for _, k, sse in models])
    weights = np.exp((aicc.min() - aicc) / 2)
    weights /= weights.sum()
    return tuple(Rival(*model, float(weight)) for model, weight in zip(models, weights, strict=True))
