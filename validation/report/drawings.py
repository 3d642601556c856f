"""Picture of the printed section of a beam, each bead from its real path."""

from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from typing import Any

import numpy as np
import shapely
from shapely import Polygon

from patterns.outlines.layout import Layout
from patterns.paths.section_beads import section_beads
from validation.report.style import INK, ROLE_LOOKS, VERMILION, Picture, figure

PAPER = "#ffffff"
_THIN_MM = 0.003
LOOKS: Mapping[str, dict[str, Any]] = {
    "below": {"facecolor": "#f4eed2", "edgecolor": "#cfc48e", "linewidth": 0.4},
    "core": {"facecolor": ROLE_LOOKS["core"][0], "edgecolor": "#6f6322", "linewidth": 0.4},
    "face": {
        "facecolor": ROLE_LOOKS["face"][0],
        "edgecolor": PAPER,
        "linewidth": 0.4,
        "hatch": "\\\\\\\\\\\\",
        "hatchcolor": "#b9b9b4",
    },
    "wall": {
        "facecolor": ROLE_LOOKS["wall"][0],
        "edgecolor": PAPER,
        "linewidth": 0.4,
        "hatch": "//////",
        "hatchcolor": "#4a6aa3",
    },
    "remnant": {"facecolor": PAPER, "edgecolor": VERMILION, "linewidth": 0.8, "hatch": "xxxxxx"},
}


@contextmanager
def section_picture(layout: Layout, load_angle_deg: float = 0.0) -> Iterator[Picture]:
    """Yield the picture of a printed section.

    An upright beam shows one layer from above, and an alternating core's layer below it in a paler tone; a
    flat or on-edge beam shows the cut at mid-length. ``load_angle_deg`` turns the load's arrow about the
    beam.
    """
    y0, z0, y1, z1 = layout.outline.bounds
    aspect = (z1 - z0 + 0.32 * (y1 - y0)) / (1.32 * (y1 - y0))
    with figure(6.4, min(max(5.6 * aspect + 1.6, 3.0), 9.0)) as (fig, ax):
        below = draw_section(ax, layout, load_angle_deg)
        title = section_title(layout)
        ax.set_title(title)
        legend = {
            "loc": "outside lower center",
            "ncols": 2,
            "handlelength": 2.2,
            "handleheight": 1.3,
            "alignment": "left",
        }
        fig.legend(
            handles=_legend(layout, below),
            title="part, and its share of the section's area, voids included",
            **legend,
        )
        yield Picture(fig, title, _told(layout))


def section_title(layout: Layout) -> str:
    """Return what a section picture shows, in one line."""
    specimen, printing = layout.specimen, layout.printing
    size = f"{specimen.width:.4g} x {specimen.depth:.4g} mm"
    if specimen.shape in ("round", "tube"):
        size = f"{specimen.width:.4g} mm"
    view = "one layer from above" if printing.orientation == "upright" else "cut near mid-length"
    shape = {"rectangle": "bar", "round": "rod", "tube": "tube", "polygon": "profile"}[specimen.shape]
    return f"{size} {shape} printed {printing.orientation.replace('_', ' ')} ({layout.code}), {view}"


def draw_section(ax: Any, layout: Layout, load_angle_deg: float = 0.0) -> bool:
    """Draw the beads of a section on matplotlib axes, y to the right and z up, with load and build marks.

    Returns whether beads of a layer below are shown.
    """
    beads = section_beads(layout)
    for role in ("below", "core", "face", "wall"):
        if shapes := getattr(beads, role):
            ax.add_patch(patch(shapes, **LOOKS[role]))
    remnant = layout.area("remnant")
    if not remnant.is_empty:
        ax.add_patch(patch(shapely.get_parts(remnant), **LOOKS["remnant"]))
    ax.add_patch(patch([layout.outline], facecolor="none", edgecolor=INK, linewidth=1.0))
    y0, z0, y1, z1 = layout.outline.bounds
    size = max(y1 - y0, z1 - z0)
    plan_axes(ax, "y [mm]", "z [mm]")
    _load_mark(ax, layout, load_angle_deg, size)
    _build_mark(ax, layout, size)
    scale_bar(ax, y0, z0 - 0.07 * size, size)
    ax.set_xlim(y0 - 0.16 * size, y1 + 0.16 * size)
    ax.set_ylim(z0 - 0.12 * size, z1 + 0.2 * size)
    return bool(beads.below)


def plan_axes(ax: Any, across: str, up: str) -> None:
    """Set true aspect, round ticks and labels on axes that show a shape."""
    from matplotlib.ticker import MaxNLocator

    ax.set_aspect("equal")
    ax.grid(False)
    for axis in (ax.xaxis, ax.yaxis):
        axis.set_major_locator(MaxNLocator(nbins=8, steps=[1, 2, 5, 10]))
    ax.set_xlabel(across)
    ax.set_ylabel(up)


def patch(shapes: Iterable[Polygon], **look: Any) -> Any:
    """Return one patch of many polygons (mm), their holes left out and their curves thinned out for the page."""
    from matplotlib.patches import PathPatch
    from matplotlib.path import Path

    rings = [
        Path(np.asarray(ring.coords)[:, :2], closed=True)
        for shape in shapes
        for part in [shapely.geometry.polygon.orient(shape.simplify(_THIN_MM))]
        for ring in (part.exterior, *part.interiors)
    ]
    return PathPatch(Path.make_compound_path(*rings), **look)


def load_place(layout: Layout, angle_deg: float) -> tuple[np.ndarray, np.ndarray]:
    """Return where the load meets the outline, (y, z) in mm, and the direction from there outwards."""
    turn = np.deg2rad(angle_deg)
    away = np.array([-np.sin(turn), np.cos(turn)])
    y0, z0, y1, z1 = layout.outline.bounds
    centre = shapely.get_coordinates(layout.outline.centroid)[0]
    ray = shapely.LineString([centre, centre + 3 * max(y1 - y0, z1 - z0) * away])
    met = shapely.get_coordinates(ray.intersection(layout.outline))
    if not len(met):  # between the legs of an open profile: take its outermost place
        corners = shapely.get_coordinates(layout.outline)
        reach = corners @ away
        met = corners[reach > reach.max() - 1e-6].mean(axis=0)[None]
    return met[np.argmax(met @ away)], away


def _load_mark(ax: Any, layout: Layout, angle_deg: float, size: float) -> None:
    """Draw the load's arrow from outside onto the outline, along z turned by the angle about the beam."""
    touch, away = load_place(layout, angle_deg)
    ax.annotate(
        "load",
        xy=touch,
        xytext=touch + 0.15 * size * away,
        ha="center",
        va="center",
        fontsize=9,
        arrowprops={"arrowstyle": "-|>", "linewidth": 1.8, "color": INK, "shrinkA": 7, "shrinkB": 0},
    )


def _build_mark(ax: Any, layout: Layout, size: float) -> None:
    """Mark the build direction beside the section: an arrow in its plane, or a point towards the reader."""
    _, _, y1, z1 = layout.outline.bounds
    at = np.array([y1 + 0.09 * size, z1 - 0.06 * size])
    if layout.printing.orientation == "upright":
        ax.plot(*at, "o", markersize=13, markerfacecolor=PAPER, markeredgecolor=INK, clip_on=False)
        ax.plot(*at, "o", markersize=3.5, color=INK, clip_on=False)
        ax.text(*(at - [0, 0.045 * size]), "build\n(x, to you)", ha="center", va="top", fontsize=8)
        return
    up = np.array([0.0, 1.0]) if layout.printing.orientation == "flat" else np.array([-1.0, 0.0])
    foot = at - 0.06 * size * up
    ax.annotate(
        "", xy=foot + 0.12 * size * up, xytext=foot,
        arrowprops={"arrowstyle": "-|>", "linewidth": 1.2, "color": INK, "shrinkA": 0, "shrinkB": 0},
    )  # fmt: skip
    axis = "z" if layout.printing.orientation == "flat" else "-y"
    ax.text(*(foot - [0, 0.03 * size]), f"build\n({axis})", ha="center", va="top", fontsize=8)


def scale_bar(ax: Any, left: float, low: float, size: float) -> None:
    """Draw a bar of 1, 2 or 5 times a power of ten mm, about a fifth of the picture."""
    wanted = size / 5
    power = 10.0 ** np.floor(np.log10(wanted))
    length = power * max(step for step in (1, 2, 5) if step * power <= wanted * 1.0001)
    ax.plot([left, left + length], [low, low], color=INK, linewidth=3, solid_capstyle="butt")
    ax.text(left + length + 0.015 * size, low, f"{length:g} mm", va="center", fontsize=8)


def _legend(layout: Layout, below: bool) -> list[Any]:
    """Return one handle per role with its make and its share of the section's area."""
    from matplotlib.patches import Patch

    printing, core = layout.printing, layout.core
    loops = "around" if printing.orientation == "upright" else "each side"
    makes = {
        "wall": f"walls, {printing.walls} {'bead' if printing.walls == 1 else 'beads'} {loops}",
        "face": f"faces, {printing.bottom_layers} layers below and {printing.top_layers} above",
        "core": f"core, {core.pattern} at set fill {core.set_fill:.3g}"
        if core.set_fill
        else "core, left hollow",
        "remnant": "gap too narrow for a bead",
    }
    handles = []
    for zone in layout.zones:
        look = {key: value for key, value in LOOKS[zone.role].items() if key != "linewidth"}
        share = zone.area.area / layout.outline.area
        handles.append(Patch(**look, label=f"{makes[zone.role]}: {100 * share:.1f} %"))
    if below:
        handles.append(Patch(**LOOKS["below"], label="core beads of the layer below"))
    return handles


def _told(layout: Layout) -> str:
    shares = ", ".join(f"{zone.role} {zone.area.area / layout.outline.area:.0%}" for zone in layout.zones)
    bead = layout.printing.bead
    return (
        f"{section_title(layout)}. Beads {bead.width:g} mm wide and {bead.height:g} mm high, drawn from their paths; "
        f"shares of the section: {shares}. y to the right, the load along z."
    )
