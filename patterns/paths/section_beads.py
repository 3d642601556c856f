"""Outlines of the beads that a cut across a printed beam shows, for pictures."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString, Polygon, box

from patterns.bead import Bead
from patterns.outlines.areas import polygons
from patterns.outlines.layout import Layout, from_stack, to_stack
from patterns.paths.layer_paths import LayerPaths, layer_paths

_END_CORNERS = 5
"""Points on each round end of a bead's section: a picture of many beads stays small."""


@dataclass(frozen=True)
class SectionBeads:
    """Bead outlines in (y, z), mm.

    Attributes
    ----------
    wall, face, core : tuple of Polygon
        Beads in the cut. Of an upright beam: the beads of one layer.
    below : tuple of Polygon
        Core beads of the layer below, where it differs; upright beams only.
    """

    wall: tuple[Polygon, ...]
    face: tuple[Polygon, ...]
    core: tuple[Polygon, ...]
    below: tuple[Polygon, ...] = ()


def section_beads(layout: Layout) -> SectionBeads:
    """Return the beads in a cut across the beam, near its middle.

    An upright beam is cut between two layers, so that one of its layers is seen from above. A flat or on-edge
    beam is cut through all its layers: every bead shows its section, stretched where the cut is oblique to
    it. The cut stands a quarter of the line spacing off the middle, where mirrored families of lines
    coincide.
    """
    plans = layer_paths(layout)
    if layout.printing.orientation == "upright":
        return _seen_from_above(layout, plans)
    return _cut_through(layout, plans)


def _seen_from_above(layout: Layout, plans: list[tuple[LayerPaths, tuple[int, ...]]]) -> SectionBeads:
    width = layout.printing.bead.width
    of_layer = {number: plan for plan, numbers in plans for number in numbers}
    top = layout.layers // 2
    plan, below = of_layer[top], of_layer[max(top - 1, 0)]
    under = below.core if below.core is not plan.core else ()
    core, under = (_strips(lines, width, "round") for lines in (plan.core, under))
    return SectionBeads(_strips(plan.wall, width), (), core, under)


def _strips(lines: Iterable[LineString], width: float, ends: str = "flat") -> tuple[Polygon, ...]:
    strips = shapely.buffer(
        np.array(list(lines), dtype=object), width / 2, cap_style=ends, join_style="mitre"
    )
    return tuple(part for strip in strips for part in polygons(strip))


def _cut_through(layout: Layout, plans: list[tuple[LayerPaths, tuple[int, ...]]]) -> SectionBeads:
    orientation, bead = layout.printing.orientation, layout.printing.bead
    left, low, right, high = to_stack(layout.outline, orientation).bounds
    place = min(bead.width / max(layout.core.set_fill, 0.01), layout.specimen.length) / 4
    cut = LineString([(place, left - 1), (place, right + 1)])
    found: dict[str, list[Polygon]] = {"wall": [], "face": [], "core": []}
    for plan, numbers in plans:
        levels = [low + number * (high - low) / layout.layers for number in numbers]
        for role, lines in (("wall", plan.wall), ("face", plan.face), ("core", plan.core)):
            near = [line for line in lines if abs(place - np.clip(place, *line.bounds[::2])) <= bead.width]
            strips = shapely.intersection(np.array(_strips(near, bead.width), dtype=object), cut)
            runs = [part.bounds[1::2] for part in shapely.get_parts(strips)]
            if role == "wall":
                runs += plan.squeezed
            # Shorter than their height they are slivers cut from a bead's end.
            runs = [run for run in runs if run[1] - run[0] > bead.height]
            found[role] += [bead_section(run, level, bead) for level in levels for run in runs]
    turned = {
        role: tuple(part for shape in shapes for part in polygons(from_stack(shape, orientation)))
        for role, shapes in found.items()
    }
    return SectionBeads(turned["wall"], turned["face"], turned["core"])


def bead_section(run: tuple[float, float], level: float, bead: Bead) -> Polygon:
    """Return a cut bead that covers ``run`` by its flow-equivalent width and lies on ``level`` (mm).

    Round ends reach beyond the run by as much as their corners miss, so that the area is kept.
    """
    start, end = run
    if bead.section == "square":
        return box(start, level, end, level + bead.height)
    radius = bead.height / 2
    reach = (bead.full_width - bead.width) / 2
    angle = np.linspace(-np.pi / 2, np.pi / 2, _END_CORNERS)
    round_end = radius * np.column_stack([np.cos(angle), np.sin(angle)])
    right = round_end + [end + reach - radius, level + radius]
    left = -round_end + [start - reach + radius, level + radius]
    return Polygon(np.vstack([right, left]))
