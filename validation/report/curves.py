"""A quantity against fill, walls or another varied number: beams as points, the estimate's band hatched."""

import textwrap
from collections.abc import Sequence
from typing import Any

from validation.output import significant
from validation.report.grouping import SOLID_X, Plain, Series, abscissa, axis_label, series_of
from validation.report.rows import column
from validation.report.style import HATCHES, INK, INVENTED, PALE, SERIES, Picture, figure, head, legend_below

NAMES = {
    "breaking_force": ("breaking force", "N"),
    "stiffness": ("stiffness", "N/mm"),
    "mass": ("mass", "g"),
    "print_time": ("print time", "min"),
    "EI": ("bending stiffness EI", "N mm²"),
    "GA": ("shear stiffness GA", "N"),
}
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

    Parameters
    ----------
    rows, beams
        Plain rows of settings and of measured beams; see `validation.report.rows`.
    quantity : str
        A key of `NAMES`.
    x : str, optional
        Column of the abscissa; by itself the fill if it varies, else the number that takes most values.
    invented : bool
        Says so in the title.

    Raises
    ------
    ValueError
        If nothing but names is varied.
    """
    x = x or abscissa(rows)
    if x is None:
        raise ValueError("no number varies between the settings")
    series = [one for one in series_of(rows, x) if any(row[column(quantity)] is not None for row in one.rows)]
    noun, unit = NAMES[quantity]
    title = _finding(series, quantity, x) + (INVENTED if invented else "")
    shown = series[:MOST_PANELS]
    top = 1.06 * max(_reach(shown, quantity, beams))
    together = len(series) <= _TOGETHER
    columns = 1 if together else min(len(shown), 4 if len(shown) > 6 else 3)
    lines = 1 if together else -(-len(shown) // columns)
    size = (6.6, 4.3) if together else (2.5 * columns + 0.9, 2.1 * lines + 1.0)
    with figure(*size, lines, columns, squeeze=False, sharex=True, sharey=True) as (fig, grid):
        axes = list(grid.flat)
        for number, one in enumerate(shown):
            ax = axes[0] if together else axes[number]
            if not together:
                for other in shown:
                    _ghost(ax, other, quantity, x)
                ax.set_title(textwrap.fill(one.title, 34), fontsize=8)
            _draw(ax, one, quantity, x, beams, number if together else 0, len(series) > 1 and together)
        for ax in axes[len(shown) :] if not together else ():
            ax.set_visible(False)
        axes[0].set_ylim(0, top)
        _limits(axes[0], shown, x)
        for ax in grid[-1]:
            ax.set_xlabel(axis_label(x))
        for ax in grid[:, 0]:
            ax.set_ylabel(f"{noun} [{unit}]")
        if together and len(series) == 1:
            _second_axis(axes[0], shown[0], x)
        legend_below(fig, axes, 3)
        head(fig, title)
        return Picture(fig, title, _told(noun, x, series, shown))


def _draw(
    ax: Any, one: Series, quantity: str, x: str, beams: Sequence[Plain], number: int, named: bool
) -> None:
    """Draw band, best line, solid print, beams and means of one series."""
    color, marker, dash = SERIES[number % len(SERIES)]
    note = f", {one.title}" if named else ""
    at = [row[x] for row in one.rows if row[column(quantity)] is not None]
    best, low, high = (_values(one.rows, quantity, end) for end in ("", "low", "high"))
    look = {"facecolor": "none", "edgecolor": color, "hatch": HATCHES[number], "linewidth": 0.0}
    if len(at) > 1:
        ax.fill_between(at, low, high, **look, alpha=0.6, label=f"estimate, 5 % to 95 %{note}")
    else:
        ax.plot(
            [at[0]] * 2, [low[0], high[0]], color=color, linewidth=1, label=f"estimate, 5 % to 95 %{note}"
        )
    ax.plot(at, best, linestyle=dash, color=color, marker=".", label=f"estimate, best{note}")
    if one.solid is not None and one.solid[column(quantity)] is not None:
        _solid(ax, one.solid, quantity, at[-1], best[-1], color, note)
    step = (0.016 if x == "set_fill" else 0.016 * (max(at) - min(at))) * (1 + 0.9 * number)
    for row in one.rows:
        _measured(ax, row, quantity, row[x], step, beams, (color, marker), note)
    if one.solid is not None:
        _measured(ax, one.solid, quantity, SOLID_X, step, beams, (color, marker), note)


def _solid(ax: Any, row: Plain, quantity: str, x: float, y: float, color: str, note: str) -> None:
    """Draw the solid print: another structure, so a broken line leads there and the symbol differs."""
    best, low, high = (row[column(quantity, end)] for end in ("", "low", "high"))
    ax.plot([x, SOLID_X], [y, best], linestyle=(0, (2, 4)), color=color, linewidth=1)
    ax.plot([SOLID_X] * 2, [low, high], color=color, linewidth=1)
    ax.plot(SOLID_X, best, "*", color=color, markersize=9, label=f"solid print, another structure{note}")


def _measured(
    ax: Any, row: Plain, quantity: str, at: float, step: float, beams: Sequence[Plain], look: tuple, note: str
) -> None:
    """Draw the beams of a setting beside its place, their mean as a tick and its interval as a thick line."""
    name = column(quantity)
    values = [
        beam[name] for beam in beams if beam["setting"] == row["setting"] and beam["valid"] and beam[name]
    ]
    if not values:
        return
    color, marker = look
    dots = {"color": color, "markerfacecolor": "white", "markersize": 4.5, "linestyle": "none"}
    ax.plot([at] * len(values), values, marker=marker, **dots, label=f"measured beams{note}")
    # Mean and interval stand beside the beams, not on them.
    beside = at + step
    low, high = (row[column(quantity, end, measured=True)] for end in ("low", "high"))
    if low is not None:
        ax.plot(
            [beside] * 2, [max(low, 0), high], color=INK, linewidth=1.2, label="mean with its 95 % interval"
        )
    ax.plot(beside, row[column(quantity, measured=True)], "_", color=INK, markersize=7, markeredgewidth=1.6)


def _ghost(ax: Any, one: Series, quantity: str, x: str) -> None:
    known = [row for row in one.rows if row[column(quantity)] is not None]
    ax.plot(
        [row[x] for row in known], _values(known, quantity), color=PALE, linewidth=0.8, label="other series"
    )


def _limits(ax: Any, series: Sequence[Series], x: str) -> None:
    if x == "set_fill":
        ax.set_xlim(0, 1.04)
        return
    places = [row[x] for one in series for row in one.rows]
    margin = 0.06 * (max(places) - min(places)) or 1.0
    ax.set_xlim(min(places) - margin, max(places) + margin)
    if all(isinstance(place, int) for place in places):
        ax.set_xticks(sorted(set(places)))


def _second_axis(ax: Any, one: Series, x: str) -> None:
    """Name the fill that is really there on top: weighed where beams were weighed, else covered in the model."""
    if x != "set_fill":
        return
    weighed = all(row["gravimetric_fill"] is not None for row in one.rows)
    name = "gravimetric_fill" if weighed else "geometric_fill"
    top = ax.secondary_xaxis("top")
    top.set_xticks([row[x] for row in one.rows], [significant(row[name], 2) for row in one.rows])
    top.set_xlabel("gravimetric fill (weighed)" if weighed else "geometric fill (covered area)", fontsize=8)
    top.tick_params(labelsize=8)


def _finding(series: Sequence[Series], quantity: str, x: str) -> str:
    """Return what the figure shows in one line."""
    noun = NAMES[quantity][0]
    noun = noun[0].upper() + noun[1:]
    label = axis_label(x).partition(" [")[0]
    if len(series) != 1 or len(series[0].rows) < 2:
        rows = [row for one in series for row in (*one.rows, *([one.solid] if one.solid else []))]
        most = max(
            (row for row in rows if row[column(quantity)] is not None), key=lambda row: row[column(quantity)]
        )
        value = significant(most[column(quantity)])
        return f"{noun} of {len(series)} series: most, {value} {NAMES[quantity][1]}, at {most['setting']}"
    values = _values(series[0].rows, quantity)
    places = [row[x] for row in series[0].rows if row[column(quantity)] is not None]
    factor = significant(values[-1] / values[0])
    short = "set fill" if x == "set_fill" else label
    return f"{noun} at {short} {places[-1]:g} is {factor} times that at {places[0]:g}"


def _told(noun: str, x: str, series: Sequence[Series], shown: Sequence[Series]) -> str:
    left = len(series) - len(shown)
    return (
        f"Estimated {noun} against {axis_label(x)}: the line is the best value, the hatched band runs from "
        "its 5 % to its 95 % point. Open symbols are single measured beams; beside them a tick is their mean "
        "and an upright line its 95 % interval, which may run out of the picture where beams are few."
        + (f" The first {len(shown)} of {len(series)} series are drawn." if left else "")
    )


def _values(rows: Sequence[Plain], quantity: str, end: str = "") -> list[float]:
    return [row[column(quantity, end)] for row in rows if row[column(quantity)] is not None]


def _reach(series: Sequence[Series], quantity: str, beams: Sequence[Plain]) -> list[float]:
    rows = [row for one in series for row in (*one.rows, *([one.solid] if one.solid else []))]
    seen = {row["setting"] for row in rows}
    points = [beam[column(quantity)] or 0.0 for beam in beams if beam["setting"] in seen and beam["valid"]]
    return [*_values(rows, quantity, "high"), *points]
