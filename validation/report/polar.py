"""Stiffness of pattern cells against direction in the layer plane."""

from collections.abc import Mapping

import numpy as np

from fem.material.direction import Directional
from validation.report.style import INK, INVENTED, SERIES, Picture, figure, head, legend_below
from validation.text.numbers import significant

_NOUNS = {"E": "Young's modulus E", "G": "shear modulus G"}
_TICKS = {0: "", 45: "45°", 90: "", 135: "135°", 180: "", 225: "225°", 270: "", 315: "315°"}


def polar(
    cells: Mapping[str, Directional],
    quantity: str = "E",
    note: str = "",
    axes: tuple[str, str] = ("axis 1", "axis 2"),
    invented: bool = False,
) -> Picture:
    """Return E or G of up to six cells by direction, from zero at the centre, with the layer's axes marked.

    Parameters
    ----------
    cells : mapping
        Name, as in "square, geometric fill 0.3", to constants over half a turn or more; nan, without load path, is
        drawn as zero.
    quantity : {"E", "G"}
        Which.
    note : str
        What the cells have in common, for the description.
    axes : tuple of str
        What the layer's axes 1 and 2 are called; of a beam its own axes.
    invented : bool
        Says so in the title.
    """
    shown = dict(list(cells.items())[: len(SERIES)])
    values = {name: np.nan_to_num(getattr(cell, quantity)) for name, cell in shown.items()}
    ratios = {name: _ratio(value) for name, value in values.items()}
    noun = _NOUNS[quantity]
    title = f"Estimated {noun} in the layer plane, {next(iter(shown))}"
    if len(shown) > 1:
        title = f"Estimated {noun} in the layer plane: most even {min(ratios, key=lambda name: ratios[name])}"
    title += INVENTED if invented else ""
    with figure(5.6, 5.9, subplot_kw={"projection": "polar"}) as (fig, ax):
        for (name, cell), (color, marker, dash) in zip(shown.items(), SERIES, strict=False):
            angle, radius = _full_turn(cell.angle_deg, values[name])
            ratio = ratios[name]
            told = (
                f"max/min {significant(ratio)}" if np.isfinite(ratio) else "no load path in some directions"
            )
            ax.plot(
                np.radians(angle),
                radius,
                color=color,
                linestyle=dash,
                marker=marker,
                markersize=4,
                markevery=max(1, len(angle) // 12),
                label=f"{name} ({told})",
            )
        ax.set_ylim(0, 1.05 * max(float(value.max()) for value in values.values()))
        ticks = {**_TICKS, 0: axes[0], 90: axes[1]}
        ax.set_thetagrids(list(ticks), list(ticks.values()))
        ax.tick_params(axis="x", pad=6)
        ax.get_xticklabels()[0].set_horizontalalignment("left")
        ax.set_rlabel_position(22.5)
        ax.tick_params(axis="y", labelsize=7.5)
        ax.spines["polar"].set_color(INK)
        ax.set_xlabel(f"radius: {noun} [MPa], zero at the centre")
        legend_below(fig, [ax], 1)
        head(fig, title)
        described = f"Estimated {noun} by direction from {axes[0]} in the layer plane, in MPa. {note}".strip()
        return Picture(fig, title, described)


def _full_turn(angle_deg: np.ndarray, values: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return angles and values over a closed full turn; half a turn is repeated, as the plan looks from behind."""
    if angle_deg.max() - angle_deg.min() < 270:
        angle_deg = np.concatenate([angle_deg, angle_deg + 180])
        values = np.concatenate([values, values])
    return np.append(angle_deg, angle_deg[0] + 360), np.append(values, values[0])


def _ratio(values: np.ndarray) -> float:
    """Return the largest over the smallest value, infinite where there is a direction without load path."""
    return float(values.max() / values.min()) if values.min() > 1e-9 * values.max() else np.inf
