"""Sections as the page draws them: cuts of the traced beads as runs and lines, what settings share kept once.

Measured on 30 flat sections of 12 x 8 mm: outlines of every bead as SVG take 38 kB a section (9 kB packed) and 50 ms;
the runs of layers alike take 1 kB and 15 ms, so that 500 settings stay below the page's 3 MB. The page only repeats the
runs on their levels; it knows no pattern.
"""

from collections.abc import Iterable
from typing import Any

import numpy as np
import shapely
from shapely import LineString

from fem.estimation import Estimate
from patterns.outlines.layout import Layout
from patterns.paths.section_beads import cut_layers, seen_layer
from validation.report.drawings import load_place

# hundredths of a millimetre: finer than a screen shows of a beam
_DECIMALS = 2
_STRAIGHT_MM = 0.01
Flat = list[float]


class SectionParts:
    """Outlines and parts that settings share."""

    def __init__(self) -> None:
        self.outlines: list[list[Flat]] = []
        self.parts: list[list[Any]] = []

    def section(self, found: Estimate) -> dict[str, Any]:
        """Return what the page draws a section from: places in `outlines` and `parts`, and sizes in mm."""
        layout = found.layout
        bead, orientation = layout.printing.bead, layout.printing.orientation
        touch, away = load_place(layout, found.setting.test.load_angle_deg)
        upright = orientation == "upright"
        drawn = _lines(layout) if upright else _runs(layout)
        return {
            "outline": _place(self.outlines, _rings([layout.outline])),
            "gaps": _rings(shapely.get_parts(layout.area("remnant"))),
            "view": orientation,
            "width": round(bead.width, 4),
            "height": round(bead.height, 4),
            # how far a round end reaches beyond the width that the flow fills
            "reach": round((bead.full_width - bead.width) / 2, 4),
            "parts": {role: _place(self.parts, part) for role, part in drawn.items() if part},
            "touch": [round(float(value), 3) for value in (*touch, *away)],
        }


def _runs(layout: Layout) -> dict[str, list[Any]]:
    """Return by role [runs end to end, levels] of layers alike."""
    found: dict[str, list[Any]] = {"core": [], "face": [], "wall": []}
    for alike in cut_layers(layout):
        for role, runs in alike.runs.items():
            if runs:
                found[role].append([_flat(runs), [round(level, 4) for level in alike.levels]])
    return found


def _lines(layout: Layout) -> dict[str, list[Any]]:
    """Return by role the lines of a layer, points end to end."""
    seen = seen_layer(layout)
    return {"below": _flats(seen.below), "core": _flats(seen.core), "wall": _flats(seen.wall)}


def _flats(lines: Iterable[LineString]) -> list[Flat]:
    return [_flat(shapely.simplify(LineString(line), _STRAIGHT_MM).coords) for line in lines]


def _rings(shapes: Iterable[shapely.Polygon]) -> list[Flat]:
    return [
        _flat(np.asarray(ring.coords)[:-1, :2])
        for shape in shapes
        for ring in (shape.exterior, *shape.interiors)
    ]


def _flat(values: Any) -> Flat:
    return [float(value) + 0.0 for value in np.round(np.asarray(values, dtype=float).ravel(), _DECIMALS)]


def _place(kept: list[Any], item: Any) -> int:
    if item not in kept:
        kept.append(item)
    return kept.index(item)
