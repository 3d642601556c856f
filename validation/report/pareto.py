"""Mass against force or stiffness: the settings that no other beats, and lines of equal ratio."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from patterns.errors import InputError
from validation.design.fronts import front
from validation.report.style import BLUE, INK, INVENTED, PALE, VERMILION, Picture, figure, head
from validation.results.columns import column
from validation.text.numbers import significant
from validation.text.quantities import NAMES

_MOST_NAMED = 12
_MOST_CROSSES = 200


def pareto(
    rows: Sequence[dict[str, Any]],
    quantity: str = "breaking_force",
    cost: str = "mass",
    invented: bool = False,
) -> Picture:
    """Return estimated quantity against mass (or print time) with the Pareto front and lines of equal ratio.

    Crosses are the 5 % and 95 % points both ways; settings on the front are numbered and named beside the picture,
    beaten ones are faded, and without crosses where they are many.

    Raises
    ------
    InputError
        If the quantity is known of fewer than two settings.
    """
    (noun, unit), (what, cost_unit) = NAMES[quantity], NAMES[cost]
    rows = [row for row in rows if row[column(quantity)] is not None]
    if len(rows) < 2:
        raise InputError(f"fewer than two settings have an estimated {noun} to be compared")
    places = front([row[column(cost)] for row in rows], [row[column(quantity)] for row in rows])
    chosen = [rows[i] for i in places]
    beaten = [row for i, row in enumerate(rows) if i not in set(places)]
    right = 1.05 * max(row[column(cost, "high")] for row in rows)
    top = 1.08 * max(row[column(quantity, "high")] for row in rows)
    ratios = [row[column(quantity)] / row[column(cost)] for row in chosen]
    best = chosen[int(np.argmax(ratios))]["setting"]
    title = f"Most {noun} per {what}: {best}, {significant(max(ratios))} {unit}/{cost_unit}"
    title += INVENTED if invented else ""
    with figure(7.7, 4.6) as (fig, ax):
        _equal_ratios(ax, max(ratios), right, top, f"{unit}/{cost_unit}")
        for row in beaten if len(beaten) <= _MOST_CROSSES else ():
            _cross(ax, row, quantity, cost, PALE, 0.5)
        _dots(
            ax, beaten, quantity, cost, {"marker": "o", "color": PALE, "label": "beaten by another setting"}
        )
        for row in chosen:
            _cross(ax, row, quantity, cost, BLUE, 0.9)
        x, y = ([row[column(name)] for row in chosen] for name in (cost, quantity))
        ax.step(x, y, where="post", color=VERMILION, linestyle="--", linewidth=1.2, label="front")
        _dots(ax, chosen, quantity, cost, {"marker": "s", "color": BLUE, "label": "on the front"})
        names = _numbered(ax, chosen, quantity, cost)
        ax.set_xlim(0, right)
        ax.set_ylim(0, top)
        ax.set_xlabel(f"{what} [{cost_unit}]")
        ax.set_ylabel(f"{noun} [{unit}]")
        ax.legend(loc="upper left")
        fig.legend([_blank() for _ in names], names, loc="outside right center", handlelength=0, fontsize=7.5)
        head(fig, title)
        caption = (
            f"Estimated {noun} against {what}. Squares joined by a broken line: settings that no other beats in "
            "both; crosses: 5 % to 95 % points. Dotted lines through the origin: equal ratio. Neighbours whose "
            "bands overlap may be ties."
        )
        listed = "; ".join(row["setting"] for row in chosen)
        return Picture(fig, title, f"{caption} On the front, by rising {what}: {listed}.", caption)


def _equal_ratios(ax: Any, largest: float, right: float, top: float, unit: str) -> None:
    for share in (0.25, 0.5, 0.75, 1.0):
        ratio = float(significant(share * largest, 2))
        x = min(right, top / ratio)
        ax.plot([0, x], [0, ratio * x], color=INK, linewidth=0.6, linestyle=(0, (1, 3)))
        at = 0.985 * x
        ax.annotate(
            f"{ratio:g} {unit}", (at, ratio * at), (-3, 0), textcoords="offset points", fontsize=7, ha="right",
            va="bottom" if x == right else "top",
        )  # fmt: skip


def _cross(ax: Any, row: dict[str, Any], quantity: str, cost: str, color: str, width: float) -> None:
    x, y = row[column(cost)], row[column(quantity)]
    ax.plot([row[column(cost, "low")], row[column(cost, "high")]], [y, y], color=color, linewidth=width)
    ax.plot(
        [x, x], [row[column(quantity, "low")], row[column(quantity, "high")]], color=color, linewidth=width
    )


def _dots(ax: Any, rows: Sequence[dict[str, Any]], quantity: str, cost: str, look: dict[str, Any]) -> None:
    if rows:
        x, y = ([row[column(name)] for row in rows] for name in (cost, quantity))
        ax.plot(x, y, linestyle="none", markersize=5, **look)


def _numbered(ax: Any, rows: Sequence[dict[str, Any]], quantity: str, cost: str) -> list[str]:
    """Write numbers at points of the front, evenly thinned where they are many; return the names to them."""
    from matplotlib.patheffects import withStroke

    picked = sorted({round(i) for i in np.linspace(0, len(rows) - 1, min(len(rows), _MOST_NAMED))})
    for number, i in enumerate(picked, 1):
        # Turns above and below, so that numbers of close neighbours stay apart.
        offset, side = ((-4, 5), "right") if number % 2 else ((5, -11), "left")
        ax.annotate(
            str(number), (rows[i][column(cost)], rows[i][column(quantity)]), offset, textcoords="offset points",
            fontsize=8, fontweight="bold", ha=side, path_effects=[withStroke(linewidth=2.5, foreground="white")],
        )  # fmt: skip
    return [f"{number}  {rows[i]['setting']}" for number, i in enumerate(picked, 1)]


def _blank() -> Any:
    from matplotlib.lines import Line2D

    return Line2D([], [], linestyle="none")
