"""How numbers are written: so many digits, ranges in brackets, shares in percent; a dash where there is none."""

import math
from collections.abc import Mapping, Sequence
from typing import Any

from fem.tables import ranged as ranged
from fem.tables import significant as significant


def band_text(band: Mapping[str, float] | None) -> str:
    """Return "best (low to high)" of a band as the JSON output has it, a dash for none."""
    return "-" if band is None else ranged(band["best"], band["low"], band["high"])


def mean_text(sample: Mapping[str, Any] | None) -> str:
    """Return a measured mean with half its 95 % interval, a dash for none.

    Examples
    --------
    >>> mean_text({"mean": 100.0, "mean_interval_95": [92.0, 108.0]})
    '100 ±8'
    """
    if sample is None:
        return "-"
    return significant(sample["mean"]) + half_interval(sample["mean"], sample["mean_interval_95"], " ±")


def half_interval(mean: float, ends: Sequence[float] | None, sign: str = "± ") -> str:
    """Return half an interval behind a sign, as fine as its mean is shown, nothing without one.

    Examples
    --------
    >>> half_interval(17.6, (17.537, 17.663)), half_interval(9.72, (9.54, 9.9)), half_interval(431.0, (430.8, 431.2))
    ('± 0.1', '± 0.18', '± 0.2')
    """
    if ends is None:
        return ""
    half = ends[1] - mean
    text = f"{half:.{len(significant(mean).partition('.')[2])}f}"
    return sign + (text if float(text) else significant(half, 1))


def times_text(ratio: Mapping[str, float]) -> str:
    """Return a ratio to two decimals with its interval.

    Examples
    --------
    >>> times_text({"best": 1.4, "low": 1.1, "high": 1.8})
    '1.40 (1.10 to 1.80)'
    """
    return f"{ratio['best']:.2f} ({ratio['low']:.2f} to {ratio['high']:.2f})"


def percent(share: float | None) -> str:
    """Return a share as whole percent, a dash for none.

    Examples
    --------
    >>> percent(0.304)
    '30 %'
    """
    return "-" if share is None else f"{100 * share:.0f} %"


def error_percent(share: float | None) -> str:
    """Return a numerical error as a percentage of one digit, a dash for none.

    Examples
    --------
    >>> error_percent(0.00123), error_percent(1e-9)
    ('0.1 %', 'below 0.0001 %')
    """
    if share is None:
        return "-"
    return "below 0.0001 %" if share < 1e-6 else f"{100 * share:.1g} %"


def percent_ranged(share: Mapping[str, float]) -> str:
    """Return a share in percent with its interval."""
    best, low, high = (100 * share[end] for end in ("best", "low", "high"))
    return f"{best:.0f} % ({low:.0f} to {high:.0f} %)"


def rounded_down(value: float, places: int) -> str:
    """Return a number rounded down, so that what falls short never reads as enough.

    Examples
    --------
    >>> rounded_down(0.999, 2), rounded_down(99.7, 0)
    ('0.99', '99')
    """
    steps = 10**places
    return f"{math.floor(value * steps) / steps:.{places}f}"


def bound_text(value: float | None) -> str:
    """Return a bound with three digits, rounded down; a dash for none.

    Examples
    --------
    >>> bound_text(249.6), bound_text(1.859), bound_text(None)
    ('249', '1.85', '-')
    """
    if value is None or value <= 0:
        return "-"
    return rounded_down(value, max(2 - math.floor(math.log10(value)), 0))
