"""Bead centre-lines of every layer of a printed beam, in the plan."""

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LinearRing, LineString, box

from patterns.cells.raster import raster_lines
from patterns.cells.strokes import Box
from patterns.errors import InputError
from patterns.outlines.areas import Area, polygons
from patterns.outlines.layout import Layout, Role, to_stack
from patterns.outlines.outline import SNAP_MM

Interval = tuple[float, float]
_INSIDE: tuple[Role, ...] = ("face", "core")


@dataclass(frozen=True)
class LayerPaths:
    """Paths of one layer: mm, in plan axes 1 and 2.

    Upright beams: axes 1, 2 are y, z of the section. Flat and on edge: axis 1 is x from the middle of the
    beam.

    Attributes
    ----------
    wall : tuple of LinearRing
        Closed loops, from the outside in.
    squeezed : tuple of (float, float)
        Runs across a flat or on-edge beam where walls found no room for another pair of beads; filled all the
        same.
    squeezed_area : float
        Their plan area, mm^2.
    face, core : tuple of LineString
        Solid raster and pattern lines.
    face_area, core_area : float
        Plan area of each without its overlap, mm^2.
    """

    wall: tuple[LinearRing, ...]
    squeezed: tuple[Interval, ...]
    squeezed_area: float
    face: tuple[LineString, ...]
    core: tuple[LineString, ...]
    face_area: float
    core_area: float


@dataclass(frozen=True)
class Slice:
    """What one layer of a flat or on-edge beam is made of: runs along axis 2 in mm, equal along the beam."""

    whole: tuple[Interval, ...]
    face: tuple[Interval, ...]
    core: tuple[Interval, ...]


def layer_paths(layout: Layout) -> list[tuple[LayerPaths, tuple[int, ...]]]:
    """Return the different layers of the build, each with the numbers of the layers like it, 0 the lowest."""
    return _upright(layout) if layout.printing.orientation == "upright" else _stacked(layout)


def core_lengths(layout: Layout, phases: Sequence[float]) -> np.ndarray:
    """Return the core's deposited centre-line in mm, as in `deposit`, with its lines at each of some phases.

    A printer fixes the lines to its plate, so where they lie in a beam is unknown: at the border of the core a line
    more or less may fit.
    """
    turns, printing = _core_turns(layout), layout.printing
    shifted = [layout.shifted(phase) for phase in phases]
    if printing.orientation == "upright":
        numbers = range(printing.bottom_layers, layout.layers - printing.top_layers)
        counts = Counter(number % turns for number in numbers)
        room = layout.area("core").area
        return np.array(
            [
                sum(
                    n * laid_length(one, _core_lines(one, one.traced_core, turn), room)
                    for turn, n in counts.items()
                )
                for one in shifted
            ]
        )
    alike = Counter((layer.core, number % turns) for number, layer in enumerate(slices(layout)) if layer.core)
    weaves = [_Weave(one) for one in shifted]
    return np.array(
        [
            sum(
                n * laid_length(layout, weave.core(runs, turn), weave.plan_area(runs))
                for (runs, turn), n in alike.items()
            )
            for weave in weaves
        ]
    )


def laid_length(layout: Layout, lines: Sequence[LineString], area: float) -> float:
    """Return the length (mm) of beads laid along the core's lines in a layer of some area (mm^2).

    Lines that never meet would overfill their layer only where they lap into the walls; there the flow is set as in a
    face, whose beads just fill it. Where lines cross plastic is laid twice, and a layer may get more than it has room.
    """
    length = float(sum(line.length for line in lines))
    if layout.infill is None or layout.infill.pattern.crosses:
        return length
    return min(length, area / layout.printing.bead.width)


def slices(layout: Layout) -> list[Slice]:
    """Return the runs of whole section, face and core at mid-height of each layer, bottom first."""
    orientation = layout.printing.orientation
    whole = to_stack(layout.outline, orientation)
    _, low, _, high = whole.bounds
    heights = low + (np.arange(layout.layers) + 0.5) * (high - low) / layout.layers
    areas = (whole, *(to_stack(layout.area(role), orientation) for role in _INSIDE))
    return [Slice(*runs) for runs in zip(*(_runs(area, heights) for area in areas), strict=True)]


def _runs(area: Area, heights: np.ndarray) -> list[tuple[Interval, ...]]:
    """Return the runs of an area along the first coordinate at each height, by crossings with its border.

    They are rounded to 1e-6 mm so that equal layers are found equal.
    """
    points, ring = shapely.get_coordinates(shapely.get_rings(polygons(area)), return_index=True)
    within = ring[1:] == ring[:-1]
    start, end = points[:-1][within], points[1:][within]
    row, edge = np.nonzero((start[:, 1] <= heights[:, None]) != (end[:, 1] <= heights[:, None]))
    share = (heights[row] - start[edge, 1]) / (end[edge, 1] - start[edge, 1])
    crossing = np.round(start[edge, 0] + share * (end[edge, 0] - start[edge, 0]), 6)
    found = []
    for number in range(len(heights)):
        ends = np.sort(crossing[row == number]).reshape(-1, 2).tolist()
        found.append(tuple((a, b) for a, b in ends if b - a > SNAP_MM))
    return found


def raster(area: Area, pitch: float, angle_deg: float) -> np.ndarray:
    """Return parallel lines (LineStrings) ``pitch`` apart through an area, cut at its border."""
    if area.is_empty:
        return np.array([], dtype=object)
    lines = np.array(raster_lines(area.bounds, pitch, angle_deg, phase=0.5), dtype=object)
    return _lines(shapely.intersection(lines, area))


def _lines(geometries: np.ndarray) -> np.ndarray:
    parts = shapely.get_parts(geometries)
    found: np.ndarray = parts[
        (shapely.get_type_id(parts) == shapely.GeometryType.LINESTRING) & (shapely.length(parts) > SNAP_MM)
    ]
    return found


def _core_lines(layout: Layout, area: Area, turn: int) -> list[LineString]:
    """Return the core's lines in one of its layers; none where it is left hollow."""
    return layout.infill.lines(area, turn) if layout.infill else []


def _core_turns(layout: Layout) -> int:
    """Return after how many layers the core's lines repeat."""
    return layout.infill.layers_per_period if layout.infill else 1


def _upright(layout: Layout) -> list[tuple[LayerPaths, tuple[int, ...]]]:
    printing, core = layout.printing, layout.area("core")
    traced = layout.traced_core
    period = _core_turns(layout)
    alike: dict[tuple[str, int], list[int]] = defaultdict(list)
    for number in range(layout.layers):
        cap = number < printing.bottom_layers or number >= layout.layers - printing.top_layers
        turn = number % (len(printing.face_angles_deg) if cap else period)
        alike["cap" if cap else "core", turn].append(number)
    plans = []
    for (kind, turn), numbers in alike.items():
        if kind == "cap":
            face = tuple(raster(core, printing.bead.width, printing.face_angles_deg[turn]))
            plan = LayerPaths(layout.wall_rings, (), 0.0, face, (), core.area, 0.0)
        else:
            lines = tuple(_core_lines(layout, traced, turn))
            plan = LayerPaths(layout.wall_rings, (), 0.0, (), lines, 0.0, core.area)
        plans.append((plan, tuple(numbers)))
    return plans


def _stacked(layout: Layout) -> list[tuple[LayerPaths, tuple[int, ...]]]:
    printing = layout.printing
    if layout.specimen.length <= 2 * printing.walls * printing.bead.width:
        raise InputError(
            f"length {layout.specimen.length:g} mm: {printing.walls} walls of {printing.bead.width:g} mm at "
            "both ends leave nothing between them"
        )
    period, turns = _core_turns(layout), len(printing.face_angles_deg)
    alike: dict[tuple[Slice, int, int], list[int]] = defaultdict(list)
    for number, layer in enumerate(slices(layout)):
        face_turn = number % turns if layer.face else 0
        core_turn = number % period if layer.core else 0
        alike[layer, face_turn, core_turn].append(number)
    weave = _Weave(layout)
    return [
        (
            LayerPaths(
                *_loops(layout, layer.whole),
                weave.face(layer.face, face_turn),
                weave.core(layer.core, core_turn),
                weave.plan_area(layer.face),
                weave.plan_area(layer.core),
            ),
            tuple(numbers),
        )
        for (layer, face_turn, core_turn), numbers in alike.items()
    ]


def _loops(
    layout: Layout, runs: Sequence[Interval]
) -> tuple[tuple[LinearRing, ...], tuple[Interval, ...], float]:
    """Return the wall loops of a flat or on-edge layer, and the runs and the area where loops found no room."""
    width, half = layout.printing.bead.width, layout.specimen.length / 2
    loops, squeezed, area = [], [], 0.0
    for low, high in runs:
        fit = min(layout.printing.walls, int((high - low + SNAP_MM) / (2 * width)))
        for number in range(fit):
            step = (number + 0.5) * width
            loops.append(box(-half + step, low + step, half - step, high - step).exterior)
        left = high - low - 2 * fit * width
        if fit < layout.printing.walls and left > SNAP_MM:
            squeezed.append((low + fit * width, high - fit * width))
            area += left * 2 * (half - fit * width)
    return tuple(loops), tuple(squeezed), area


class _Weave:
    """Lines inside the walls of a flat or on-edge beam, traced once over its plan and cut to each layer."""

    def __init__(self, layout: Layout) -> None:
        self.layout, self.bead = layout, layout.printing.bead
        self.half = layout.specimen.length / 2
        self.inside = self.half - layout.printing.walls * self.bead.width
        self.bounds = to_stack(layout.outline, layout.printing.orientation).bounds
        self.repeats = layout.infill is None or layout.infill.pattern.periodic
        self._whole: dict[tuple[str, int], np.ndarray] = {}

    def plan_area(self, runs: Sequence[Interval]) -> float:
        """Return the plan area between the end walls over some runs across the beam."""
        return sum(high - low for low, high in runs) * 2 * self.inside

    def face(self, runs: Sequence[Interval], turn: int) -> tuple[LineString, ...]:
        return self._cut("face", turn, [(-self.inside, low, self.inside, high) for low, high in runs])

    def core(self, runs: Sequence[Interval], turn: int) -> tuple[LineString, ...]:
        lap = self.layout.core.wall_overlap
        end = min(self.inside + lap, self.half)
        areas = [(-end, low - lap, end, high + lap) for low, high in runs]
        if self.repeats:
            return self._cut("core", turn, areas)
        return tuple(line for area in areas for line in _core_lines(self.layout, box(*area), turn))

    def _cut(self, role: str, turn: int, areas: list[Box]) -> tuple[LineString, ...]:
        if not areas:
            return ()
        if (role, turn) not in self._whole:
            self._whole[role, turn] = self._trace(role, turn)
        return tuple(
            line for area in areas for line in _lines(shapely.clip_by_rect(self._whole[role, turn], *area))
        )

    def _trace(self, role: str, turn: int) -> np.ndarray:
        plan = box(-self.half, self.bounds[0], self.half, self.bounds[2])
        if role == "face":
            return raster(plan, self.bead.width, self.layout.printing.face_angles_deg[turn])
        return np.array(_core_lines(self.layout, plan, turn), dtype=object)
