"""Picture of a cell's first-failure surface in the planes of tension and shear of the layer."""

import numpy as np

from fem.prismatic.failure_surface import Strengths
from validation.design.first_failure import FirstFailure
from validation.report.style import SERIES, Picture, figure, head, legend_below
from validation.text.numbers import significant


def failure_picture(pattern: str, found: FirstFailure, strengths: Strengths) -> Picture:
    """Return the mean stresses at which the first point of the beads fails: shear 12 against either tension."""
    title = f"First failure of a {pattern} cell: mean tension with shear in the layer"
    with figure(6.2, 4.8) as (fig, ax):
        for (name, points), (color, marker, dash) in zip(found.curves.items(), SERIES, strict=False):
            shown = points[np.isfinite(points).all(axis=1)]
            ax.plot(
                *shown.T, color=color, linestyle=dash, marker=marker, markersize=4, markevery=4, label=name
            )
        ax.set_xlabel("mean tension [MPa]")
        ax.set_ylabel("mean shear 12 [MPa]")
        ax.axhline(0, color="#888888", linewidth=0.8)
        ax.axvline(0, color="#888888", linewidth=0.8)
        ax.margins(0.08)
        legend_below(fig, [ax], 2)
        head(fig, title)
        told = ", ".join(f"{name} {significant(found.tension[name])} MPa" for name in found.tension)
        return Picture(
            fig,
            title,
            f"Elastic, for strengths of {strengths.along:g} MPa along the bead, {strengths.across:g} across it and "
            f"{strengths.shear:g} in shear; compression is not judged. Tension alone: {told}.",
        )
