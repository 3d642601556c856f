"""Two straight segments that meet: least squares over the place of the break, exact between data points."""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import stats

from patterns.errors import DataError
from validation.statistics.intervals import Interval


@dataclass(frozen=True)
class TwoSegments:
    """A continuous line with one break.

    Attributes
    ----------
    place : Interval
        Break in the unit of x; the ends are where the profile of the sum of squares passes the F limit, cut
        at the second and the last but one place, beyond which a break cannot be told.
    place_error : float
        Standard error of the break from the linearised model (Wald).
    intercept : float
        Value of the first segment at x = 0.
    slopes : tuple of float
        Slopes before and after the break.
    sse, residual_sd : float
        Residual sum of squares and standard deviation.
    df : int
        Residual degrees of freedom.
    single_line_sse : float
        Residual sum of squares of one straight line.
    """

    place: Interval
    place_error: float
    intercept: float
    slopes: tuple[float, float]
    sse: float
    residual_sd: float
    df: int
    single_line_sse: float


def fit_two_segments(x: Sequence[float], y: Sequence[float], confidence: float = 0.95) -> TwoSegments:
    """Fit two straight segments that meet at an unknown place.

    Between two neighbouring places the best break is where the two separate lines cross; if they cross
    elsewhere, it is at one of the places. Trying all splits therefore gives the global least squares.

    Parameters
    ----------
    x, y : sequence of float, length n
        Variable and values; five or more values at four or more places.
    confidence : float
        Of the interval of the break.

    Raises
    ------
    DataError
        If there are too few values or places.

    References
    ----------
    .. [1] D. J. Hudson, Fitting segmented curves whose join points have to be estimated,
       J. Amer. Statist. Assoc. 61 (1966) 1097-1129.
    .. [2] D. W. Bacon and D. G. Watts, Estimating the transition between two intersecting straight lines,
       Biometrika 58 (1971) 525-534.
    """
    xs, ys = np.asarray(x, dtype=float), np.asarray(y, dtype=float)
    places = np.unique(xs)
    if places.size < 4 or xs.size < 5:
        raise DataError(f"two segments need five values at four places, not {xs.size} at {places.size}")
    candidates = list(places[1:-1])
    for left, right in itertools.pairwise(places[1:-1]):
        crossing = _crossing(xs, ys, xs <= left)
        if crossing is not None and left < crossing < right:
            candidates.append(crossing)
    break_at = float(min(candidates, key=lambda place: _sse_at(xs, ys, place)[0]))
    sse, (level, before, change) = _sse_at(xs, ys, break_at)
    df = xs.size - 4
    sd = math.sqrt(sse / df)
    beyond = xs > break_at
    jacobian = np.column_stack(
        [np.ones_like(xs), xs - break_at, np.where(beyond, xs - break_at, 0.0), -before - change * beyond]
    )
    # without a change of slope the break has no place, and the linearised model no rank
    rank = np.linalg.matrix_rank(jacobian)
    error = sd * math.sqrt(np.linalg.inv(jacobian.T @ jacobian)[3, 3]) if rank == 4 else math.inf
    limit = sse + float(stats.f.ppf(confidence, 1, df)) * sse / df
    low, high = _profile_ends(xs, ys, break_at, limit, float(places[1]), float(places[-2]))
    line = np.polynomial.polynomial.polyfit(xs, ys, 1, full=True)[1][0]
    return TwoSegments(
        place=Interval(low, break_at, high, confidence),
        place_error=error,
        intercept=level - before * break_at,
        slopes=(before, before + change),
        sse=sse,
        residual_sd=sd,
        df=df,
        single_line_sse=float(line[0]),
    )


def _sse_at(xs: np.ndarray, ys: np.ndarray, place: float) -> tuple[float, tuple[float, float, float]]:
    """Return the sum of squares with the break fixed, and level there, slope before, change of slope."""
    design = np.column_stack([np.ones_like(xs), xs - place, np.maximum(xs - place, 0.0)])
    beta = np.linalg.lstsq(design, ys, rcond=None)[0]
    residual = ys - design @ beta
    return float(residual @ residual), (float(beta[0]), float(beta[1]), float(beta[2]))


def _crossing(xs: np.ndarray, ys: np.ndarray, first: np.ndarray) -> float | None:
    """Return where the separate lines through both parts cross, None if they are parallel."""
    lines = [np.polynomial.polynomial.polyfit(xs[part], ys[part], 1) for part in (first, ~first)]
    slope = lines[0][1] - lines[1][1]
    return float((lines[1][0] - lines[0][0]) / slope) if slope else None


def _profile_ends(
    xs: np.ndarray, ys: np.ndarray, best: float, limit: float, lowest: float, highest: float
) -> tuple[float, float]:
    """Return the outermost breaks whose sum of squares stays below the limit (scan, then bisection)."""
    inside = [place for place in np.linspace(lowest, highest, 401) if _sse_at(xs, ys, place)[0] <= limit]
    step = (highest - lowest) / 400
    ends = []
    for end, outward in ((min([best, *inside]), -step), (max([best, *inside]), step)):
        outside = min(max(end + outward, lowest), highest)
        for _ in range(40):
            middle = (end + outside) / 2
            if _sse_at(xs, ys, middle)[0] <= limit:
                end = middle
            else:
                outside = middle
        ends.append(end)
    return ends[0], ends[1]
