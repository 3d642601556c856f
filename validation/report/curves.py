"""A quantity against fill, walls or another varied number: beams as points, tuned band in front, the estimate faint."""

import textwrap
from collections.abc import Sequence
from typing import Any

from patterns.errors import InputError
from validation.report.grouping import SOLID_X, DrawnSeries, Plain, abscissa, axis_label, series_of, spoken
from validation.report.style import (
    FAINT,
    HATCHES,
    INK,
    INVENTED,
    PALE,
    SERIES,
    Picture,
    figure,
    head,
    legend_below,
)
from validation.report.tuned import tuned_column
from validation.results.columns import column, numbers
from validation.text.numbers import significant
from validation.text.quantities import NAMES

NOTHING_VARIES = (
    "no number varies between the settings, so there is nothing to draw against; vary one in [vary]"
)
# More bands than this in one panel cannot be told apart.
_TOGETHER = 2
MOST_PANELS = 12
_NARROW = (4.1, 5.0)
# labels of the upper axis nearer than this, in inches, would run into each other
_LABEL_APART = 0.36


def against(
    rows: Sequence[Plain],
    quantity: str,
    beams: Sequence[Plain] = (),
    x: str | None = None,
    invented: bool = False,
    narrow: bool = False,
) -> Picture:
    """Return a quantity of all settings against one varied number.

    Up to two series share a panel; more get a panel each on one grid and scale, with the others pale behind. Where
    rows hold tuned means (`tuned.tuned_columns`), these are the band and the estimate as the card has it is faint.

    Parameters
    ----------
    rows, beams
        Plain rows of settings and of measured beams; see `validation.results`.
    quantity : str
        A key of `NAMES`.
    x : str, optional
        Column of the abscissa; by itself the fill if it varies, else the number that takes most values.
    invented : bool
        Says so in the title.
    narrow : bool
        For a screen as wide as a hand; panels stand below each other.

    Raises
    ------
    InputError
        If no number varies between the settings of which the quantity is known.
    """
    known = [row for row in rows if row[column(quantity)] is not None]
    x = x or abscissa(known)
    if x is None:
        raise InputError(NOTHING_VARIES)
    series = series_of(known, x)
    noun, unit = NAMES[quantity]
    title = _finding(series, quantity, x) + (INVENTED if invented else "")
    shown = series[:MOST_PANELS]
    together = len(series) <= _TOGETHER
    columns, size = _grid(len(shown), together, narrow)
    lines = -(-len(shown) // columns) if not together else 1
    with figure(*size, lines, columns, squeeze=False, sharex=True, sharey=True) as (fig, grid):
        axes = list(grid.flat)
        axes[0].set_ylim(0, 1.06 * max(_reach(shown, quantity, beams)))
        for number, one in enumerate(shown):
            if together:
                _draw(axes[0], one, quantity, x, beams, number, len(series) > 1)
            else:
                _panel(axes[number], one, shown, quantity, x, beams)
        for ax in axes[len(shown) :]:
            ax.set_visible(False)
        _limits(axes[0], shown, x)
        for ax in grid[-1]:
            ax.set_xlabel(axis_label(x))
        for ax in grid[:, 0]:
            ax.set_ylabel(f"{noun} [{unit}]")
        if len(series) == 1 and x == "set_fill":
            _second_axis(axes[0], shown[0], size[0])
        legend_below(fig, axes, 1 if narrow else 2)
        head(fig, title)
        return Picture(fig, title, _told(quantity, x, series, shown, beams))


def _grid(panels: int, together: bool, narrow: bool) -> tuple[int, tuple[float, float]]:
    """Return the panels side by side, and the size in inches."""
    if together:
        return 1, _NARROW if narrow else (8.6, 4.6)
    columns = (1 if panels < 5 else 2) if narrow else min(panels, 4 if panels > 6 else 3)
    lines = -(-panels // columns)
    return columns, (4.1, 1.7 * lines + 1.8) if narrow else (2.5 * columns + 0.9, 2.1 * lines + 1.3)


def _panel(
    ax: Any, one: DrawnSeries, others: Sequence[DrawnSeries], quantity: str, x: str, beams: Sequence[Plain]
) -> None:
    """Draw one series with the others pale behind."""
    for other in others:
        if other is not one:
            name = _line_column(other.rows, quantity)
            places = [row[x] for row in other.rows]
            ax.plot(
                places, [row[name] for row in other.rows], color=PALE, linewidth=0.8, label="other series"
            )
    _draw(ax, one, quantity, x, beams, 0, False)
    ax.set_title(textwrap.fill(one.title, 34), fontsize=8)


def _draw(
    ax: Any, one: DrawnSeries, quantity: str, x: str, beams: Sequence[Plain], number: int, named: bool
) -> None:
    """Draw band, best line, solid print, beams and means of one series."""
    color, marker, dash = SERIES[number]
    note = f", {one.title}" if named else ""
    at = [row[x] for row in one.rows]
    told = _is_tuned(one.rows, quantity)
    _estimate(ax, at, one.rows, quantity, FAINT if told else color, number, note, told)
    if told:
        name = f"tuned estimate, 95 % interval of the mean{note}"
        _band(ax, at, _tuned(one.rows, quantity, "low"), _tuned(one.rows, quantity, "high"), name,
              {"facecolor": color, "alpha": 0.22, "linewidth": 0.0}, color)  # fmt: skip
        ax.plot(at, _tuned(one.rows, quantity), linestyle=dash, color=color, linewidth=1.8,
                label=f"tuned estimate{note}")  # fmt: skip
    if one.solid is not None:
        _solid(ax, one.solid, one.rows[-1], quantity, x, color, note)
    step = (0.016 if x == "set_fill" else 0.016 * (max(at) - min(at))) * (1 + 0.9 * number)
    places = [*zip(one.rows, at, strict=True), *([(one.solid, SOLID_X)] if one.solid else [])]
    for row, place in places:
        _measured(ax, row, quantity, place, step, beams, (color, marker), note)


def _estimate(
    ax: Any, at: Sequence[float], rows: Sequence[Plain], quantity: str, color: str, number: int, note: str,
    faint: bool,
) -> None:  # fmt: skip
    """Draw the estimate as the material card has it: hatched band and best line."""
    word = "untuned estimate" if faint else "estimate"
    best, low, high = (_values(rows, quantity, end) for end in ("", "low", "high"))
    look = {"facecolor": "none", "edgecolor": color, "hatch": HATCHES[number], "linewidth": 0.0, "alpha": 0.6}
    _band(ax, at, low, high, f"{word}, 5 % to 95 %{note}", look, color)
    look = {"linewidth": 1.0, "linestyle": (0, (5, 2))} if faint else {"linestyle": SERIES[number][2]}
    ax.plot(at, best, color=color, marker=".", label=f"{word}, best{note}", **look)


def _band(
    ax: Any, at: Sequence[float], low: Sequence[float], high: Sequence[float], label: str,
    look: dict[str, Any], color: str,
) -> None:  # fmt: skip
    if len(at) > 1:
        ax.fill_between(at, low, high, label=label, **look)
    else:
        ax.plot([at[0]] * 2, [low[0], high[0]], color=color, linewidth=2, alpha=0.6, label=label)


def _solid(ax: Any, row: Plain, last: Plain, quantity: str, x: str, color: str, note: str) -> None:
    """Draw the solid print: another structure, so a broken line leads there and the symbol differs."""
    told = _is_tuned([row, last], quantity)
    if told:
        ends = [row[column(quantity, end)] for end in ("low", "high")]
        ax.plot([SOLID_X - 0.012] * 2, ends, color=FAINT, linewidth=1, linestyle=(0, (5, 2)),
                label=f"untuned estimate of the solid print{note}")  # fmt: skip
    names = [(tuned_column if told else column)(quantity, end) for end in ("", "low", "high")]
    best, low, high = (row[name] for name in names)
    ax.plot([last[x], SOLID_X], [last[names[0]], best], linestyle=(0, (2, 4)), color=color, linewidth=1)
    ax.plot([SOLID_X] * 2, [low, high], color=color, linewidth=5 if told else 1, alpha=0.3 if told else 1)
    word = "tuned, " if told else ""
    ax.plot(
        SOLID_X, best, "*", color=color, markersize=9, label=f"solid print, {word}another structure{note}"
    )


def _measured(
    ax: Any,
    row: Plain,
    quantity: str,
    at: float,
    step: float,
    beams: Sequence[Plain],
    look: tuple[str, str],
    note: str,
) -> None:
    """Draw the beams of a setting at its place and, beside them, their mean with its interval."""
    own = [beam for beam in beams if beam["setting"] == row["setting"] and beam["valid"]]
    values = [beam[column(quantity)] for beam in own if beam.get(column(quantity))]
    if not values:
        return
    color, marker = look
    dots = {"color": INK, "markerfacecolor": "white", "markersize": 5, "linestyle": "none", "zorder": 4}
    if note:
        dots["color"] = color
    ax.plot([at] * len(values), values, marker=marker, **dots, label=f"measured beams{note}")
    mean, low, high = (row.get(column(quantity, end, measured=True)) for end in ("", "low", "high"))
    # A tuned band tells the mean better than the few beams of one setting.
    if low is not None and high is not None and not _is_tuned([row], quantity):
        _interval(ax, at + step, low, high)
    if mean is not None:
        ax.plot(at + step, mean, "_", color=INK, markersize=9, markeredgewidth=1.8, label="mean of the beams")


def _interval(ax: Any, at: float, low: float, high: float) -> None:
    """Draw an interval; where the picture ends before it does, an arrow says so."""
    bottom, top = ax.get_ylim()
    look = {"color": INK, "linewidth": 1.2, "label": "95 % interval of the mean; arrow: runs on"}
    ax.plot([at] * 2, [max(low, bottom), min(high, top)], **look)
    for end, beyond, arrow in ((bottom, low < bottom, "v"), (top, high > top, "^")):
        if beyond:
            ax.plot(at, end, arrow, color=INK, markersize=5, clip_on=False)


def _limits(ax: Any, series: Sequence[DrawnSeries], x: str) -> None:
    if x == "set_fill":
        ax.set_xlim(0, 1.04)
        return
    places = [row[x] for one in series for row in one.rows]
    margin = 0.06 * (max(places) - min(places)) or 1.0
    ax.set_xlim(min(places) - margin, max(places) + margin)
    if all(isinstance(place, int) for place in places):
        ax.set_xticks(sorted(set(places)))


def _second_axis(ax: Any, one: DrawnSeries, width: float) -> None:
    """Name the fill that is really there on top: weighed where beams were weighed, else covered in the model."""
    weighed = all(row.get("gravimetric_fill") is not None for row in one.rows)
    name = "gravimetric_fill" if weighed else "geometric_fill"
    told: list[Plain] = []
    for row in one.rows:
        if not told or width * (row["set_fill"] - told[-1]["set_fill"]) > _LABEL_APART:
            told.append(row)
    top = ax.secondary_xaxis("top")
    top.set_xticks([row["set_fill"] for row in told], [significant(row[name], 2) for row in told])
    top.set_xlabel("gravimetric fill (weighed)" if weighed else "geometric fill (covered area)", fontsize=8)
    top.tick_params(labelsize=8)


def _finding(series: Sequence[DrawnSeries], quantity: str, x: str) -> str:
    """Return what the figure shows in one line, and whether beams or the estimate say so."""
    noun, _ = NAMES[quantity]
    rows = series[0].rows
    if len(series) == 1 and len(rows) > 1:
        ends = [rows[0], rows[-1]]
        word, name = _source(ends, quantity)
        factor = significant(ends[1][name] / ends[0][name])
        label = "set fill" if x == "set_fill" else axis_label(x).partition(" [")[0]
        return f"{word} {noun} at {label} {ends[1][x]:g} is {factor} times that at {ends[0][x]:g}"
    every = _all(series)
    measured = column(quantity, measured=True)
    broken = [row for row in every if row.get(measured) is not None]
    word, name = _source(broken or every, quantity)
    most = max(broken or every, key=lambda row: row[name])
    value = f"{significant(most[name])} {NAMES[quantity][1]}"
    return f"Most {word.lower()} {noun} of {len(series)} series: {value} at {spoken(most['setting'])}"


def _source(rows: Sequence[Plain], quantity: str) -> tuple[str, str]:
    """Return the word and column of what is known of all rows: measured before tuned before estimated."""
    measured = column(quantity, measured=True)
    if all(row.get(measured) is not None for row in rows):
        return "Measured", measured
    if _is_tuned(rows, quantity):
        return "Tuned estimate of", tuned_column(quantity)
    return "Estimated", column(quantity)


def _told(
    quantity: str, x: str, series: Sequence[DrawnSeries], shown: Sequence[DrawnSeries], beams: Sequence[Plain]
) -> str:
    noun = NAMES[quantity][0]
    text = f"{noun[0].upper()}{noun[1:]} against {axis_label(x).partition(' [')[0]}."
    if any(_is_tuned(one.rows, quantity) for one in shown):
        text += (
            " Full band: the estimate tuned to the beams, 95 % interval of the mean. Hatched, faint: the estimate as "
            "the material card has it, before any beam."
        )
    else:
        text += " Hatched band: 5 % to 95 % points of the estimate."
    if beams:
        text += " Open symbols: single beams; level strokes: their means."
    return text + (
        f" The first {len(shown)} of {len(series)} series are drawn; the tables have all."
        if len(shown) < len(series)
        else ""
    )


def _all(series: Sequence[DrawnSeries]) -> list[Plain]:
    return [row for one in series for row in (*one.rows, *([one.solid] if one.solid else []))]


def _values(rows: Sequence[Plain], quantity: str, end: str = "") -> list[float]:
    return [row[column(quantity, end)] for row in rows]


def _tuned(rows: Sequence[Plain], quantity: str, end: str = "") -> list[float]:
    return [row[tuned_column(quantity, end)] for row in rows]


def _is_tuned(rows: Sequence[Plain], quantity: str) -> bool:
    return len(numbers(rows, tuned_column(quantity))) == len(rows)


def _line_column(rows: Sequence[Plain], quantity: str) -> str:
    return tuned_column(quantity) if _is_tuned(rows, quantity) else column(quantity)


def _reach(series: Sequence[DrawnSeries], quantity: str, beams: Sequence[Plain]) -> list[float]:
    rows = _all(series)
    seen = {row["setting"] for row in rows}
    own = [beam for beam in beams if beam["setting"] in seen and beam["valid"]]
    tuned = numbers(rows, tuned_column(quantity, "high"))
    return [*_values(rows, quantity, "high"), *tuned, *(beam.get(column(quantity)) or 0.0 for beam in own)]
