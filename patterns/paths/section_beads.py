"""Outlines of the beads that a cut across a printed beam shows, for pictures."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import LineString, Polygon, box

from patterns.bead import Bead
from patterns.outlines.areas import polygons
from patterns.outlines.layout import Layout, Role, from_stack, to_stack
from patterns.paths.layer_paths import Interval, layer_paths

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


@dataclass(frozen=True)
class CutLayers:
    """Layers that look alike in a cut across a flat or on-edge beam.

    Attributes
    ----------
    runs : mapping of Role to tuple of (float, float)
        What each bead of walls, faces and core covers across, mm along axis 2, by its flow-equivalent width.
    levels : tuple of float
        Lower sides of the layers, mm along axis 3.
    """

    runs: Mapping[Role, tuple[Interval, ...]]
    levels: tuple[float, ...]


@dataclass(frozen=True)
class SeenLayer:
    """Centre-lines of one layer of an upright beam in (y, z), mm, and of the core of the layer below it."""

    wall: tuple[LineString, ...]
    core: tuple[LineString, ...]
    below: tuple[LineString, ...]


def section_beads(layout: Layout) -> SectionBeads:
    """Return the beads in a cut across the beam, near its middle.

    An upright beam is cut between two layers, so that one of its layers is seen from above. A flat or on-edge
    beam is cut through all its layers: every bead shows its section, stretched where the cut is oblique to
    it. The cut stands a quarter of the line spacing off the middle, where mirrored families of lines
    coincide.
    """
    if layout.printing.orientation == "upright":
        seen, width = seen_layer(layout), layout.printing.bead.width
        core, below = (_strips(lines, width, "round") for lines in (seen.core, seen.below))
        return SectionBeads(_strips(seen.wall, width), (), core, below)
    orientation, bead = layout.printing.orientation, layout.printing.bead
    found: dict[Role, list[Polygon]] = {"wall": [], "face": [], "core": []}
    for alike in cut_layers(layout):
        for role, runs in alike.runs.items():
            found[role] += [bead_section(run, level, bead) for level in alike.levels for run in runs]
    turned = {
        role: tuple(part for shape in shapes for part in polygons(from_stack(shape, orientation)))
        for role, shapes in found.items()
    }
    return SectionBeads(turned["wall"], turned["face"], turned["core"])


def seen_layer(layout: Layout) -> SeenLayer:
    """Return the lines of the middle layer of an upright beam, seen from above."""
    of_layer = {number: plan for plan, numbers in layer_paths(layout) for number in numbers}
    top = layout.layers // 2
    plan, below = of_layer[top], of_layer[max(top - 1, 0)]
    return SeenLayer(plan.wall, plan.core, below.core if below.core is not plan.core else ())


def cut_layers(layout: Layout) -> list[CutLayers]:
    """Return what the cut across a flat or on-edge beam meets, layers alike together; see `section_beads`."""
    orientation, bead = layout.printing.orientation, layout.printing.bead
    left, low, right, high = to_stack(layout.outline, orientation).bounds
    spacing = bead.width / max(layout.core.set_fill, 0.01)
    place = min(spacing, layout.specimen.length) / 4
    cut = LineString([(place, left - 1), (place, right + 1)])
    found = []
    for plan, numbers in layer_paths(_near_the_cut(layout, spacing)):
        runs: dict[Role, tuple[Interval, ...]] = {}
        traced: dict[Role, Sequence[LineString]] = {"wall": plan.wall, "face": plan.face, "core": plan.core}
        for role, lines in traced.items():
            near = [line for line in lines if abs(place - np.clip(place, *line.bounds[::2])) <= bead.width]
            strips = shapely.intersection(np.array(_strips(near, bead.width), dtype=object), cut)
            met = [part.bounds[1::2] for part in shapely.get_parts(strips)]
            if role == "wall":
                met += plan.squeezed
            # Shorter than their height they are slivers cut from a bead's end.
            runs[role] = tuple((a, b) for a, b in met if b - a > bead.height)
        levels = tuple(low + number * (high - low) / layout.layers for number in numbers)
        found.append(CutLayers(runs, levels))
    return found


def _near_the_cut(layout: Layout, spacing: float) -> Layout:
    """Return a beam so short that its lines are soon traced and its ends yet lie well off the cut.

    Lines that follow the outline come from the beam's ends too: such a beam keeps its length.
    """
    if layout.infill and not layout.infill.pattern.periodic:
        return layout
    enough = 4 * spacing + 2 * (layout.printing.walls + 4) * layout.printing.bead.width
    length = min(layout.specimen.length, enough)
    return replace(layout, specimen=replace(layout.specimen, length=length))


def _strips(lines: Iterable[LineString], width: float, ends: str = "flat") -> tuple[Polygon, ...]:
    strips = shapely.buffer(
        np.array(list(lines), dtype=object), width / 2, cap_style=ends, join_style="mitre"
    )
    return tuple(part for strip in strips for part in polygons(strip))


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
