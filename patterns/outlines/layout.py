"""Where walls, faces and core lie in the section of a printed beam."""

import math
from dataclasses import dataclass, replace
from typing import Literal

import shapely
from shapely import LinearRing, Polygon
from shapely.affinity import affine_transform

from patterns.errors import InputError
from patterns.infill import Infill, infill_of
from patterns.outlines.areas import (
    EMPTY,
    Area,
    eroded_along,
    inset,
    joined,
    polygons,
    slices_too_short,
    too_narrow,
    widest_slice,
)
from patterns.outlines.orientation import orientation_code
from patterns.outlines.outline import SNAP_MM, outline
from patterns.remark import Remark
from patterns.setting import Core, Printing, Specimen

# Line phases looked at where none is stated; a printer fixes the lines to its plate, not to the beam.
PHASES = 8
_FLOW_REACH = (0.8, 1.2)
_MOST_SCATTER = 0.1  # of the bead width, one standard deviation
Role = Literal["wall", "face", "core", "remnant"]
ROLES: tuple[Role, ...] = ("wall", "face", "core", "remnant")
Direction = Literal["along", "around", "raster", "core", "none"]


@dataclass(frozen=True)
class Zone:
    """A part of the section with one kind of filling.

    Attributes
    ----------
    role : {"wall", "face", "core", "remnant"}
        A remnant is a gap between walls too narrow for a bead; it stays empty.
    area : Polygon or MultiPolygon
        (y, z) in mm.
    direction : {"along", "around", "raster", "core", "none"}
        Beads run along x, around the outline in the section plane, as a raster in each layer, or as the
        infill says.
    angles_deg : tuple of float
        Raster: line angles from axis 1, layer by layer.
    """

    role: Role
    area: Area
    direction: Direction
    angles_deg: tuple[float, ...] = ()


@dataclass(frozen=True)
class Layout:
    """Walls, faces and core of one printed section; the zones tile the outline without overlap.

    Attributes
    ----------
    specimen, printing, core
        What was laid out.
    outline : Polygon
        (y, z) in mm.
    zones : tuple of Zone
        At most one of each role.
    infill : Infill or None
        What fills the core; None where there is no core or it is left hollow.
    wall_rings : tuple of LinearRing
        Upright beams: centre-lines of the wall beads in (y, z), from the outside in; else empty.
    code : str
        Orientation code of ISO 17295.
    layers : int
        Layers in the build.
    notes : tuple of Remark
        What a reader should be told: gaps between walls, a height that is not a whole number of layers.
    """

    specimen: Specimen
    printing: Printing
    core: Core
    outline: Polygon
    zones: tuple[Zone, ...]
    infill: Infill | None
    wall_rings: tuple[LinearRing, ...]
    code: str
    layers: int
    notes: tuple[Remark, ...]

    def area(self, role: Role) -> Area:
        """Return the area of a role in (y, z), empty where it is absent."""
        return next((zone.area for zone in self.zones if zone.role == role), EMPTY)

    @property
    def traced_core(self) -> Area:
        """Upright: the core grown by the overlap with the walls, where its lines run; (y, z) in mm."""
        return inset(self.area("core"), -self.core.wall_overlap).intersection(self.outline)

    @property
    def phases(self) -> tuple[float, ...]:
        """Phases at which the core's lines may lie, as likely as each other: the stated one, or `PHASES` evenly."""
        if self.infill is None or self.core.phase is None:
            return self.unknown_phases
        return (self.infill.phase,)

    @property
    def unknown_phases(self) -> tuple[float, ...]:
        """Phases looked at where none is stated; the infill's own where lines lie as the outline has it."""
        if self.infill is None:
            return ()
        if not self.infill.pattern.phase_matters:
            return (self.infill.phase,)
        return tuple(step / PHASES for step in range(PHASES))

    def with_core(self, core: Core) -> "Layout":
        """Return the same walls and faces around another core."""
        infill = _infill(self.area("core"), self.printing, core)
        areas = {role: self.area(role) for role in ROLES}
        return replace(self, core=core, infill=infill, zones=_zones(areas, self.printing, infill))

    def shifted(self, phase: float) -> "Layout":
        """Return the layout with the core's lines at another phase."""
        infill = self.infill.shifted(phase) if self.infill else None
        return replace(self, core=replace(self.core, phase=phase), infill=infill)


def lay_out(specimen: Specimen, printing: Printing, core: Core) -> Layout:
    """Return the layout of a printed section.

    Upright beams carry walls as rings along the outline; their faces are end caps outside the section. Flat
    and on-edge beams are stacks of layers: walls lie at both ends of each layer's slice, faces wherever
    fewer layers than asked lie below or above, the core in the rest.

    Raises
    ------
    InputError
        If the outline is smaller than two beads, the walls have no room, the core cannot be filled as asked, or
        nothing is printed in the section.
    """
    shape = outline(specimen)
    if specimen.is_bulk:
        return _bulk(specimen, printing, core, shape)
    _check(printing, core)
    notes: list[Remark] = []
    if printing.orientation == "upright":
        build_height = specimen.length
        areas, rings = _upright(shape, printing)
    else:
        (stacked,) = polygons(to_stack(shape, printing.orientation))
        build_height = stacked.bounds[3] - stacked.bounds[1]
        notes += _too_many_faces(build_height, printing)
        by_role = _stacked(stacked, printing)
        areas = {role: from_stack(area, printing.orientation) for role, area in by_role.items()}
        rings = []
    layers = _count_layers(build_height, printing.bead.height, notes)
    if areas["remnant"].area:
        notes.append(Remark.of("narrow_gap", area=areas["remnant"].area, bead_width=printing.bead.width))
    if areas["core"].is_empty:
        notes.append(Remark.of("no_core_left"))
    elif areas["wall"].is_empty and areas["face"].is_empty and core.set_fill == 0:
        faces = "faces are end caps" if printing.orientation == "upright" else "no face layers"
        raise InputError(
            f"walls 0, {faces} and set fill 0: the section is empty; give walls, face layers (not of upright beams) "
            "or set fill a number above 0",
            key="printing.walls",
        )
    infill = _infill(areas["core"], printing, core)
    return Layout(
        specimen,
        printing,
        core,
        shape,
        _zones(areas, printing, infill),
        infill,
        tuple(rings),
        orientation_code(printing.orientation, specimen),
        layers,
        tuple(notes),
    )


def _bulk(specimen: Specimen, printing: Printing, core: Core, shape: Polygon) -> Layout:
    """Return the layout of a beam without beads: its outline as one wall, no layers."""
    flat = replace(printing, orientation="flat")
    return Layout(specimen, flat, core, shape, (Zone("wall", shape, "along"),), None, (), "", 0, ())


def to_stack(area: Area, orientation: str) -> Area:
    """Return a flat or on-edge area turned from (y, z) to (axis 2 in the layer, axis 3 up)."""
    return affine_transform(area, [0, 1, -1, 0, 0, 0]) if orientation == "on_edge" else area


def from_stack(area: Area, orientation: str) -> Area:
    """Undo `to_stack`."""
    return affine_transform(area, [0, -1, 1, 0, 0, 0]) if orientation == "on_edge" else area


def _check(printing: Printing, core: Core) -> None:
    for name in ("walls", "bottom_layers", "top_layers"):
        count = getattr(printing, name)
        if count != int(count) or count < 0:
            raise InputError(f"{name} {count}: it must be a whole number, zero or more")
    if not 0 <= printing.width_scatter <= _MOST_SCATTER:
        raise InputError(
            f"bead width scatter {printing.width_scatter:g}: it must lie between 0 and {_MOST_SCATTER:g}, as a share "
            "of the bead width (3 percent is 0.03)",
            key="printing.width_scatter",
        )
    low, high = printing.flow_range
    if not _FLOW_REACH[0] <= low <= 1 <= high <= _FLOW_REACH[1]:
        raise InputError(
            f"flow range {low:g} to {high:g}: deposited over set volume; it must hold 1 and lie between "
            f"{_FLOW_REACH[0]:g} and {_FLOW_REACH[1]:g}",
            key="printing.flow_range",
        )
    if not printing.face_angles_deg:
        raise InputError("face_angles_deg is empty: give at least one raster angle")
    if not 0 <= core.wall_overlap <= printing.bead.width:
        raise InputError(
            f"wall_overlap {core.wall_overlap:g} mm: it must lie between 0 and one bead width, "
            f"{printing.bead.width:g} mm"
        )


def _count_layers(height: float, layer: float, notes: list[Remark]) -> int:
    layers = round(height / layer)
    if abs(layers * layer - height) > max(SNAP_MM, 1e-9 * height):
        notes.append(Remark.of("part_of_a_layer", height=height, layer_height=layer, layers=layers))
    return layers


def _too_many_faces(height: float, printing: Printing) -> list[Remark]:
    """Say where more face layers are asked for than the beam has."""
    asked = (printing.bottom_layers + printing.top_layers) * printing.bead.height
    if asked <= height + SNAP_MM:
        return []
    return [
        Remark.of(
            "faces_throughout",
            bottom=printing.bottom_layers,
            top=printing.top_layers,
            layer_height=printing.bead.height,
            asked=asked,
            height=height,
        )
    ]


def _extent(shape: Area) -> str:
    """Return the outline's size in words."""
    left, low, right, high = shape.bounds
    return f"{right - left:.4g} mm wide and {high - low:.4g} mm deep"


def _upright(shape: Polygon, printing: Printing) -> tuple[dict[Role, Area], list[LinearRing]]:
    """Return the areas by role and the wall centre-lines of an upright beam."""
    width = printing.bead.width
    if inset(shape, width - SNAP_MM).is_empty:
        raise InputError(
            f"the outline, {_extent(shape)}, is thinner than two beads of {width:g} mm: print it larger or finer",
            key="specimen",
        )
    rings: list[LinearRing] = []
    left_out: list[Area] = []
    room: Area = shape
    for number in range(printing.walls):
        if inset(room, width - SNAP_MM).is_empty:
            raise InputError(_no_room(printing, number, f"{room.area:.3g} mm2"))
        narrow = too_narrow(room, 2 * (width - SNAP_MM), printing.bead.area)
        ringed = room if narrow.is_empty else room.difference(narrow)
        left_out.append(narrow)
        for part in polygons(inset(ringed, width / 2)):
            rings += [part.exterior, *part.interiors]
        room = joined(polygons(inset(ringed, width), SNAP_MM))
    unwalled = shapely.union_all([room, *left_out])
    remnant = too_narrow(unwalled, width - SNAP_MM, printing.bead.area)
    return {
        "wall": shape.difference(unwalled),
        "face": EMPTY,
        "core": unwalled if remnant.is_empty else joined(polygons(unwalled.difference(remnant))),
        "remnant": remnant,
    }, rings


def _stacked(shape: Polygon, printing: Printing) -> dict[Role, Area]:
    """Return the areas by role of a beam built from layers stacked along the second coordinate."""
    width, height = printing.bead.width, printing.bead.height
    _, low, _, high = shape.bounds
    least, reach = width - SNAP_MM, printing.walls * width
    if high - low < 2 * height - SNAP_MM or eroded_along(shape, least, least, axis=0).is_empty:
        raise InputError(
            f"the outline, {_extent(from_stack(shape, printing.orientation))}, is smaller than two beads of "
            f"{width:g} mm side by side or two layers of {height:g} mm: print it larger or finer",
            key="specimen",
        )
    if reach and eroded_along(shape, reach - SNAP_MM, reach - SNAP_MM, axis=0).is_empty:
        widest = widest_slice(shape, SNAP_MM)
        fit = math.floor((widest + SNAP_MM) / (2 * width))
        raise InputError(_no_room(printing, fit, f"{max(widest - 2 * fit * width, 0):.3g} mm across"))
    between = joined(polygons(eroded_along(shape, reach, reach, axis=0), SNAP_MM))
    bridged = eroded_along(shape, printing.bottom_layers * height, printing.top_layers * height, axis=1)
    remnant = slices_too_short(between, least, printing.bead.area)
    filled = between if remnant.is_empty else between.difference(remnant)
    core = joined(polygons(filled.intersection(bridged), SNAP_MM))
    return {
        "wall": shape.difference(between),
        "face": joined(polygons(filled.difference(core))),
        "core": core,
        "remnant": remnant,
    }


def _no_room(printing: Printing, fit: int, left: str) -> str:
    return (
        f"walls {printing.walls}: only {fit} of {printing.bead.width:g} mm fit into the section from both "
        f"sides; they leave {left}; use at most {fit} or a larger section"
    )


def _zones(areas: dict[Role, Area], printing: Printing, infill: Infill | None) -> tuple[Zone, ...]:
    outline_direction: Direction = "around" if printing.orientation == "upright" else "along"
    follows = infill is not None and not infill.pattern.periodic and printing.orientation == "upright"
    zones = (
        Zone("wall", areas["wall"], outline_direction),
        Zone("face", areas["face"], "raster", printing.face_angles_deg),
        Zone("core", areas["core"], "around" if follows else "core"),
        Zone("remnant", areas["remnant"], "none"),
    )
    return tuple(zone for zone in zones if not zone.area.is_empty)


def _infill(area: Area, printing: Printing, core: Core) -> Infill | None:
    """Return what fills the area of a core, None where nothing does."""
    return None if area.is_empty or core.set_fill == 0 else infill_of(core, printing.bead)
