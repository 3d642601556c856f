"""Explain a surprise: steps in a measured series, their split into geometry and weld, and their causes weighed."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fem.estimate import Estimate
from patterns.errors import DataError
from validation.causes import Across, Verdict, weigh
from validation.reconcile import Row
from validation.series import Series, mean_ratio, series_of
from validation.statistics.intervals import Interval
from validation.statistics.scatter import PooledScatter, pooled_scatter
from validation.statistics.steps import DEFAULT_LEVEL, Feature, StepSearch, find_steps


@dataclass(frozen=True)
class Split:
    """A jump shared out between geometry and weld.

    Attributes
    ----------
    ratio : Interval
        Measured force after over before.
    geometry : Interval
        Ratio that section, contact and notch give at one weld strength; ends from the notch bracket.
    weld : Interval
        What is left: the ratio of weld strengths that would be needed.
    weld_share : Interval
        Share of the jump (in logarithms) that needs a better weld.
    """

    ratio: Interval
    geometry: Interval
    weld: Interval
    weld_share: Interval


@dataclass(frozen=True)
class Jump:
    """One feature of the series with its split and its causes."""

    feature: Feature
    before: Row
    after: Row
    split: Split
    verdicts: tuple[Verdict, ...]


@dataclass(frozen=True)
class Explanation:
    """What one series shows.

    Attributes
    ----------
    series : Series
    search : StepSearch
        Of force per gram where every beam was weighed, else of force.
    searched : str
        Which of the two.
    mass, stiffness : StepSearch or None
        The same search there (mass against a straight line); None where not measured enough.
    jumps : tuple of Jump
    implied : dict
        Per setting, the weld strength in MPa that would make the estimate meet the mean; only where a weld governs.
    """

    series: Series
    search: StepSearch
    searched: str
    mass: StepSearch | None
    stiffness: StepSearch | None
    jumps: tuple[Jump, ...]
    implied: dict[str, float]


def explain(rows: Sequence[Row], capacity: float | None = None) -> list[Explanation]:
    """Explain every series of at least four settings.

    Raises
    ------
    DataError
        If no series is long enough.
    """
    long = [series for series in series_of(rows) if len(series.rows) >= 4]
    if not long:
        raise DataError(
            "no series of at least four measured fills with all else alike; a step cannot be told from a trend"
        )
    return [_explain(series, capacity) for series in long]


def _explain(series: Series, capacity: float | None) -> Explanation:
    fill, force, settings, blocks = series.values("force")
    per_gram = _per_gram(series)
    values, searched = (per_gram, "force per gram") if per_gram else (force, "force")
    degree = 2 if len(series.rows) >= 6 and not per_gram else 1
    search = find_steps(fill, values, settings, _blocks(blocks), degree=degree)
    scatter = _scatter(series, "force")
    return Explanation(
        series=series,
        search=search,
        searched=searched,
        mass=_search(series, "mass", 1),
        stiffness=_search(series, "stiffness", 1),
        jumps=tuple(_jump(series, feature, scatter, capacity) for feature in search.features),
        implied={
            row.named.label: strength
            for row in series.rows
            if (strength := implied_weld_strength(row)) is not None
        },
    )


def _per_gram(series: Series) -> list[float]:
    """Return force over mass of every beam, nothing where any was not weighed: near-proportional below full fill."""
    beams = [beam for row in series.rows for beam in row.beams]
    return (
        [beam.breaking_force / beam.mass for beam in beams if beam.mass] if all(b.mass for b in beams) else []
    )


def _blocks(blocks: Sequence[str]) -> Sequence[str] | None:
    return blocks if all(blocks) and len(set(blocks)) > 1 else None


def _search(series: Series, quantity: str, degree: int) -> StepSearch | None:
    fill, values, settings, blocks = series.values(quantity)  # type: ignore[arg-type]
    if len(set(settings)) < degree + 3:
        return None
    return find_steps(fill, values, settings, _blocks(blocks), degree=degree)


def _scatter(series: Series, quantity: str) -> PooledScatter | None:
    groups = {
        row.named.label: sample.values
        for row in series.rows
        if (sample := getattr(row, quantity)) is not None and sample.n > 1
    }
    return pooled_scatter(groups) if groups else None


def _jump(series: Series, feature: Feature, scatter: PooledScatter | None, capacity: float | None) -> Jump:
    before, after = series.neighbours(feature.between)
    force = _measured_ratio(series, "force", before, after) or feature.size
    geometry = model_ratio(before.estimate, after.estimate)
    across = Across(
        before=before,
        after=after,
        force=force,
        mass=_measured_ratio(series, "mass", before, after),
        stiffness=_measured_ratio(series, "stiffness", before, after),
        model_force=geometry,
        model_mass=after.estimate.mass.best / before.estimate.mass.best,
        model_stiffness=after.estimate.stiffness.best / before.estimate.stiffness.best,
        p=feature.p,
        level=DEFAULT_LEVEL,
        capacity=capacity,
    )
    return Jump(feature, before, after, split_jump(force, geometry), tuple(weigh(across)))


def _measured_ratio(series: Series, quantity: str, before: Row, after: Row) -> Interval | None:
    scatter = _scatter(series, quantity)
    if scatter is None:
        return None
    return mean_ratio(getattr(after, quantity), getattr(before, quantity), scatter.log_sd, scatter.df)


def split_jump(ratio: Interval, geometry: Interval) -> Split:
    """Share a measured jump out between geometry and weld, on the log scale."""
    weld = Interval(ratio.low / geometry.high, ratio.best / geometry.best, ratio.high / geometry.low)
    jump = np.log(ratio.best)
    shares = np.log([weld.low, weld.best, weld.high]) / jump if jump > 0 else np.zeros(3)
    return Split(ratio, geometry, weld, Interval(*(float(share) for share in shares)))


def model_ratio(before: Estimate, after: Estimate) -> Interval:
    """Return the ratio of two estimates at one material; the ends are its range over notch sensitivity and radius."""
    radius = before.setting.card.notch_radius_mm
    radii = [radius.low, radius.best, radius.high] if radius else [0.015]
    ratios = [
        force_at(after, {"notch_sensitivity": q, "notch_radius_mm": r})
        / force_at(before, {"notch_sensitivity": q, "notch_radius_mm": r})
        for q in (0.0, 0.5, 1.0)
        for r in radii
    ]
    best = force_at(after, {}) / force_at(before, {})
    return Interval(min(*ratios, best), best, max(*ratios, best))


def force_at(found: Estimate, changed: dict[str, float]) -> float:
    """Return the breaking force at the best material values with some changed, N; NaN where nothing is evaluated."""
    known = {name: value for name, value in changed.items() if name in found.values}
    force = found.response.force(found.response.at(known))
    return float("nan") if force is None else float(force[0])


def implied_weld_strength(row: Row) -> float | None:
    """Return the weld strength that makes the estimate meet the measured mean, MPa; None where no weld governs."""
    strength = row.estimate.values.get("weld_bending_mpa")
    if row.force_ratio is None or strength is None or row.estimate.mode != "weld_tension":
        return None
    return strength * row.force_ratio
