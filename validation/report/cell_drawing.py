"""Picture of a pattern in the plan: beads of true width, the period, and where layers touch."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import numpy as np
import shapely
from shapely import LineString, Polygon, box

from patterns.bead import Bead
from patterns.cells.strokes import rotation
from patterns.errors import InputError
from patterns.infill import Infill, infill_of
from patterns.outlines.areas import Area, polygons
from patterns.paths.covered import covered
from patterns.setting import Core
from validation.report.drawings import LOOKS, PAPER, patch, plan_axes, scale_bar
from validation.report.style import INK, VERMILION, Picture, figure

# Four heights of a varying pattern, from low to high: steps of cividis from light to dark.
_HEIGHTS = ("#f3e9b8", "#d6c35d", "#7b7b78", "#083370")
_CONTACT = {key: value for key, value in LOOKS["wall"].items() if key != "linewidth"}


def cell_svg(core: Core, bead: Bead, name: str) -> str:
    """Return the picture of a pattern as an inline ``<svg>`` element with ids that start with ``name``."""
    with cell_picture(core, bead) as picture:
        return picture.svg(name)


@contextmanager
def cell_picture(core: Core, bead: Bead) -> Iterator[Picture]:
    """Yield the picture of a pattern, a few periods in the plan.

    Raises
    ------
    InputError
        If the pattern has no period (its lines follow the outline), or the fill is out of reach.
    """
    infill = infill_of(core, bead)
    if not infill.pattern.periodic:
        raise InputError(
            f"{core.pattern} follows the outline and has no cell: draw it with `fillbend draw section`"
        )
    title = f"{core.pattern.capitalize()} pattern at set fill {core.set_fill:.3g}, in the plan"
    with figure(6.0, 7.2) as (fig, ax):
        draw_cell(ax, infill)
        ax.set_title(title)
        notes = _notes(infill)
        legend = {"loc": "outside lower center", "ncols": 2, "alignment": "left"}
        fig.legend(handles=_legend(infill), title="\n".join(notes), **legend)
        yield Picture(fig, title, " ".join([title + ".", *notes]))


def draw_cell(ax: Any, infill: Infill) -> None:
    """Draw a pattern's beads over a few periods on matplotlib axes, axis 1 to the right and axis 2 up, in mm."""
    vectors = period_vectors(infill)
    view = _view(vectors, infill.pitch)
    half = view.bounds[2]
    for shapes, look in _layers(infill, view):
        ax.add_patch(patch(shapes, **look))
    if infill.pattern.alike:
        for line in infill.lines(view):
            ax.plot(*np.array(line.coords).T, color=INK, linewidth=0.7, dashes=(6, 3, 1, 3))
    if vectors is not None:
        corners = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1], [-1, -1]]) / 2 @ vectors
        ax.plot(*corners.T, color=VERMILION, linewidth=1.8, linestyle="--")
    plan_axes(ax, "axis 1 [mm]", "axis 2 [mm]")
    scale_bar(ax, -half, -1.07 * half, 2 * half)
    ax.set_xlim(-1.03 * half, 1.03 * half)
    ax.set_ylim(-1.13 * half, 1.03 * half)


def period_vectors(infill: Infill) -> np.ndarray | None:
    """Return the two period vectors in the plan, rows (mm), or None where the layers share none."""
    if not infill.pattern.takes_angles:
        return infill.cell().lattice
    angles = np.unique(np.mod(infill.angles_deg, 180))
    if len(angles) != 2:
        return None
    along = np.array([rotation(angle)[:, 0] for angle in angles])
    found: np.ndarray = infill.pitch / np.sin(np.deg2rad(angles[1] - angles[0])) * along
    return found


def _view(vectors: np.ndarray | None, pitch: float) -> Polygon:
    """Return a square about the origin that holds the period and a good part of its neighbours."""
    reach = 0.0 if vectors is None else np.abs(np.abs(vectors).sum(axis=0)).max()
    half = max(2.2 * pitch, 0.75 * reach)
    return box(-half, -half, half, half)


def _layers(infill: Infill, view: Polygon) -> list[tuple[list[Polygon], dict[str, Any]]]:
    """Return what is drawn, from below to above: polygons and their look."""
    bead = infill.bead
    beyond = view.buffer(bead.width, join_style="mitre")  # so that no bead ends in view
    if infill.pattern.alike:
        area = covered(infill.lines(beyond), bead.width, infill.corner_radius)
        return [(polygons(area.intersection(view)), dict(LOOKS["core"]))]
    if not infill.pattern.takes_angles:
        look = {"edgecolor": PAPER, "linewidth": 0.4}
        return [
            (_beads(infill.lines(beyond, layer), bead.width, view), {**look, "facecolor": tone})
            for layer, tone in zip(_layers_shown(infill), _HEIGHTS, strict=True)
        ]
    lower, upper = (infill.lines(beyond, layer) for layer in (0, 1))
    flats = [shapely.union_all(_beads(lines, bead.flat_width, view)) for lines in (lower, upper)]
    return [
        (_beads(lower, bead.width, view), dict(LOOKS["below"])),
        (_beads(upper, bead.width, view), dict(LOOKS["core"])),
        (polygons(flats[0].intersection(flats[1])), dict(LOOKS["wall"])),
    ]


def _layers_shown(infill: Infill) -> list[int]:
    """Return the layers of a varying pattern that stand for the lower half of its period."""
    return [round(part * infill.layers_per_period / 8) for part in range(len(_HEIGHTS))]


def _beads(lines: list[LineString], width: float, view: Area) -> list[Polygon]:
    strips = shapely.buffer(np.array(lines, dtype=object), width / 2)
    return [part for strip in shapely.intersection(strips, view) for part in polygons(strip)]


def _notes(infill: Infill) -> list[str]:
    pattern = infill.pattern
    pitch = f"Beads {infill.bead.width:g} mm wide. Pitch {infill.pitch:.4g} mm: {pattern.pitch_means}."
    if not pattern.alike:
        return [pitch]
    covered_share = f"They cover {100 * infill.geometric_fill:.1f} % of the plan"
    return [pitch, f"{covered_share}; inside corners are rounded to {infill.corner_radius:.3g} mm."]


def _legend(infill: Infill) -> list[Any]:
    from matplotlib.lines import Line2D
    from matplotlib.patches import Patch

    if infill.pattern.alike:
        handles: list[Any] = [
            Patch(**LOOKS["core"], label="bead, alike in every layer"),
            Line2D([], [], color=INK, linewidth=0.7, dashes=(6, 3, 1, 3), label="centre-line"),
        ]
    elif not infill.pattern.takes_angles:
        heights = [(layer + 0.5) * infill.bead.height for layer in _layers_shown(infill)]
        handles = [
            Patch(facecolor=tone, edgecolor=INK, label=f"layer at a height of {height:.2g} mm")
            for tone, height in zip(_HEIGHTS, heights, strict=True)
        ]
    else:
        angles = infill.angles_deg
        handles = [
            Patch(**LOOKS["below"], label=f"one layer, lines at {angles[0]:g} deg"),
            Patch(**LOOKS["core"], label=f"next layer, lines at {angles[1 % len(angles)]:g} deg"),
            Patch(**_CONTACT, label="contact of their flats"),
        ]
    if period_vectors(infill) is not None:
        handles.append(Line2D([], [], color=VERMILION, linewidth=1.8, linestyle="--", label="one period"))
    return handles
