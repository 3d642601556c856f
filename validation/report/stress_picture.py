"""Picture of the stress in a plan cell: the beads at true aspect, coloured by stress, with the peak marked."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import numpy as np

from fem.prismatic.concentration import CASES, Peak
from fem.prismatic.stress_field import StressField, largest_principal
from patterns.cells.cell import PlanCell
from patterns.errors import InputError
from validation.report.drawings import plan_axes, scale_bar
from validation.report.style import INK, VERMILION, Picture, figure

_PARTS = 4  # each element is drawn as so many small triangles along a side
_COLOURS = "cividis"


@contextmanager
def stress_picture(cell: PlanCell, field: StressField, case: str, peak: Peak | None) -> Iterator[Picture]:
    """Yield the picture of the largest principal stress over the mean stress under one unit mean stress.

    Parameters
    ----------
    cell : PlanCell
        The cell, for its period.
    field : StressField
        Its stresses.
    case : str
        One of `fem.prismatic.concentration.CASES`.
    peak : Peak or None
        The largest stress; None at sharp corners, where there is no limit.

    Raises
    ------
    InputError
        If the load has no path.
    """
    mean = np.eye(6)[CASES.index(case)]
    if not field.carries(mean):
        raise InputError(
            f"{cell.pattern}: {case.replace('_', ' ')} has no load path, so there is no stress to draw"
        )
    points, corners = _grid()
    samples = field.at(np.arange(len(field.period.vertex)), points)
    values = largest_principal(samples.unit @ (field.compliance @ mean))
    triangles = (np.arange(len(values)).reshape(-1, points.shape[1])[:, corners]).reshape(-1, 3)
    title = (
        f"{cell.pattern.capitalize()} cell under {case.replace('_', ' ')}: largest principal / mean stress"
    )
    with figure(6.0, 6.4) as (fig, ax):
        shown = ax.tripcolor(
            *samples.x.T, triangles, values, shading="gouraud", cmap=_COLOURS, rasterized=True
        )
        fig.colorbar(shown, ax=ax, label="largest principal stress / mean stress", shrink=0.8)
        edge = field.surface(np.linspace(0, 1, 9)).x.reshape(-1, 9, 2)
        _lines(ax, edge)
        told = _mark(ax, peak)
        plan_axes(ax, "axis 1 [mm]", "axis 2 [mm]")
        low, high = samples.x.min(axis=0), samples.x.max(axis=0)
        size = float((high - low).max())
        scale_bar(ax, low[0], low[1] - 0.07 * size, size)
        ax.set_title(title)
        yield Picture(
            fig, title, f"{title}. {told} Deformation is not drawn; black lines are the beads' outlines."
        )


def _grid() -> tuple[np.ndarray, np.ndarray]:
    """Points (2, n) of a reference triangle and the small triangles (m, 3) between them."""
    number = {
        (i, j): k for k, (i, j) in enumerate((i, j) for j in range(_PARTS + 1) for i in range(_PARTS + 1 - j))
    }
    small = []
    for (i, j), k in number.items():
        if i + j < _PARTS:
            small.append((k, number[i + 1, j], number[i, j + 1]))
        if i + j < _PARTS - 1:
            small.append((number[i + 1, j], number[i + 1, j + 1], number[i, j + 1]))
    return np.array(list(number)).T / _PARTS, np.array(small)


def _lines(ax: Any, lines: np.ndarray) -> None:
    """Draw polylines (n, points, 2)."""
    from matplotlib.collections import LineCollection

    ax.add_collection(LineCollection(list(lines), colors=INK, linewidths=0.9))


def _mark(ax: Any, peak: Peak | None) -> str:
    """Mark the peak and return the words for it."""
    if peak is None:
        return (
            "The corners are sharp, so that the stress there has no limit and the colours depend on the mesh."
        )
    ax.plot(*peak.place, marker="o", markersize=9, fillstyle="none", color=VERMILION, markeredgewidth=1.8)
    label = f"{peak.principal:.3g}"
    ax.annotate(
        label,
        peak.place,
        xytext=(12, 12),
        textcoords="offset points",
        fontsize=9,
        bbox={"boxstyle": "round,pad=0.2", "facecolor": "white", "edgecolor": VERMILION},
    )
    return f"The peak, {label}, is marked at ({peak.place[0]:.3f}, {peak.place[1]:.3f}) mm."
