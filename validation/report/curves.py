"""A quantity against fill, walls or another varied number: beams as points, the estimate's band hatched."""

import textwrap
from collections.abc import Sequence
from typing import Any

from patterns.errors import InputError
from validation.report.grouping import SOLID_X, DrawnSeries, Plain, abscissa, axis_label, series_of
from validation.report.style import HATCHES, INK, INVENTED, PALE, SERIES, Picture, figure, head, legend_below
from validation.results.columns import column
from validation.text.numbers import significant
from validation.text.quantities import NAMES

NOTHING_VARIES = (
    "no number varies between the settings, so there is nothing to draw against; vary one in [vary]"
)
# More hatched bands than this in one panel cannot be told apart.
_TOGETHER = 2
MOST_PANELS = 12


def against(
    rows: Sequence[Plain],
    quantity: str,
    beams: Sequence[Plain] = (),
    x: str | None = None,
    invented: bool = False,
) -> Picture:
    """Return a quantity of all settings against one varied number.

    Up to two series share a panel; more get a panel each with the others pale behind.

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
    columns = 1 if together else min(len(shown), 4 if len(shown) > 6 else 3)
    lines = 1 if together else -(-len(shown) // columns)
    size = (6.6, 4.3) if together else (2.5 * columns + 0.9, 2.1 * lines + 1.0)
    with figure(*size, lines, columns, squeeze=False, sharex=True, sharey=True) as (fig, grid):
        axes = list(grid.flat)
        for number, one in enumerate(shown):
            if together:
                _draw(axes[0], one, quantity, x, beams, number, len(series) > 1)
            else:
                _panel(axes[number], one, shown, quantity, x, beams)
        for ax in axes[len(shown) :]:
            ax.set_visible(False)
        axes[0].set_ylim(0, 1.06 * max(_reach(shown, quantity, beams)))
        _limits(axes[0], shown, x)
        for ax in grid[-1]:
            ax.set_xlabel(axis_label(x))
        for ax in grid[:, 0]:
            ax.set_ylabel(f"{noun} [{unit}]")
        if len(series) == 1 and x == "set_fill":
            _second_axis(axes[0], shown[0])
        legend_below(fig, axes, 3)
        head(fig, title)
        return Picture(fig, title, _told(noun, x, series, shown))


def _panel(
    ax: Any, one: DrawnSeries, others: Sequence[DrawnSeries], quantity: str, x: str, beams: Sequence[Plain]
) -> None:
    """Draw one series with the others pale behind."""
    for other in others:
        places = [row[x] for row in other.rows]
        ax.plot(places, _values(other.rows, quantity), color=PALE, linewidth=0.8, label="other series")
    _draw(ax, one, quantity, x, beams, 0, False)
    ax.set_title(textwrap.fill(one.title, 34), fontsize=8)


def _draw(
    ax: Any, one: DrawnSeries, quantity: str, x: str, beams: Sequence[Plain], number: int, named: bool
) -> None:
    """Draw band, best line, solid print, beams and means of one series."""
    color, marker, dash = SERIES[number]
    note = f", {one.title}" if named else ""
    at = [row[x] for row in one.rows]
    best, low, high = (_values(one.rows, quantity, end) for end in ("", "low", "high"))
    look = {"facecolor": "none", "edgecolor": color, "hatch": HATCHES[number], "linewidth": 0.0}
    label = f"estimate, 5 % to 95 %{note}"
    if len(at) > 1:
        ax.fill_between(at, low, high, **look, alpha=0.6, label=label)
    else:
        ax.plot([at[0]] * 2, [low[0], high[0]], color=color, linewidth=1, label=label)
    ax.plot(at, best, linestyle=dash, color=color, marker=".", label=f"estimate, best{note}")
    if one.solid is not None:
        _solid(ax, one.solid, quantity, at[-1], best[-1], color, note)
    step = (0.016 if x == "set_fill" else 0.016 * (max(at) - min(at))) * (1 + 0.9 * number)
    places = [*zip(one.rows, at, strict=True), *([(one.solid, SOLID_X)] if one.solid else [])]
    for row, place in places:
        _measured(ax, row, quantity, place, step, beams, (color, marker), note)


def _solid(ax: Any, row: Plain, quantity: str, x: float, y: float, color: str, note: str) -> None:
    """Draw the solid print: another structure, so a broken line leads there and the symbol differs."""
    best, low, high = (row[column(quantity, end)] for end in ("", "low", "high"))
    ax.plot([x, SOLID_X], [y, best], linestyle=(0, (2, 4)), color=color, linewidth=1)
    ax.plot([SOLID_X] * 2, [low, high], color=color, linewidth=1)
    ax.plot(SOLID_X, best, "*", color=color, markersize=9, label=f"solid print, another structure{note}")


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
    dots = {"color": color, "markerfacecolor": "white", "markersize": 4.5, "linestyle": "none"}
    ax.plot([at] * len(values), values, marker=marker, **dots, label=f"measured beams{note}")
    mean, low, high = (row.get(column(quantity, end, measured=True)) for end in ("", "low", "high"))
    label = "mean with its 95 % interval"
    if low is not None:
        ax.plot([at + step] * 2, [max(low, 0), high], color=INK, linewidth=1.2, label=label)
    if mean is not None:
        ax.plot(at + step, mean, "_", color=INK, markersize=7, markeredgewidth=1.6)


def _limits(ax: Any, series: Sequence[DrawnSeries], x: str) -> None:
    if x == "set_fill":
        ax.set_xlim(0, 1.04)
        return
    places = [row[x] for one in series for row in one.rows]
    margin = 0.06 * (max(places) - min(places)) or 1.0
    ax.set_xlim(min(places) - margin, max(places) + margin)
    if all(isinstance(place, int) for place in places):
        ax.set_xticks(sorted(set(places)))


def _second_axis(ax: Any, one: DrawnSeries) -> None:
    """Name the fill that is really there on top: weighed where beams were weighed, else covered in the model."""
    weighed = all(row.get("gravimetric_fill") is not None for row in one.rows)
    name = "gravimetric_fill" if weighed else "geometric_fill"
    top = ax.secondary_xaxis("top")
    top.set_xticks([row["set_fill"] for row in one.rows], [significant(row[name], 2) for row in one.rows])
    top.set_xlabel("gravimetric fill (weighed)" if weighed else "geometric fill (covered area)", fontsize=8)
    top.tick_params(labelsize=8)


def _finding(series: Sequence[DrawnSeries], quantity: str, x: str) -> str:
    """Return what the figure shows in one line."""
    noun, unit = NAMES[quantity]
    noun = noun[0].upper() + noun[1:]
    if len(series) != 1 or len(series[0].rows) < 2:
        most = max(_all(series), key=lambda row: row[column(quantity)])
        value = significant(most[column(quantity)])
        return f"{noun} of {len(series)} series: most, {value} {unit}, at {most['setting']}"
    rows = series[0].rows
    factor = significant(rows[-1][column(quantity)] / rows[0][column(quantity)])
    label = "set fill" if x == "set_fill" else axis_label(x).partition(" [")[0]
    return f"{noun} at {label} {rows[-1][x]:g} is {factor} times that at {rows[0][x]:g}"


def _told(noun: str, x: str, series: Sequence[DrawnSeries], shown: Sequence[DrawnSeries]) -> str:
    return (
        f"Estimated {noun} against {axis_label(x)}: the line is the best value, the hatched band runs from "
        "its 5 % to its 95 % point. Open symbols are single measured beams; beside them a tick is their mean "
        "and an upright line its 95 % interval, which may run out of the picture where beams are few."
        + (f" The first {len(shown)} of {len(series)} series are drawn." if len(shown) < len(series) else "")
    )


def _all(series: Sequence[DrawnSeries]) -> list[Plain]:
    return [row for one in series for row in (*one.rows, *([one.solid] if one.solid else []))]


def _values(rows: Sequence[Plain], quantity: str, end: str = "") -> list[float]:
    return [row[column(quantity, end)] for row in rows]


def _reach(series: Sequence[DrawnSeries], quantity: str, beams: Sequence[Plain]) -> list[float]:
    rows = _all(series)
    seen = {row["setting"] for row in rows}
    own = [beam for beam in beams if beam["setting"] in seen and beam["valid"]]
    return [*_values(rows, quantity, "high"), *(beam.get(column(quantity)) or 0.0 for beam in own)]
