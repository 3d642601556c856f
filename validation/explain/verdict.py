"""The verdict on a series in one sentence: which interval of fill holds the jump, its size, what to test next."""

import itertools
import math
from dataclasses import dataclass

import numpy as np
from scipy import stats

from validation.explain.explain import Explanation, Jump
from validation.explain.explain_output import jump_shares, next_test
from validation.explain.series import FillSeries
from validation.statistics import Interval

# share of all weight that the intervals named must hold together
_HELD = 0.8
# what walls carry, over what the core adds along the series
_BESIDE = (0.3, 0.6, 1.2)
# a smooth curve with more weight than this explains the series as well as any jump
_SMOOTH = 0.9


@dataclass(frozen=True)
class Rise:
    """A rise off the trend, placed.

    Attributes
    ----------
    between : tuple of float
        Set fills of the settings between which the force leaves its trend, the most likely ones.
    hull : tuple of float
        Fills that hold all likely places together.
    size : Interval
        Force beyond over before, off the trend.
    weight : float
        Of the most likely place among all, 0 to 1.
    """

    between: tuple[float, float]
    hull: tuple[float, float]
    size: Interval
    weight: float


def place_rise(series: FillSeries) -> Rise | None:
    """Return where a series leaves its trend; None with fewer than five settings.

    Every stretch between two settings is tried as a ramp on smooth trends of the logarithm, builds beside them
    where they are told apart: a straight line and a parabola in fill, a power of the estimated mass, and walls that
    carry beside a core in proportion to its fill. Akaike weights with the small-sample correction place it.

    References
    ----------
    .. [1] K. P. Burnham and D. R. Anderson, Model Selection and Multimodel Inference, 2002, sections 2.4 and 2.9.
    """
    fill, values, labels, builds = series.values("force")
    x, y = np.array(fill), np.log(values)
    levels = np.unique(x)
    if levels.size < 5:
        return None
    u = (x - x.mean()) / np.ptp(x)
    estimated = {row.named.label: math.log(row.estimate.mass.best) for row in series.rows}
    mass = np.array([estimated[label] for label in labels])
    beside = [np.log((x - x.min()) / np.ptp(x) + share) for share in _BESIDE]
    trends = ([u], [u, u**2], [mass - mass.mean()], *([one - one.mean()] for one in beside))
    names = sorted(set(builds)) if all(builds) else []
    blocks = [np.array([build == name for build in builds], float) for name in names[1:]]
    found: list[_Ramp] = []
    for trend, (low, high) in itertools.product(trends, itertools.combinations(levels, 2)):
        if high - low > (levels[-1] - levels[0]) / 2 and high - low > np.diff(levels).max():
            continue  # a rise over most of the series is its trend
        ramp = np.clip((x - low) / (high - low), 0.0, 1.0)
        A = np.column_stack([np.ones(x.size), *trend, *blocks, ramp])
        fitted = _fit(A, y)
        if fitted:
            found.append(_Ramp((float(low), float(high)), *fitted))
    return _weigh(found) if found else None


@dataclass(frozen=True)
class _Ramp:
    """One trend with one ramp: corrected Akaike criterion, height on the log scale with error, Student's factor."""

    between: tuple[float, float]
    criterion: float
    height: float
    error: float
    factor: float


def _fit(A: np.ndarray, y: np.ndarray) -> tuple[float, float, float, float] | None:
    """Return criterion, height, error and factor of the last column; None where too few beams tell the columns."""
    n, k = A.shape
    if np.linalg.matrix_rank(A) < k or n - k - 2 < 1:
        return None
    solution = np.linalg.lstsq(A, y, rcond=None)[0]
    sse = max(float(((y - A @ solution) ** 2).sum()), 1e-12)
    error = math.sqrt(sse / (n - k) * np.linalg.inv(A.T @ A)[-1, -1])
    p = k + 1  # the scatter counts too
    criterion = n * math.log(sse / n) + 2 * p + 2 * p * (p + 1) / (n - p - 1)
    return criterion, float(solution[-1]), error, float(stats.t.ppf(0.975, n - k))


def _weigh(found: list[_Ramp]) -> Rise:
    """Return the most likely place, its height averaged over trends, and the hull of places with most of the weight.

    The averaged height's error holds the difference of the trends: Burnham and Anderson 2002, equation 4.9.
    """
    least = min(one.criterion for one in found)
    weights = [math.exp((least - one.criterion) / 2) for one in found]
    place: dict[tuple[float, float], float] = {}
    for one, weight in zip(found, weights, strict=True):
        place[one.between] = place.get(one.between, 0.0) + weight
    total, ordered = sum(weights), sorted(place, key=lambda between: -place[between])
    shares = np.cumsum([place[between] / total for between in ordered])
    named = ordered[: int(np.searchsorted(shares, _HELD)) + 1]
    best = ordered[0]
    own = [(one, w / place[best]) for one, w in zip(found, weights, strict=True) if one.between == best]
    height = sum(w * one.height for one, w in own)
    error = sum(w * math.hypot(one.error, one.height - height) for one, w in own)
    half = max(one.factor for one, _ in own) * error
    return Rise(
        between=best,
        hull=(min(low for low, _ in named), max(high for _, high in named)),
        size=Interval(height - half, height, height + half).exp(),
        weight=place[best] / total,
    )


def verdict(found: Explanation) -> str:
    """Return the verdict in one sentence."""
    rise, title = place_rise(found.series), found.series.title
    where = "" if title == "all settings" else f" ({title})"
    if not found.jumps:
        return f"Verdict{where}: {_no_jump(found, rise)}"
    jump = max(found.jumps, key=lambda one: abs(math.log(one.feature.size.best)))
    size = rise.size if rise else jump.feature.size
    low, high = rise.between if rise else jump.feature.places
    told = (
        f"the force {'jumps' if size.best > 1 else 'drops'} between set fill {low:g} and {high:g}, "
        f"{size.best:.2f} ({size.low:.2f} to {size.high:.2f}) times its trend"
    )
    if rise and rise.hull != rise.between:
        told += f", somewhere from {rise.hull[0]:g} to {rise.hull[1]:g} (8 chances in 10)"
    smooth = jump.smooth_weight
    if smooth > _SMOOTH:
        told = f"cannot tell a jump from a smooth bend (weight {smooth:.2f}); if it is one, {told}"
    return f"Verdict{where}: {told}; {_causes(jump)}"


def _causes(jump: Jump) -> str:
    shares = "; ".join(
        f"{part} {share}" for part, share in jump_shares(jump).items() if part != "better weld"
    )
    supported = [one for one in jump.verdicts if one.finding == "supported"]
    cause = f"best supported: {supported[0].title}" if supported else "cannot tell which cause"
    told = [f"shares: {shares}"] if shares else []
    test = next_test(jump.verdicts)
    return "; ".join([*told, cause, *([f"test next: {test}"] if test else [])]) + "."


def _no_jump(found: Explanation, rise: Rise | None) -> str:
    """Return that nothing was found, what could have hidden, and where to look."""
    size = max(found.search.detectable.values(), default=None)
    test = (
        f"; test next: more builds at set fill {rise.between[0]:g} and {rise.between[1]:g}, where it rises most"
        if rise
        else ""
    )
    if size and size < 1.25:
        return (
            f"no jump (chance of what is seen in a smooth series: {found.search.p:.2g}); one of "
            f"{100 * (size - 1):.0f} % would have been found anywhere 8 times in 10{test}."
        )
    hidden = f", but one of up to {100 * (size - 1):.0f} % could hide" if size else ""
    return f"cannot tell: no jump is resolved (p {found.search.p:.2g}){hidden}{test}."
