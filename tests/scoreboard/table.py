"""The board as a Markdown table or as one JSON object."""

import math
from collections.abc import Callable, Iterable, Sequence
from typing import Any

import numpy as np

from tests.scoreboard.board import RIVALS, Line, Result
from tests.scoreboard.scoring import Score

_HEAD = (
    "series", "settings", "level", "absolute %", "one scale %", "worst %", "rank", *(f"{name} %" for name in RIVALS),
    "ceiling %", "beats all", "a range over",
)  # fmt: skip


def percent(error: float) -> float:
    """Return a mean of abs(ln) as per cent."""
    return 100 * math.expm1(error)


def markdown(lines: Sequence[Line]) -> str:
    """Return one row per series; cells are ranges over the readings."""
    rows = [_HEAD, ("---",) * len(_HEAD)]
    rows += [_row(line) for line in lines]
    for name, modulus in (("forces and strengths", False), ("moduli", True)):
        flat = [one for one in lines if one.series.flat and ("modulus" in one.series.quantity) is modulus]
        if len(flat) > 1:
            rows.append(_mean_row(f"**mean of the flat series, {name}**", flat))
    return "\n".join(f"| {' | '.join(row)} |" for row in rows)


def _row(line: Line) -> tuple[str, ...]:
    series, results = line.series, line.results
    level = [one.estimate.level for one in results] if not series.card else []
    absolute = [percent(one.estimate.absolute) for one in results] if not series.card else []
    beats = [one.beaten for one in results]
    name = f"{series.name}: {series.quantity}" + (f" (card {series.card})" if series.card else "")
    asked = min(one.estimate.settings for one in results)
    settings = str(len(series.rows)) if asked == len(series.rows) else f"{asked} of {len(series.rows)}"
    return (
        name, settings, span(level, 2), span(absolute), span(_of(results, "scaled")), span(_of(results, "worst")),
        span([one.estimate.rank for one in results], 2),
        *(span([percent(one.rivals[name].scaled) for one in results if name in one.rivals]) for name in RIVALS),
        span([percent(one) for one in line.ceiling]), f"{sum(beats)} of {len(beats)}", series.unstated,
    )  # fmt: skip


def _mean_row(name: str, lines: Sequence[Line]) -> tuple[str, ...]:
    """Return the mean over series of the mean over their readings; levels as factors."""
    own = [line for line in lines if not line.series.card]

    def mean(of: Callable[[Result], float], among: Sequence[Line]) -> str:
        each = [np.mean([of(one) for one in line.results]) for line in among]
        known = [one for one in each if np.isfinite(one)]
        return f"{percent(np.mean(known)):.0f}" if known else "-"

    level = [np.mean([abs(math.log(one.estimate.level)) for one in line.results]) for line in own]
    ceiling = [np.mean(line.ceiling) for line in lines if np.isfinite(line.ceiling).all()]
    return (
        name, str(len(lines)), f"{math.exp(np.mean(level)):.2f}" if level else "-",
        mean(lambda one: one.estimate.absolute, own), mean(lambda one: one.estimate.scaled, lines),
        mean(lambda one: one.estimate.worst, lines), "",
        *(
            mean(lambda one, rival=rival: one.rivals[rival].scaled if rival in one.rivals else math.nan, lines)
            for rival in RIVALS
        ),
        f"{percent(np.mean(ceiling)):.0f}" if ceiling else "-", "", "mean over readings, then over series",
    )  # fmt: skip


def _of(results: Iterable[Result], name: str) -> list[float]:
    return [percent(getattr(one.estimate, name)) for one in results]


def span(values: Sequence[float], digits: int | None = None) -> str:
    """Return the range of the known values; one number where the ends are printed alike.

    Examples
    --------
    >>> span([0.5, 3.2, 2.0]), span([7.1, 7.4]), span([math.nan])
    ('0.5 to 3.2', '7.1 to 7.4', '-')
    """
    known = [one for one in values if math.isfinite(one)]
    if not known:
        return "-"
    low, high = (_number(one, digits) for one in (min(known), max(known)))
    return low if low == high else f"{low} to {high}"


def _number(value: float, digits: int | None) -> str:
    if digits is not None:
        return f"{value:.{digits}f}"
    return f"{value:.1f}" if value < 10 else f"{value:.0f}"


def plain(lines: Sequence[Line]) -> dict[str, Any]:
    """Return the board as plain data; errors are means of abs(ln(told/measured)), null where there are none."""
    return {
        "schema_version": 1,
        "error": "mean of abs(ln(told/measured))",
        "series": [
            {
                "name": line.series.name,
                "quantity": line.series.quantity,
                "settings": len(line.series.rows),
                "stand_in_card": line.series.card or None,
                "unstated": line.series.unstated,
                "ceiling": [_null(one) for one in line.ceiling],
                "readings": [
                    {
                        "reading": one.reading,
                        "estimate": _scores(one.estimate),
                        "solid_bar_times_mass": _scores(one.solid_bar),
                        "rivals": {name: _null(rival.scaled) for name, rival in one.rivals.items()},
                        "beats_all": one.beaten,
                    }
                    for one in line.results
                ],
            }
            for line in lines
        ],
    }


def _scores(one: Score) -> dict[str, float | int | None]:
    return {name: _null(value) for name, value in vars(one).items()}


def _null(value: float) -> float | None:
    return value if math.isfinite(value) else None
