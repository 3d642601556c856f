"""Figures of the main job: force against fill, predicted against measured, each as inline SVG."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from validation.reconcile import Row
from validation.report.style import BLUE, INK, SKY, VERMILION, figure, to_svg


def varied_number(rows: Sequence[Row], key: str = "core.set_fill") -> list[float]:
    """Return the set fill of each row, the usual abscissa."""
    return [row.estimate.set_fill for row in rows]


def against_fill(rows: Sequence[Row], quantity: str, label: str, name: str, invented: bool = False) -> str:
    """Return measured points, mean and the estimate's band of a quantity against set fill.

    ``quantity`` is "breaking_force" or "stiffness"; ``label`` the axis with its unit.
    """
    groups = _groups(rows)
    with figure(6.6, 4.2) as (fig, ax):
        for number, (title, members) in enumerate(groups.items()):
            _band(ax, members, quantity, number, title if len(groups) > 1 else "")
        ax.set_xlabel("set fill of the core")
        ax.set_ylabel(label)
        ax.set_ylim(bottom=0)
        ax.set_xlim(0, 1.03)
        ax.legend(loc="upper left")
        noun = "Breaking force" if quantity == "breaking_force" else "Stiffness"
        ax.set_title(f"{noun} against fill{' (invented data)' if invented else ''}")
        told = (
            f"{noun} against set fill: hatched band from the 5 % to the 95 % point of the estimate, its best value "
            "as a line, every measured beam as a point, means as ticks."
        )
        return to_svg(fig, name, f"{noun} against fill", told)


def _groups(rows: Sequence[Row]) -> dict[str, list[Row]]:
    """Group rows by everything varied but the fill, so that each curve is one series."""
    found: dict[str, list[Row]] = {}
    for row in rows:
        rest = {k: v for k, v in row.named.keys.items() if k not in ("core.set_fill", "core.geometric_fill")}
        found.setdefault(", ".join(f"{k.split('.')[-1]} {v}" for k, v in rest.items()), []).append(row)
    return {title: sorted(members, key=lambda row: row.estimate.set_fill) for title, members in found.items()}


def _band(ax: Any, rows: Sequence[Row], quantity: str, number: int, title: str) -> None:
    from validation.report.style import SERIES

    color, marker, dash = SERIES[number % len(SERIES)]
    known = [row for row in rows if getattr(row.estimate, quantity) is not None]
    x = np.array([row.estimate.set_fill for row in known])
    bands = [getattr(row.estimate, quantity) for row in known]
    low, best, high = (np.array([getattr(band, end) for band in bands]) for end in ("low", "best", "high"))
    note = f", {title}" if title else ""
    ax.fill_between(
        x, low, high, facecolor="none", edgecolor=color, hatch="////" if number % 2 == 0 else "\\\\\\\\", linewidth=0,
        alpha=0.55, label=f"estimate, 5 % to 95 %{note}",
    )  # fmt: skip
    ax.plot(x, best, dash, color=color, label=f"estimate, best{note}")
    points = [
        (row.estimate.set_fill, value)
        for row in rows
        for value in (_sample(row, quantity).values if _sample(row, quantity) else ())
    ]
    if points:
        px, py = zip(*points, strict=True)
        ink = VERMILION if number == 0 else color
        ax.plot(
            px, py, marker, color=ink, markersize=4.5, markerfacecolor="none", label=f"measured beams{note}"
        )
        means = [
            (row.estimate.set_fill, _sample(row, quantity).mean) for row in rows if _sample(row, quantity)
        ]
        mx, my = zip(*means, strict=True)
        ax.plot(mx, my, "_", color=ink, markersize=13, markeredgewidth=1.8, label=f"mean{note}")


def _sample(row: Row, quantity: str) -> Any:
    return row.force if quantity == "breaking_force" else row.stiffness


def parity(rows: Sequence[Row], quantity: str, unit: str, name: str, invented: bool = False) -> str:
    """Return measured against estimated means with the 1:1 line and 20 % lines, bands as crosses."""
    both = [row for row in rows if _sample(row, quantity) and getattr(row.estimate, quantity)]
    with figure(4.8, 4.6) as (fig, ax):
        top = 1.12 * max(
            max(getattr(row.estimate, quantity).high for row in both),
            max(_sample(row, quantity).mean for row in both),
        )
        line = np.array([0.0, top])
        ax.plot(line, line, color=INK, linewidth=1, label="measured = estimated")
        ax.plot(line, 1.2 * line, ":", color=INK, linewidth=0.8, label="20 % above and below")
        ax.plot(line, 0.8 * line, ":", color=INK, linewidth=0.8)
        for row in both:
            band, sample = getattr(row.estimate, quantity), _sample(row, quantity)
            ax.plot([band.low, band.high], [sample.mean] * 2, color=SKY, linewidth=1.6)
            if sample.interval:
                ends = [max(sample.interval.low, 0), sample.interval.high]
                ax.plot([band.best] * 2, ends, color=VERMILION, linewidth=1.2)
        ax.plot(
            [getattr(row.estimate, quantity).best for row in both],
            [_sample(row, quantity).mean for row in both],
            "o", color=BLUE, markersize=5, label="setting",
        )  # fmt: skip
        ax.plot([], [], color=SKY, linewidth=1.6, label="estimate, 5 % to 95 %")
        ax.plot([], [], color=VERMILION, linewidth=1.2, label="95 % interval of the mean")
        ax.set_xlim(0, top)
        ax.set_ylim(0, top)
        ax.set_aspect("equal")
        noun = "breaking force" if quantity == "breaking_force" else "stiffness"
        ax.set_xlabel(f"estimated {noun} [{unit}]")
        ax.set_ylabel(f"measured {noun} [{unit}]")
        ax.set_title(f"Measured against estimated {noun}{' (invented data)' if invented else ''}")
        ax.legend(loc="upper left")
        told = f"Measured mean {noun} of each setting against its estimate, with the line of equality."
        return to_svg(fig, name, f"Measured against estimated {noun}", told)
