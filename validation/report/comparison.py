"""Measured against estimated: parity of the means, and ratios of single beams against what might explain them."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from patterns.errors import InputError
from validation.report.grouping import Plain
from validation.report.style import (
    BLUE,
    GREEN,
    INK,
    INVENTED,
    PALE,
    VERMILION,
    Picture,
    figure,
    head,
    legend_below,
)
from validation.results.columns import column, numbers
from validation.text.quantities import NAMES

_DECADE = 10.0
# Label, place of each beam, and names of the places where they are names.
Panel = tuple[str, dict[Any, float], list[str]]
_LOOKS = {"breaking_force": (BLUE, "o"), "stiffness": (VERMILION, "s"), "mass": (GREEN, "^")}


def parity(rows: Sequence[Plain], quantity: str = "breaking_force", invented: bool = False) -> Picture:
    """Return measured means against estimates with lines of equality and of 10 % and 20 % around it.

    Settings whose row has ``calibrated`` true are hollow and left out of the error and bias told in the title.

    Raises
    ------
    InputError
        If no setting was both measured and estimated.
    """
    measured = column(quantity, measured=True)
    both = [row for row in rows if row.get(measured) is not None and row[column(quantity)] is not None]
    if not both:
        raise InputError(f"no setting has both a measured and an estimated {NAMES[quantity][0]}")
    noun, unit = NAMES[quantity]
    title = _error(both, quantity) + (INVENTED if invented else "")
    with figure(5.6, 5.9) as (fig, ax):
        low, high = _span(both, quantity)
        if high > _DECADE * low:
            _logarithmic(ax)
        else:
            low = 0.0
        ends = np.geomspace(low, high, 50) if low else np.array([0.0, high])
        ax.plot(ends, ends, color=INK, linewidth=1, label="equal")
        for share, dash in ((0.1, "--"), (0.2, ":")):
            for sign in (1, -1):
                name = f"{share:.0%} apart".replace("%", " %") if sign > 0 else None
                ax.plot(ends, (1 + sign * share) * ends, dash, color=INK, linewidth=0.7, label=name)
        ax.set_xlim(low, high)
        ax.set_ylim(low, high)
        for row in both:
            _both_ways(ax, row, quantity)
        role = "predicted" if any(row.get("calibrated") for row in both) else "estimated"
        for calibrated, fill, label in (
            (False, BLUE, f"setting, {role}"),
            (True, "white", "setting, calibrated on"),
        ):
            some = [row for row in both if bool(row.get("calibrated")) is calibrated]
            if some:
                x, y = ([row[name] for row in some] for name in (column(quantity), measured))
                ax.plot(x, y, "o", color=BLUE, markerfacecolor=fill, markersize=5.5, label=label)
        ax.set_aspect("equal")
        ax.set_xlabel(f"estimated {noun} [{unit}]")
        ax.set_ylabel(f"measured {noun} [{unit}]")
        legend_below(fig, [ax], 2)
        head(fig, title)
        told = (
            f"Measured mean {noun} of {len(both)} settings against the estimate. Level lines: 5 % to 95 % point of the "
            "estimate; upright lines: 95 % interval of the mean."
        )
        return Picture(fig, title, told)


def residuals(
    rows: Sequence[Plain],
    beams: Sequence[Plain],
    quantities: Sequence[str] = ("breaking_force", "stiffness"),
    invented: bool = False,
) -> Picture:
    """Return measured over estimated values of single beams against fill, mass, test order and build.

    Only those of the four that the table of beams tells are drawn. The pale band is the mean ratio of the first
    quantity with the 95 % interval of a single beam's ratio, pooled over all.

    Raises
    ------
    InputError
        If no beam has a ratio.
    """
    valid = [beam for beam in beams if beam["valid"]]
    shown = [name for name in quantities if numbers(valid, f"{name}_ratio")]
    if not shown:
        raise InputError("no measured beam has an estimate to be compared with")
    panels = [panel for panel in _panels(valid) if panel[1]]
    mean, half = _pooled(numbers(valid, f"{shown[0]}_ratio"))
    columns = min(2, len(panels))
    lines = -(-len(panels) // columns)
    title = _bias(valid, shown) + (INVENTED if invented else "")
    with figure(6.4, 2.4 * lines + 1.1, lines, columns, squeeze=False, sharey=True) as (fig, grid):
        axes = list(grid.flat)
        for ax, panel in zip(axes, panels, strict=False):
            ax.axhspan(mean - half, mean + half, color=PALE, alpha=0.35, linewidth=0, label="_band")
            ax.axhline(1, color=INK, linewidth=1)
            _draw_ratios(ax, panel, valid, shown)
        for ax in axes[len(panels) :]:
            ax.set_visible(False)
        for ax in grid[:, 0]:
            ax.set_ylabel("measured / estimated")
        values = [value for name in shown for value in numbers(valid, f"{name}_ratio")]
        margin = 0.05
        axes[0].set_ylim(min(*values, 1.0, mean - half) - margin, max(*values, 1.0, mean + half) + margin)
        legend_below(fig, axes[:1], 3)
        head(fig, title)
        told = (
            "Measured over estimated value of every valid beam against "
            + ", ".join(label.partition(" [")[0] for label, _, _ in panels)
            + f". Line: equal. Grey: mean ratio of {NAMES[shown[0]][0]} and the 95 % range of single beams around it."
        )
        return Picture(fig, title, told)


def _draw_ratios(ax: Any, panel: Panel, beams: Sequence[Plain], quantities: Sequence[str]) -> None:
    """Draw the ratios of single beams by their places in one panel."""
    label, places, names = panel
    for number, name in enumerate(quantities):
        color, marker = _LOOKS[name]
        pairs = [
            (
                places[beam["specimen"], beam["setting"]] + 0.12 * number * bool(names),
                beam[f"{name}_ratio"],
            )
            for beam in beams
            if (beam["specimen"], beam["setting"]) in places and beam[f"{name}_ratio"] is not None
        ]
        look = {"color": color, "markerfacecolor": "white", "markersize": 4.5, "linestyle": "none"}
        ax.plot(*zip(*pairs, strict=True), marker=marker, **look, label=NAMES[name][0])
    ax.set_xlabel(label)
    if names:
        ax.set_xticks(range(len(names)), [name if len(name) < 13 else f"{name[:11]}…" for name in names])
        ax.set_xlim(-0.5, len(names) - 0.5)


def _panels(beams: Sequence[Plain]) -> list[Panel]:
    """Return label, place of each beam, and names of the places where they are names."""
    key = [(beam["specimen"], beam["setting"]) for beam in beams]
    found: list[tuple[str, dict[Any, float], list[str]]] = []
    for label, name in (
        ("set fill of the core", "set_fill"),
        ("measured mass [g]", "mass_g"),
        ("test order", "test_order"),
    ):
        values = {place: _number(beam.get(name)) for place, beam in zip(key, beams, strict=True)}
        known = {place: value for place, value in values.items() if value is not None}
        if len(set(known.values())) > 1:
            found.append((label, known, []))
    builds = sorted({beam["build"] for beam in beams if beam["build"]})
    if len(builds) > 1:
        at = {
            place: float(builds.index(beam["build"]))
            for place, beam in zip(key, beams, strict=True)
            if beam["build"]
        }
        found.append(("build", at, builds))
    return found or [
        ("beam, in the order of the table", {place: float(i) for i, place in enumerate(key)}, [])
    ]


def _number(value: Any) -> float | None:
    try:
        return float(value)
    except (TypeError, ValueError):
        return None


def _pooled(ratios: Sequence[float]) -> tuple[float, float]:
    """Return mean and half the 95 % range of single values; no range for one value."""
    from validation.statistics.intervals import prediction_factor

    if len(ratios) < 2:
        return float(ratios[0]), 0.0
    return float(np.mean(ratios)), float(prediction_factor(len(ratios)) * np.std(ratios, ddof=1))


def _error(rows: Sequence[Plain], quantity: str) -> str:
    """Return mean error and bias over the settings that were not calibrated on."""
    judged = [row for row in rows if not row.get("calibrated")] or list(rows)
    ratios = np.array([row[column(quantity, measured=True)] / row[column(quantity)] for row in judged])
    noun, bias = NAMES[quantity][0], round(100 * (float(np.mean(ratios)) - 1))
    return (
        f"Measured {noun} is off the untuned estimate by {100 * np.mean(np.abs(ratios - 1)):.0f}\u00a0% on average, "
        f"bias {f'{bias:+d}' if bias else '0'}\u00a0% ({len(judged)} settings)"
    )


def _bias(beams: Sequence[Plain], shown: Sequence[str]) -> str:
    parts = [f"{NAMES[name][0]} {np.mean(numbers(beams, f'{name}_ratio')):.2f}" for name in shown]
    return f"Mean measured over untuned estimate, {len(beams)} beams: {', '.join(parts)}"


def _both_ways(ax: Any, row: Plain, quantity: str) -> None:
    x, y = row[column(quantity)], row[column(quantity, measured=True)]
    ends = [row[column(quantity, "low")], row[column(quantity, "high")]]
    ax.plot(ends, [y, y], color=BLUE, linewidth=0.9, alpha=0.7, label="estimate, 5 % to 95 %")
    low, high = (row[column(quantity, end, measured=True)] for end in ("low", "high"))
    if low is not None:
        look = {"color": VERMILION, "linewidth": 1.1, "linestyle": (0, (4, 1.5))}
        bottom, top = ax.get_ylim()
        ax.plot([x, x], [max(low, bottom), min(high, top)], **look, label="95 % interval of the mean")
        for end, beyond, arrow in ((bottom, low < bottom, "v"), (top, high > top, "^")):
            if beyond:
                ax.plot(x, end, arrow, color=VERMILION, markersize=5, clip_on=False, label="runs on")


def _span(rows: Sequence[Plain], quantity: str) -> tuple[float, float]:
    names = [column(quantity, end) for end in ("", "low", "high")] + [column(quantity, measured=True)]
    values = [value for name in names for value in numbers(rows, name) if value > 0]
    return 0.9 * min(values), 1.06 * max(values)


def _logarithmic(ax: Any) -> None:
    """Use log axes with plain numbers."""
    from matplotlib.ticker import FuncFormatter, NullFormatter

    for axis, scale in ((ax.xaxis, ax.set_xscale), (ax.yaxis, ax.set_yscale)):
        scale("log")
        axis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:g}"))
        axis.set_minor_formatter(NullFormatter())
