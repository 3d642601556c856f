"""Stiffness of a pattern's cell against direction in the layer plane."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from validation.output import significant
from validation.report.style import INK, SERIES, Picture, figure, head, legend_below


@dataclass(frozen=True)
class Directional:
    """A modulus of one cell by direction.

    Attributes
    ----------
    title : str
        What the curve belongs to, as in "square, geometric fill 0.3".
    angles_deg : sequence of float
        From axis 1, anticlockwise.
    values : sequence of float
        In the unit given to `polar`; 0 where there is no load path.
    """

    title: str
    angles_deg: Sequence[float]
    values: Sequence[float]


def polar(
    curves: Sequence[Directional], noun: str = "Young's modulus E", unit: str = "MPa", note: str = ""
) -> Picture:
    """Return the modulus of up to six cells by direction, from zero at the centre, with the layer's axes marked."""
    shown = curves[: len(SERIES)]
    ratios = [_ratio(curve) for curve in shown]
    title = f"{noun} in the layer plane: most even {shown[int(np.argmin(ratios))].title}"
    if len(shown) == 1:
        title = f"{noun} in the layer plane, {shown[0].title}"
    with figure(5.6, 5.9, subplot_kw={"projection": "polar"}) as (fig, ax):
        top = max(float(np.max(curve.values)) for curve in shown)
        for curve, ratio, (color, marker, dash) in zip(shown, ratios, SERIES, strict=False):
            told = f"max/min {significant(ratio)}" if np.isfinite(ratio) else "none in some directions"
            angles = np.radians(curve.angles_deg)
            look: dict[str, Any] = {"color": color, "linestyle": dash, "marker": marker, "markersize": 4}
            ax.plot(
                angles,
                curve.values,
                **look,
                markevery=max(1, len(angles) // 12),
                label=f"{curve.title} ({told})",
            )
        ax.set_ylim(0, 1.05 * top)
        ax.set_thetagrids(
            [0, 45, 90, 135, 180, 225, 270, 315], ["axis 1", "45°", "axis 2", "135°", "", "225°", "", "315°"]
        )
        ax.set_rlabel_position(22.5)
        ax.tick_params(axis="y", labelsize=7.5)
        ax.spines["polar"].set_color(INK)
        ax.set_xlabel(f"radius: {noun} [{unit}], zero at the centre")
        legend_below(fig, [ax], 1)
        head(fig, title)
        described = (
            f"{noun} of the cell by direction from axis 1 in the layer plane, in {unit}. {note}".strip()
        )
        return Picture(fig, title, described)


def _ratio(curve: Directional) -> float:
    """Return the largest over the smallest value."""
    low, high = float(np.min(curve.values)), float(np.max(curve.values))
    return high / low if low > 1e-9 * high else np.inf
