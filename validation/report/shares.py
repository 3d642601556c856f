"""How walls, faces and core share bending stiffness, shear stiffness and mass."""

import textwrap
from collections.abc import Sequence
from typing import Any

import numpy as np

from patterns.errors import InputError
from validation.report.grouping import DrawnSeries, Plain, abscissa, axis_label, series_of, spoken
from validation.report.style import INK, INVENTED, ROLE_LOOKS, Picture, figure, head, legend_below
from validation.results.columns import ROLES

QUANTITIES = {"EI": "bending stiffness EI", "GA": "shear stiffness GA", "mass": "mass"}
_MOST_SERIES = 3


def shares(rows: Sequence[Plain], invented: bool = False) -> Picture:
    """Return stacked shares of EI, GA and mass against the varied number, or per setting where none varies.

    Of more than three series the first, a middle and the last one are drawn.

    Raises
    ------
    InputError
        If fewer than two settings have shares.
    """
    rows = [row for row in rows if row["EI_share_core"] is not None]
    if len(rows) < 2:
        raise InputError("fewer than two settings have shares to be compared")
    x = abscissa(rows)
    series = series_of(rows, x) if x else [DrawnSeries("", tuple(rows))]
    shown = series
    if len(series) > _MOST_SERIES:
        shown = [series[0], series[len(series) // 2], series[-1]]
    title = _finding(rows) + (INVENTED if invented else "")
    with figure(6.4, 2.2 * len(shown) + 1.2, len(shown), 3, squeeze=False, sharey=True) as (fig, grid):
        for line, one in zip(grid, shown, strict=True):
            for ax, quantity in zip(line, QUANTITIES, strict=True):
                _stack(ax, one.rows, quantity, x)
            line[0].set_ylabel("\n".join(["share [%]", *([one.title] if one.title else [])]))
        for place, noun in enumerate(QUANTITIES.values()):
            grid[0, place].set_title(noun, fontsize=9)
            grid[-1, place].set_xlabel(axis_label(x) if x else "")
        legend_below(fig, grid.flat, 3)
        head(fig, title)
        told = (
            "By the estimate: stacked shares of EI, GA (strain energy in bending and in shear) and mass of walls, "
            f"faces and core, against {axis_label(x) if x else 'the setting'}."
        )
        if len(shown) < len(series):
            named = "; ".join(one.title for one in shown)
            told += f" Of {len(series)} series three are drawn ({named}); the table has all."
        return Picture(fig, title, told)


def _stack(ax: Any, rows: Sequence[Plain], quantity: str, x: str | None) -> None:
    """Draw areas over three or more places, else bars."""
    areas = x is not None and len(rows) > 2
    places = [row[x] for row in rows] if x is not None and areas else list(range(len(rows)))
    floor = np.zeros(len(rows))
    for role in ROLES:
        part = 100 * np.array([row[f"{quantity}_share_{role}"] for row in rows])
        if not part.any():
            continue
        color, hatch = ROLE_LOOKS[role]
        name = "core" if role == "core" else f"{role}s"
        look = {"facecolor": color, "edgecolor": "white", "hatch": hatch, "linewidth": 0.6, "label": name}
        if areas:
            ax.fill_between(places, floor, floor + part, **look)
        else:
            ax.bar(places, part, 0.7, floor, **look)
        floor = floor + part
    ax.set_ylim(0, 100)
    ax.grid(False)
    if areas:
        ax.set_xlim(places[0], places[-1])
        for place in places:
            ax.axvline(place, color=INK, linewidth=0.4, linestyle=(0, (1, 3)))
    else:
        names = [f"{row[x]:g}" if x else textwrap.fill(spoken(row["setting"]), 18) for row in rows]
        ax.set_xticks(places, names, rotation=0 if x else 90)


def _finding(rows: Sequence[Plain]) -> str:
    """Return what the core carries at most and at least."""
    core = [100 * row["EI_share_core"] for row in rows]
    shear = [100 * row["GA_share_core"] for row in rows]

    def span(values: Sequence[float]) -> str:
        low, high = min(values), max(values)
        return f"{low:.0f} %" if round(low) == round(high) else f"{low:.0f} to {high:.0f} %"

    return f"Estimated: the core carries {span(core)} of the bending and {span(shear)} of the shear stiffness"
