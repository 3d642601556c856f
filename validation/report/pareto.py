"""Mass against force or stiffness: the settings that no other beats, and lines of equal ratio."""

import textwrap
from collections.abc import Sequence
from typing import Any

import numpy as np

from patterns.errors import InputError
from validation.design.fronts import front
from validation.report.grouping import spoken
from validation.report.style import BLUE, INK, INVENTED, PALE, VERMILION, Picture, figure, head, legend_below
from validation.report.tuned import tuned_column
from validation.results.columns import column
from validation.text.numbers import significant
from validation.text.quantities import NAMES

_MOST_NAMED, _NAME = 12, 26  # settings named beside the picture, letters in a line
_MOST_CROSSES = 200
# size of the picture's frame, and how far numbers keep apart in it, in points
_POINTS, _APART = (300.0, 250.0), 10.0


def pareto(
    rows: Sequence[dict[str, Any]],
    quantity: str = "breaking_force",
    cost: str = "mass",
    invented: bool = False,
) -> Picture:
    """Return quantity against mass (or print time) with the Pareto front and lines of equal ratio.

    Estimates decide the front: tuned ones where all rows hold them, else the card's. Crosses are their intervals both
    ways; settings on the front are numbered and named beside the picture, beaten ones are faded, and without crosses
    where they are many. Measured means stand beside them as rings.

    Raises
    ------
    InputError
        If the quantity is known of fewer than two settings.
    """
    (noun, unit), (what, cost_unit) = NAMES[quantity], NAMES[cost]
    rows = [row for row in rows if row[column(quantity)] is not None]
    if len(rows) < 2:
        raise InputError(f"fewer than two settings have an estimated {noun} to be compared")
    known = _Axes(rows, quantity, cost)
    places = front([known.x(row) for row in rows], [known.y(row) for row in rows])
    chosen = [rows[i] for i in places]
    beaten = [row for i, row in enumerate(rows) if i not in set(places)]
    ratios = [known.y(row) / known.x(row) for row in chosen]
    best = spoken(chosen[int(np.argmax(ratios))]["setting"])
    title = f"Most {noun} per {what}, {known.word}: {best}, {significant(max(ratios))} {unit}/{cost_unit}"
    title += INVENTED if invented else ""
    with figure(6.4, 4.6) as (fig, ax):
        known.limit(ax)
        _equal_ratios(ax, max(ratios), f"{unit}/{cost_unit}")
        for row in beaten if len(beaten) <= _MOST_CROSSES else ():
            _cross(ax, row, known, PALE, 0.5)
        _dots(ax, beaten, known, {"marker": "o", "color": PALE, "label": "beaten by another setting"})
        for row in chosen:
            _cross(ax, row, known, BLUE, 0.9)
        ax.step([known.x(row) for row in chosen], [known.y(row) for row in chosen], where="post", color=VERMILION,
                linestyle="--", linewidth=1.2, label="front")  # fmt: skip
        _dots(ax, chosen, known, {"marker": "s", "color": BLUE, "label": f"on the front, {known.word}"})
        known.draw_measured(ax)
        names = _numbered(ax, chosen, known)
        ax.set_xlabel(f"{what} [{cost_unit}]")
        ax.set_ylabel(f"{noun} [{unit}]")
        legend_below(fig, [ax], 3)
        fig.legend([_blank() for _ in names], names, loc="outside right center", handlelength=0, fontsize=7.5)
        head(fig, title)
        caption = (
            f"{known.word.capitalize()} {noun} against {what}. Squares joined by a broken line: settings that no "
            f"other beats in both; crosses: {known.interval}. Dotted lines: equal ratio. Neighbours whose crosses "
            "overlap may be ties."
        )
        if known.measured:
            caption += " Rings: means of measured beams."
        listed = "; ".join(spoken(row["setting"]) for row in chosen)
        return Picture(fig, title, f"{caption} On the front, by rising {what}: {listed}.", caption)


class _Axes:
    """Where settings stand, by tuned means where all rows hold them, else by the estimate."""

    def __init__(self, rows: Sequence[dict[str, Any]], quantity: str, cost: str) -> None:
        self.rows, self.quantity, self.cost = rows, quantity, cost
        names = [tuned_column(name) for name in (quantity, cost)]
        tuned = all(row.get(name) is not None for row in rows for name in names)
        self._column = tuned_column if tuned else column
        self.word = "tuned" if tuned else "estimated"
        self.interval = "95 % intervals of the mean" if tuned else "5 % to 95 % points"
        y, x = (column(name, measured=True) for name in (quantity, cost))
        self.measured = [
            (row[x], row[y]) for row in rows if row.get(x) is not None and row.get(y) is not None
        ]

    def x(self, row: dict[str, Any], end: str = "") -> float:
        """Return the place across."""
        return float(row[self._column(self.cost, end)])

    def y(self, row: dict[str, Any], end: str = "") -> float:
        """Return the place up."""
        return float(row[self._column(self.quantity, end)])

    def limit(self, ax: Any) -> None:
        """Start the axes near the points, so that they fill the picture, but at zero where that is near."""
        xs = [self.x(row, end) for row in self.rows for end in ("low", "high")] + [
            x for x, _ in self.measured
        ]
        ys = [self.y(row, end) for row in self.rows for end in ("low", "high")] + [
            y for _, y in self.measured
        ]
        ax.set_xlim(*_near(xs))
        ax.set_ylim(*_near(ys))

    def draw_measured(self, ax: Any) -> None:
        """Draw the means of the beams."""
        if self.measured:
            ax.plot(*zip(*self.measured, strict=True), "o", color=INK, markerfacecolor="none", markersize=7,
                    markeredgewidth=1.3, label="measured mean")  # fmt: skip


def _near(values: Sequence[float]) -> tuple[float, float]:
    low, high = min(values), max(values)
    margin = 0.08 * (high - low) or 0.1 * high
    return (0.0 if low < 0.25 * high else low - margin), high + margin


def _equal_ratios(ax: Any, largest: float, unit: str) -> None:
    """Draw four lines of equal ratio through the origin as far as they cross the picture, named at their ends."""
    (left, right), (bottom, top) = ax.get_xlim(), ax.get_ylim()
    steepest, flattest = min(top / max(left, 1e-9), 1.15 * largest), bottom / right
    for share in (0.2, 0.4, 0.6, 0.8):
        ratio = float(significant(flattest + share * (steepest - flattest), 2))
        x = min(right, top / ratio)
        if not (left < x <= right and bottom < ratio * x <= top * (1 + 1e-9)):
            continue
        ax.plot([0, x], [0, ratio * x], color=INK, linewidth=0.6, linestyle=(0, (1, 3)))
        # Outside the frame, where no point or cross can be.
        at, side = ((4, 0), ("left", "center")) if x == right else ((0, 3), ("center", "bottom"))
        ax.annotate(f"{ratio:g} {unit}", (x, ratio * x), at, textcoords="offset points", fontsize=7, ha=side[0],
                    va=side[1], annotation_clip=False)  # fmt: skip


def _cross(ax: Any, row: dict[str, Any], known: _Axes, color: str, width: float) -> None:
    x, y = known.x(row), known.y(row)
    ax.plot([known.x(row, "low"), known.x(row, "high")], [y, y], color=color, linewidth=width)
    ax.plot([x, x], [known.y(row, "low"), known.y(row, "high")], color=color, linewidth=width)


def _dots(ax: Any, rows: Sequence[dict[str, Any]], known: _Axes, look: dict[str, Any]) -> None:
    if rows:
        x, y = [known.x(row) for row in rows], [known.y(row) for row in rows]
        ax.plot(x, y, linestyle="none", markersize=5, **look)


def _numbered(ax: Any, rows: Sequence[dict[str, Any]], known: _Axes) -> list[str]:
    """Write numbers at points of the front, evenly thinned where they are many; return the names to them.

    A number that would stand on one already written is left out of the picture and stays in the list with its place.
    """
    from matplotlib.patheffects import withStroke

    picked = sorted({round(i) for i in np.linspace(0, len(rows) - 1, min(len(rows), _MOST_NAMED))})
    (left, right), (bottom, top) = ax.get_xlim(), ax.get_ylim()
    written: list[np.ndarray] = []
    for number, i in enumerate(picked, 1):
        x, y = known.x(rows[i]), known.y(rows[i])
        at = np.array([(x - left) / (right - left) * _POINTS[0], (y - bottom) / (top - bottom) * _POINTS[1]])
        for offset, side in ((np.array([-4, 5]), "right"), (np.array([5, -11]), "left")):
            if all(np.abs(at + offset - other).max() > _APART for other in written):
                written.append(at + offset)
                ax.annotate(
                    str(number), (x, y), tuple(offset), textcoords="offset points", fontsize=8, fontweight="bold",
                    ha=side, path_effects=[withStroke(linewidth=2.5, foreground="white")],
                )  # fmt: skip
                break
    return [
        textwrap.fill(f"{number}  {spoken(rows[i]['setting'])}", _NAME)
        + f"\n({significant(known.x(rows[i]))}, {significant(known.y(rows[i]))})"
        for number, i in enumerate(picked, 1)
    ]


def _blank() -> Any:
    from matplotlib.lines import Line2D

    return Line2D([], [], linestyle="none")
