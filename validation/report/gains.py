"""What one step of each setting buys: bars with intervals, the largest on top."""

from collections.abc import Mapping, Sequence
from typing import Any

from validation.report.style import BLUE, HATCHES, INK, INVENTED, VERMILION, Picture, figure, head
from validation.text.numbers import significant


def gains(
    rows: Sequence[Mapping[str, Any]], panels: Mapping[str, str], title: str = "", invented: bool = False
) -> Picture:
    """Return one panel of bars per quantity.

    Parameters
    ----------
    rows : sequence of mapping
        One per step, with its name under ``step`` ("+1 wall") and, for each quantity q of ``panels``, the gain under q
        and the ends of its interval under ``q_low`` and ``q_high``; None where it is not known.
    panels : mapping
        Quantity to the label of its axis with the unit, as in {"force_per_gram": "force per mass [N/g]"}.
    title : str, optional
        The finding; by itself the largest step of the first quantity.
    invented : bool
        Says so in the title.
    """
    first, label = next(iter(panels.items()))
    order = sorted(rows, key=lambda row: abs(row[first]) if row[first] is not None else -1.0)
    if not title:
        value, (name, _, unit) = significant(order[-1][first]), label.partition(" [")
        title = f"{order[-1]['step']} changes {name} most: {value} {unit.rstrip(']')}".rstrip()
    title += INVENTED if invented else ""
    width = 2.6 * len(panels) + 1.6
    with figure(width, 0.34 * len(rows) + 1.4, 1, len(panels), squeeze=False, sharey=True) as (fig, grid):
        for ax, (name, label) in zip(grid[0], panels.items(), strict=True):
            for place, row in enumerate(order):
                _bar(ax, place, row, name)
            ax.axvline(0, color=INK, linewidth=0.9)
            ax.set_xlabel(label)
            ax.margins(x=0.25)
            ax.grid(axis="y", visible=False)
        grid[0, 0].set_yticks(range(len(order)), [str(row["step"]) for row in order])
        head(fig, title)
        units = ", ".join(panels.values())
        told = f"Change by one step of each setting, in {units}; thin lines: interval of the change."
        return Picture(fig, title, told)


def _bar(ax: Any, place: int, row: Mapping[str, Any], name: str) -> None:
    """Draw one bar with its interval; gains and losses differ in hatch too."""
    value = row[name]
    if value is None:
        ax.text(0, place, " not known", va="center", fontsize=7.5)
        return
    color, hatch = (BLUE, "") if value >= 0 else (VERMILION, HATCHES[0])
    ax.barh(
        place,
        value,
        0.62,
        facecolor=color if not hatch else "white",
        edgecolor=color,
        hatch=hatch,
        linewidth=0.8,
    )
    low, high = row.get(f"{name}_low"), row.get(f"{name}_high")
    ends = [end for end in (low, high, value) if end is not None]
    if low is not None and high is not None:
        ax.plot([low, high], [place, place], color=INK, linewidth=1.1, marker="|", markersize=6)
    outer, side = (max(ends), "left") if value >= 0 else (min(ends), "right")
    gap = 3 if side == "left" else -3
    ax.annotate(
        significant(value),
        (outer, place),
        (gap, 0),
        textcoords="offset points",
        va="center",
        ha=side,
        fontsize=7.5,
    )
