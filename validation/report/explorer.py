"""Data of the page's explorer: computed settings with their numbers, and what their sections are drawn from."""

import json
from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely

from fem.estimate import Estimate
from patterns.bead import Bead
from patterns.infill import Infill
from validation.report.content import band
from validation.report.grouping import axis_label, value_text
from validation.results.beside import Results
from validation.text.mode_words import mode_words
from validation.text.quantities import NAMES

QUANTITIES = ("stiffness", "breaking_force", "mass", "print_time")
_DECIMALS = 4


def explorer_data(results: Results) -> dict[str, Any]:
    """Return controls, quantities, settings, patterns and outlines as plain data for JSON.

    A control is a varied key with its values in rising order; a setting names the place of its value on each
    control, so only computed settings can be chosen.
    """
    keys = list(results.rows[0].named.keys)
    controls = [_control(key, [row.named.keys[key] for row in results.rows]) for key in keys]
    controls = [control for control in controls if len(control["texts"]) > 1]
    shapes = _Shapes()
    settings = []
    for row in results.rows:
        at = [control["texts"].index(value_text(row.named.keys[control["key"]])) for control in controls]
        found = row.estimate
        bands = {name: band(getattr(found, name)) for name in QUANTITIES}
        settings.append(
            {
                "at": at,
                "label": row.named.label,
                "texts": {name: [cell.text, cell.range] for name, cell in bands.items()},
                "bands": {name: _ends(getattr(found, name)) for name in QUANTITIES},
                "facts": _facts(found),
                "section": shapes.section(found),
            }
        )
    return {
        "controls": controls,
        "quantities": [
            {"name": name, "label": NAMES[name][0], "unit": NAMES[name][1]} for name in QUANTITIES
        ],
        "settings": settings,
        "patterns": shapes.patterns,
        "outlines": shapes.outlines,
    }


def to_script(data: dict[str, Any]) -> str:
    """Return JSON that is safe inside a script element: no sign that could end it."""
    text = json.dumps(data, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    for sign in "<>&\u2028\u2029":
        text = text.replace(sign, f"\\u{ord(sign):04x}")
    return text


def _control(key: str, values: Sequence[Any]) -> dict[str, Any]:
    """Return a slider for numbers, a choice for words."""
    unique = list({value_text(value): value for value in values}.values())
    numbers = all(isinstance(value, (int, float)) and not isinstance(value, bool) for value in unique)
    if numbers:
        unique.sort()
    label = "pattern" if key == "core.pattern" else axis_label(key)
    return {"key": key, "label": label, "slider": numbers, "texts": [value_text(value) for value in unique]}


def _ends(value: Any) -> list[float] | None:
    return [float(f"{end:.6g}") for end in (value.low, value.best, value.high)] if value else None


def _facts(found: Estimate) -> list[list[str]]:
    """Return further lines of name and value."""
    core = "no core" if found.core is None else found.setting.core.pattern
    orientation = found.setting.printing.orientation.replace("_", " ")
    return [
        ["governing mode", mode_words(found.mode)],
        ["core", core],
        ["set fill", f"{found.set_fill:.3g}"],
        ["geometric fill", f"{found.geometric_fill:.3g}"],
        ["orientation", f"{orientation} ({found.layout.code})"],
        ["core's share of EI", f"{100 * found.shares['EI'].get('core', 0.0):.0f} %"],
    ]


class _Shapes:
    """Outlines and patterns that settings share, each kept once."""

    def __init__(self) -> None:
        self.outlines: list[list[list[list[float]]]] = []
        self.patterns: list[dict[str, Any]] = []

    def section(self, found: Estimate) -> dict[str, Any]:
        """Return the parameters from which the page draws a section; mm and degrees."""
        layout, printing = found.layout, found.layout.printing
        rings = [layout.outline.exterior, *layout.outline.interiors]
        section: dict[str, Any] = {
            "outline": _place(self.outlines, [_points(np.asarray(ring.coords)[:-1, :2]) for ring in rings]),
            "orientation": printing.orientation,
            "width": _short(printing.bead.width),
            "fullWidth": _short(printing.bead.full_width),
            "height": _short(printing.bead.height),
            "walls": printing.walls,
            "bottom": printing.bottom_layers,
            "top": printing.top_layers,
            "layers": layout.layers,
            "faceAngles": [_short(angle) for angle in printing.face_angles_deg],
            "loadAngle": _short(found.setting.test.load_angle_deg),
            "pattern": None,
        }
        infill = layout.infill
        if infill is None:
            return section
        return section | {
            "pattern": _place(self.patterns, pattern_period(infill)),
            "pitch": _short(infill.pitch),
            "angles": [_short(angle) for angle in infill.angles_deg],
            "phase": _short(infill.phase),
            "overlap": _short(layout.core.wall_overlap),
            # Off the middle, where mirrored families of lines coincide.
            "cut": _short(min(printing.bead.width / infill.set_fill, layout.specimen.length) / 4),
        }


def pattern_period(infill: Infill) -> dict[str, Any]:
    """Return how a pattern's lines repeat, at pitch 1, angle 0 and phase 0.

    Patterns alike in every layer give one period: two lattice vectors and the pieces of line between them. The others
    follow a rule that the page knows: ``layers`` (parallel lines, layer by layer), ``gyroid`` and ``rings``.
    """
    pattern, options = infill.pattern, dict(infill.options)
    if not pattern.periodic:
        return {"slug": pattern.slug, "rule": "rings"}
    if not pattern.alike:
        return {"slug": pattern.slug, "rule": "layers" if pattern.takes_angles else "gyroid"}
    # A thin bead on a pitch of 1: only the lattice is wanted of the cell.
    lattice = pattern.cell(Bead(1e-3, 1e-4), 1.0, 0.0, 0.0, None, **options).lattice
    if np.linalg.norm(lattice[0]) < 0.01:
        lattice = np.eye(2)  # the cell is a mere slice of a straight line
    corners = np.array([[0.0, 0.0], lattice[0], lattice.sum(axis=0), lattice[1]])
    period = shapely.Polygon(corners - 1e-7 * lattice.sum(axis=0))
    left, low, right, high = np.concatenate([corners.min(axis=0), corners.max(axis=0)]).tolist()
    lines = pattern.lines((left, low, right, high), 1.0, **options)
    pieces = shapely.get_parts(shapely.intersection(np.array(lines, dtype=object), period))
    pieces = shapely.simplify([piece for piece in pieces if piece.length > 1e-6], 1e-3)
    strokes = [_points(np.asarray(piece.coords)) for piece in pieces if piece.geom_type == "LineString"]
    return {"slug": pattern.slug, "rule": "period", "lattice": _points(lattice), "strokes": strokes}


def _points(points: np.ndarray) -> list[list[float]]:
    return [[_short(x), _short(y)] for x, y in points.tolist()]


def _short(value: float) -> float:
    return round(float(value), _DECIMALS) + 0.0


def _place(kept: list[Any], item: Any) -> int:
    if item not in kept:
        kept.append(item)
    return kept.index(item)
