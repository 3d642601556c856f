"""Geometric pictures: the cell of a pattern and the printed section of a beam, every bead from its real path."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from patterns.bead import Bead
from patterns.catalogue import find
from patterns.fill import default_corner_radius, fill_for
from patterns.layout import Layout
from patterns.setting import Core
from patterns.trace import covered, layers_per_period, trace
from validation.report.cut import CutBeads, cut_beads
from validation.report.style import INK, VERMILION, figure, to_svg

# Three steps of cividis, far apart in lightness: they hold in grey and for all kinds of colour vision.
WALL, FACE, CORE = "#083370", "#7b7b78", "#d6c35d"
PAPER = "#ffffff"
UNDER = "#efe6bd"
"""The core's tone, thinned, for beads of the layer below."""

_LOOKS: dict[str, dict[str, Any]] = {
    "core": {"facecolor": CORE, "hatch": "....", "hatchcolor": "#a8962f", "edgecolor": "#6b5f1c"},
    "face": {"facecolor": FACE, "hatch": "\\\\\\\\\\", "hatchcolor": "#c9c9c6", "edgecolor": PAPER},
    "wall": {"facecolor": WALL, "hatch": None, "edgecolor": PAPER},
    "remnant": {"facecolor": PAPER, "hatch": "xxxx", "hatchcolor": VERMILION, "edgecolor": VERMILION},
}


@dataclass(frozen=True)
class Picture:
    """A drawn figure with the words for those who do not see it."""

    fig: Any
    title: str
    description: str


@contextmanager
def section_picture(layout: Layout, load_angle_deg: float = 0.0) -> Iterator[Picture]:
    """Yield the picture of a printed section, seen along the beam towards its root.

    Upright beams show one layer, with an alternating core's layer below in a paler tone; flat and on-edge beams show
    the cut at mid-length. ``load_angle_deg`` turns the load's arrow about the beam.
    """
    beads = cut_beads(layout)
    y0, z0, y1, z1 = layout.outline.bounds
    with figure(6.4, _height(y1 - y0, z1 - z0)) as (fig, ax):
        title = draw_section(ax, layout, beads, load_angle_deg)
        ax.set_title(title, pad=12)
        fig.legend(handles=_legend(layout, beads), loc="outside lower left", ncols=2, fontsize=8)
        yield Picture(fig, title, _told(layout))
