"""Explain a surprise: steps in a measured series, their split into geometry and weld, and their causes weighed."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import stats
from scipy.optimize import brentq

from patterns.errors import DataError
from validation.explain.causes import Across, Verdict, weigh
from validation.explain.series import FillSeries, Quantity, mean_ratio, series_of
from validation.explain.split import ForceSplit, split_jump
from validation.measured.reconcile import Row
from validation.statistics import (
    Feature,
    Interval,
    PooledScatter,
    Runs,
    StepSearch,
    find_steps,
    fit_polynomial,
    pooled_scatter,
    runs_test,
)

# Settings of one series below which a step cannot be told from a trend.
LEAST_SETTINGS = 4


@dataclass(frozen=True)
class Jump:
    """One feature of the series with its split and its causes, the best supported first.

    ``smooth_weight`` is that of smooth curves up to the cubic against a step or kink, 0 to 1.
    """

    feature: Feature
    before: Row
    after: Row
    split: ForceSplit
    verdicts: tuple[Verdict, ...]
    smooth_weight: float


@dataclass(frozen=True)
class Drift:
    """How the estimate misses along a series.

    Attributes
    ----------
    ratio : Interval
        Measured over estimated force at the highest fill over that at the lowest, by a straight line of its logarithm.
    runs : Runs
        Runs of sign of the settings' residuals about their mean.
    """

    ratio: Interval
    runs: Runs


@dataclass(frozen=True)
class Explanation:
    """What one series shows.

    Attributes
    ----------
    series : FillSeries
    search : StepSearch
        Of the breaking force.
    mass, stiffness : StepSearch or None
        The same search of measured over estimated mass, and of stiffness; None where not measured at enough settings.
    jumps : tuple of Jump
    drift : Drift or None
    implied : dict
        Per setting, the weld strength in MPa that would make the estimate meet the mean; only where a weld governs.
    """

    series: FillSeries
    search: StepSearch
    mass: StepSearch | None
    stiffness: StepSearch | None
    jumps: tuple[Jump, ...]
    drift: Drift | None
    implied: dict[str, float]


def explain(rows: Sequence[Row], capacity: float | None = None) -> list[Explanation]:
    """Explain every series of at least four settings that differ in fill alone.

    Parameters
    ----------
    rows : sequence of Row
        Measured settings.
    capacity : float, optional
        Of the rig, N.

    Raises
    ------
    DataError
        If no series is long enough.
    """
    long = [series for series in series_of(rows) if len(series.rows) >= LEAST_SETTINGS]
    if not long:
        raise DataError(
            f"no series of at least {LEAST_SETTINGS} measured fills with all else alike: a step cannot be told from a "
            "trend; test more fills"
        )
    return [_explain(series, capacity) for series in long]


def _explain(series: FillSeries, capacity: float | None) -> Explanation:
    search = search_series(series, "force")
    assert search is not None
    return Explanation(
        series=series,
        search=search,
        mass=search_series(series, "mass"),
        stiffness=search_series(series, "stiffness"),
        jumps=tuple(_jump(series, feature, search, capacity) for feature in search.features),
        drift=drift_of(series),
        implied={
            row.named.label: strength
            for row in series.rows
            if (strength := implied_weld_strength(row)) is not None
        },
    )


def search_series(series: FillSeries, quantity: Quantity) -> StepSearch | None:
    """Search a quantity for steps and kinks off its smooth trend; None where too few settings have it.

    Mass is searched over the estimated mass, which knows how many lines fit in: what is left is how much more or less
    was deposited than set, a straight line. Walls and core carry side by side, so force and stiffness follow a bent
    curve: a parabola where there are settings enough to judge one. Force per gram would be a quotient of two such
    curves and bends in other ways, which gives more false steps.
    """
    fill, values, settings, blocks = series.values(quantity)
    if quantity == "mass":
        estimated = {row.named.label: row.estimate.mass.best for row in series.rows}
        values = [value / estimated[label] for value, label in zip(values, settings, strict=True)]
    degree = 1 if quantity == "mass" or len(set(settings)) < 5 else 2
    if len(set(settings)) < degree + 3:
        return None
    told_apart = blocks if all(blocks) and len(set(blocks)) > 1 else None
    return find_steps(fill, values, settings, told_apart, degree=degree)


def drift_of(series: FillSeries) -> Drift | None:
    """Return how measured over estimated force changes along the series, None where no force is estimated."""
    pairs = [
        (row.estimate.set_fill, math.log(beam.breaking_force / row.estimate.breaking_force.best))
        for row in series.rows
        if row.estimate.breaking_force
        for beam in row.beams
    ]
    if len({fill for fill, _ in pairs}) < LEAST_SETTINGS:
        return None
    fills, logs = (np.array(column) for column in zip(*pairs, strict=True))
    line = fit_polynomial(fills, logs, 1)
    half = float(stats.t.ppf(0.975, line.df)) * float(line.errors[1])
    low, best, high = (math.exp(np.ptp(fills) * (line.coefficients[1] + side * half)) for side in (-1, 0, 1))
    means = [float(logs[fills == fill].mean() - logs.mean()) for fill in np.unique(fills)]
    return Drift(Interval(low, best, high), runs_test(means))


def _scatter(series: FillSeries, quantity: Quantity) -> PooledScatter | None:
    groups = {
        row.named.label: sample.values
        for row in series.rows
        if (sample := getattr(row, quantity)) is not None and sample.n > 1
    }
    return pooled_scatter(groups) if groups else None


def _jump(series: FillSeries, feature: Feature, search: StepSearch, capacity: float | None) -> Jump:
    before, after = series.around(feature)
    force = _measured_ratio(series, "force", before, after) or feature.size
    split = split_jump(force, before.estimate, after.estimate)
    across = Across(
        before=before,
        after=after,
        mass=_measured_ratio(series, "mass", before, after),
        stiffness=_measured_ratio(series, "stiffness", before, after),
        split=split,
        p=feature.p,
        smooth_weight=sum(rival.weight for rival in search.rivals if rival.name not in ("step", "kink")),
        capacity=capacity,
    )
    return Jump(feature, before, after, split, tuple(weigh(across)), across.smooth_weight)


def _measured_ratio(series: FillSeries, quantity: Quantity, before: Row, after: Row) -> Interval | None:
    scatter = _scatter(series, quantity)
    if scatter is None:
        return None
    return mean_ratio(getattr(after, quantity), getattr(before, quantity), scatter.log_sd, scatter.df)


def implied_weld_strength(row: Row) -> float | None:
    """Return the weld strength, at the setting's own stressed volume, that makes the estimate meet the mean, MPa.

    None where no weld governs by tension, or where another mode would govern before the measured mean is reached.
    """
    found, strength = row.estimate, row.estimate.values.get("weld_tension_mpa")
    if row.force is None or row.force_ratio is None or strength is None or found.mode != "weld_tension":
        return None
    response = found.response
    at_best = response.at({})
    if response.bent is None or response.bent.missing(at_best):
        return None
    mean = row.force.mean
    rivals = [band.best for mode, band in found.modes.items() if band and mode != "weld_tension"]
    if mean > min(rivals, default=mean):
        return None

    def excess(weld: float) -> float:
        force = response.force(response.at({"weld_tension_mpa": weld}))
        return float("nan") if force is None else float(force[0]) - mean

    low, high = 0.1 * strength, 10 * strength
    return float(brentq(excess, low, high)) if excess(low) < 0 < excess(high) else None
