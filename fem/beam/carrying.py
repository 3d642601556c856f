"""From a solved section to what carries its load: fibres that bend, and walls and core that shear."""

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
import shapely
from shapely.affinity import rotate as turned

from fem.beam.section_model import SectionModel
from fem.bending.plates import Panel
from fem.layered.twist import twist_limits
from fem.material.bonded import laminate
from fem.material.stiffness import about_axis_3, rotate, stress_transformation
from fem.printed.contact import crosses, side_share
from fem.printed.core import CoreCell
from fem.printed.neighbours import neighbours
from fem.prismatic.stress_field import largest_principal
from fem.strength.bent import Bent
from fem.strength.criteria import Beam, axial_modulus, line_strains, line_stretch, modulus, without_notch
from fem.strength.fibres import Fibres
from fem.strength.kinds import Kind, Layers, Lines, Raster
from fem.strength.panels import panels
from fem.strength.webs import Web
from fem.strength.welds import Welds
from patterns.outlines.areas import polygons
from patterns.outlines.layout import Zone
from patterns.outlines.orientation import beam_from_print

# Strips across the section besides the borders of its zones; twice as many change moments by less than 1e-4.
_STRIPS = 64
_MODES = {"face": "face_tension", "wall": "wall_tension", "core": "strut_tension"}
_ALONG = np.array([1.0, 0, 0, 0, 0, 0])
_MOST_OF_PART = 0.95
_LEAST = 1e-6
_VON_MISES = 3**-0.5


def bent(beam: Beam, model: SectionModel, within: shapely.Geometry | None = None) -> Bent | None:
    """Return the fibres of a solved section, or of what lies ``within`` an area as a section of its own.

    None where nothing carries along the beam. The whole section's moduli are scaled to its solved bending stiffness,
    those of a part are left as they are.
    """
    parts = [
        (kind, zone.area if within is None else zone.area.intersection(within), share)
        for zone in model.zones
        for kind, share in _kinds(beam, zone)
    ]
    parts = [(kind, area, share) for kind, area, share in parts if area.area > _LEAST and kind.modulus > 0]
    if not parts:
        return None
    direction = _height(model, beam)
    if within is not None:
        direction = _load(beam)
    heights, widths = _strips([(area, share) for _, area, share in parts], direction)
    moduli = np.array([kind.modulus for kind, _, _ in parts])
    fibres = Fibres(heights, widths, moduli)
    scale = model.elastic(beam.test.load_angle_deg)["EI"] / fibres.EI if within is None else 1.0
    fibres = Fibres(heights, widths, moduli * scale * [_lines(kind) for kind, _, _ in parts])
    places = tuple(_outermost(area, direction) for _, area, _ in parts)
    held: dict[str, tuple[Panel, ...]] = {
        zone.role: panels(beam, zone, direction, fibres.axis) for zone in model.zones if zone.role != "core"
    }
    kinds = tuple(replace(kind, panels=held.get(kind.role, ())) for kind, _, _ in parts)
    return Bent(fibres, kinds, places)


def _lines(kind: Kind) -> float:
    """Return the lines that a stated phase leaves in an upright core over the mean of all, which its cell has."""
    contact = kind.law.welds.contact if isinstance(kind.law, Layers) else None
    return 1.0 if contact is None else contact.lines


def _outermost(area: shapely.Geometry, direction: np.ndarray) -> tuple[float, float]:
    """Return the point (y, z) of an area that lies farthest along a direction, the middle of an edge that does."""
    corners = shapely.get_coordinates(area)
    along = corners @ direction
    far = corners[along > along.max() - _LEAST * np.ptp(along)]
    y, z = (far.min(axis=0) + far.max(axis=0)) / 2
    return float(y), float(z)


def _load(beam: Beam) -> np.ndarray:
    """Return the direction (y, z) towards the side in tension."""
    turn = np.radians(beam.test.load_angle_deg)
    sign = 1.0 if beam.test.kind == "cantilever" else -1.0
    return sign * np.array([-np.sin(turn), np.cos(turn)])


def _height(model: SectionModel, beam: Beam) -> np.ndarray:
    """Return the gradient (y, z) of axial strain over the curvature along the load.

    A section bent along no axis of its own also bends sideways. It is held to that plane beyond yield too, an upper
    bound of what it carries (kinematic theorem of limit analysis), exact where the load is along an axis.
    """
    towards = _load(beam)
    section = model.section
    sign = 1.0 if beam.test.kind == "cantilever" else -1.0
    resultants = section.bending_resultants(sign, 0.0, beam.test.load_angle_deg)
    strains = section.compliance @ resultants
    gradient = np.array([-strains[5], strains[4]])
    found: np.ndarray = gradient / (gradient @ towards)
    return found


def _strips(
    parts: Sequence[tuple[shapely.Geometry, float]], direction: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Return borders (m + 1,) and widths (k, m) of the strips of areas along a direction, each times its share."""
    size = float(np.linalg.norm(direction))
    angle = float(np.degrees(np.arctan2(direction[1], direction[0])))
    upright = [(_valid(turned(area, 90 - angle, origin=(0, 0))), share) for area, share in parts]
    ends = [
        bound
        for area, _ in upright
        for piece in polygons(area)
        for ring in (piece.exterior, *piece.interiors)
        for bound in (ring.bounds[1], ring.bounds[3])
    ]
    low, high = min(ends), max(ends)
    borders = np.unique(np.round([*ends, *np.linspace(low, high, _STRIPS + 1)], 9))
    borders = borders[np.concatenate([[True], np.diff(borders) > _LEAST * (high - low)])]
    left, _, right, _ = shapely.total_bounds([area for area, _ in upright])
    boxes = [shapely.box(left - 1, a, right + 1, b) for a, b in pairwise(borders)]
    areas = np.array([shapely.area(shapely.intersection(area, boxes)) * share for area, share in upright])
    widths = areas / np.diff(borders)
    widths[widths < _LEAST * (right - left)] = 0.0  # round-off would lift a kind's outermost fibre by a strip
    return borders * size, widths / size


def _valid(area: shapely.Geometry) -> shapely.Geometry:
    """Return a turned area; where round-off has let its corners cross, what they enclose."""
    return area if area.is_valid else shapely.make_valid(area, method="structure", keep_collapsed=False)


def _kinds(beam: Beam, zone: Zone) -> list[tuple[Kind, float]]:
    """Return the kinds of fibre in a zone, each with its share of the zone's area."""
    upright = beam.layout.printing.orientation == "upright"
    if zone.role == "core":
        return _core(beam, upright)
    E = axial_modulus(beam, zone)
    if upright:
        return [(_layers(beam, zone.role, E), 1.0)]
    if zone.direction == "raster":
        return _raster(beam, zone.role, zone.angles_deg, E, Raster(1.0, 0.0, 0.0))
    what = "bulk" if beam.layout.specimen.is_bulk else f"{zone.role}, along the bead"
    return [(Kind(zone.role, what, _MODES[zone.role], E, Raster(1.0, 0.0, 0.0)), 1.0)]


def _layers(beam: Beam, role: str, E: float) -> Kind:
    core, pressed = beam.core, 0.0
    if role == "core" and core is not None and core.in_line and core.plateau is not None:
        pressed = min(float(core.plateau[2]), 1.0)  # lines in line press on all of their width
    law = Layers(welds_of(beam, role), pressed)
    return Kind(role, f"{role}, between layers", "weld_tension", E, law)


def welds_of(beam: Beam, role: str) -> Welds:
    """Return the welds between the layers of walls and faces, or of the core."""
    contact = beam.weld.core if role == "core" else beam.weld.walls
    return Welds(contact, beam.layout.printing.bead)


def _raster(
    beam: Beam, role: str, angles_deg: tuple[float, ...], E: float, law: Raster
) -> list[tuple[Kind, float]]:
    """Return a kind per direction of a raster: layers share the strain, so each takes stress by its own stiffness.

    ``law`` is that of beads along the beam, to be turned.
    """
    layers = [rotate(beam.beads, about_axis_3(np.deg2rad(angle))) for angle in angles_deg]
    strain = np.linalg.solve(laminate(layers), _ALONG)
    found = []
    for angle in dict.fromkeys(angles_deg):
        stress = rotate(beam.beads, about_axis_3(np.deg2rad(angle))) @ strain
        if stress[0] <= _LEAST:
            continue
        in_bead = stress_transformation(about_axis_3(-np.deg2rad(angle))) @ stress / stress[0]
        lines = law.lines and law.lines.times(float(stress[0]))
        own = replace(
            law, along=float(in_bead[0]), across=float(in_bead[1]), shear=float(in_bead[5]), lines=lines
        )
        what = f"{role} layer at {angle:g} deg"
        part = angles_deg.count(angle) / len(angles_deg)
        found.append((Kind(role, what, _MODES[role], E * float(stress[0]), own), part))
    return found


def _core(beam: Beam, upright: bool) -> list[tuple[Kind, float]]:
    core = beam.core
    if core is None:
        return []
    R = beam_from_print(beam.layout.printing.orientation)
    E = modulus(rotate(core.stiffness, R) * beam.young, 0)
    if E <= 0:
        return []
    if upright:
        return [(_layers(beam, "core", E), 1.0)] if beam.weld.core_contact else []
    plateau = float(core.plateau[0]) if core.plateau is not None else 0.0
    law = Lines(plateau, line_concentration(core), _twist(beam, core))
    if (touching := joined(beam, core)) > _LEAST:
        assert beam.layout.infill is not None
        raster = Raster(1.0, 0.0, 0.0, core.geometric_fill, touching, law)
        return _raster(beam, "core", beam.layout.infill.angles_deg, E, raster)
    return [(Kind("core", "core lines", _MODES["core"], E, law), 1.0)] if plateau > 0 else []


def is_crossing(core: CoreCell) -> bool:
    """Return whether a core has straight lines whose directions take turns from layer to layer."""
    return not core.in_line and len(core.directions) > 0


def _twist(beam: Beam, core: CoreCell) -> float:
    """Return the mean stress along axis 1 at which the core's welds twist off, per unit shear strength of the welds."""
    infill, bead = beam.layout.infill, beam.layout.printing.bead
    if infill is None or not is_crossing(core) or not crosses(infill):
        return np.inf
    first, second = infill.angles_deg[0], infill.angles_deg[-1]
    return float(twist_limits((first, second), core.pitch, bead.height, bead.flat_width)[0])


def joined(beam: Beam, core: CoreCell) -> float:
    """Return the welded height between neighbours of one layer over that of beads a width apart, 0 where they part.

    Of crossing layers: the chord that round sides share, of those that touch. Square edges meet all at once.
    """
    printing = beam.layout.printing
    two = neighbours(printing.bead, core.pitch, printing.width_scatter)
    if not is_crossing(core) or two.share == 0:
        return 0.0
    if printing.bead.section != "stadium":
        return 1.0
    out = (core.pitch - two.touching.flat_width) / printing.bead.height
    return two.share * min(math.sqrt(max(1 - out**2, 0.0)) / side_share(printing.bead), 1.0)


def line_concentration(core: CoreCell) -> float:
    """Return the largest strain in the core's lines over its mean strain along axis 1, at least 1.

    Elastic, without the fillets' share; 1 where only the stiffness of the cell is known.
    """
    E = core.modulus(0)
    sig = _ALONG[None]
    local = line_strains(core, sig) if len(core.directions) else np.zeros(1)
    if core.hot_spots is not None:
        peak = largest_principal(core.hot_spots @ sig[0]).max(keepdims=True)
        stretch = line_stretch(core, sig, peak) if len(core.directions) else np.zeros(1)
        local = without_notch(peak, stretch)
    return max(1.0, float(local[0]) * E)


def webs(beam: Beam, model: SectionModel) -> tuple[Web, ...]:
    """Return walls, faces and core as webs.

    The area of a web is its share of the force over the stress that all but a twentieth of it stays below under a unit
    shear force: 1/1.496 of a solid rectangle, at whose bonded inner corners elastic shear has no limit.
    """
    section, zones = model.section, model.zones
    angle = beam.test.load_angle_deg
    shear = section.stresses(section.bending_resultants(0.0, 1.0, angle), "points")
    size = np.hypot(shear[..., 4], shear[..., 5])
    turn = np.radians(angle)
    along = shear[..., 4] * np.cos(turn) - shear[..., 5] * np.sin(turn)
    area = _areas(model)[:, None] / size.shape[1] * np.ones(size.shape)
    parts = []
    for number, zone in enumerate(zones):
        here = model.mesh.zone == number
        force = float((along[here] * area[here]).sum())
        if force > _LEAST:
            parts.append((zone, force, _quantile(size[here].ravel(), area[here].ravel(), _MOST_OF_PART)))
    total = sum(force for _, force, _ in parts)
    return tuple(_web(beam, zone, force / total, stress) for zone, force, stress in parts)


def _areas(model: SectionModel) -> np.ndarray:
    """Return the area of every triangle between its corners, mm^2."""
    corners = model.mesh.mesh.p[:, model.mesh.mesh.t[:3]]
    a, b = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    found: np.ndarray = np.abs(a[0] * b[1] - a[1] * b[0]) / 2
    return found


def _quantile(values: np.ndarray, weights: np.ndarray, share: float) -> float:
    order = np.argsort(values)
    below = np.cumsum(weights[order])
    return float(values[order][np.searchsorted(below, share * below[-1])])


def _web(beam: Beam, zone: Zone, share: float, stress: float) -> Web:
    orientation = beam.layout.printing.orientation
    turn = np.radians(beam.test.load_angle_deg)
    load = beam_from_print(orientation).T @ np.array([0.0, -np.sin(turn), np.cos(turn)])
    if orientation == "upright":
        across, inside = 1.0, 0.0
    else:
        across, inside = abs(float(load[2])), abs(float(load[1]))
    core, between, within, taking_part = beam.core, 1.0, _VON_MISES, 1.0
    held = zone.role == "core" or len(set(zone.angles_deg)) > 1  # by lines that cross
    if beam.layout.specimen.is_bulk:  # alike in all directions
        across, inside, held = 0.0, 1.0, True
    if zone.role == "core":
        assert core is not None
        # shear flows along lines that follow the outline
        between, within = _core_shear(beam, core, _ALONG[:3] if zone.direction == "around" else load)
        if core.in_line:  # of lines that all weld, only some take part in the shear
            taking_part = min(between / max(core.geometric_fill, _LEAST), 1.0)
    return Web(
        role=zone.role,
        share=share,
        area=share / stress,
        between=across,
        within=inside,
        plateau_between=between,
        plateau_within=within,
        brittle=orientation == "upright",
        welds=welds_of(beam, zone.role),
        taking_part=taking_part,
        beside=1.0 if held else side_share(beam.layout.printing.bead),
        place=_middle(zone),
    )


def _middle(zone: Zone) -> tuple[float, float]:
    point = zone.area.representative_point()
    return float(point.x), float(point.y)


def _core_shear(beam: Beam, core: CoreCell, load: np.ndarray) -> tuple[float, float]:
    """Return the core's plateaus of shear along axis 3 and in the layer; solid as far as its beads are joined."""
    if core.plateau is None:
        return 0.0, 0.0
    plateau, solid = core.plateau, joined(beam, core) * core.geometric_fill
    if beam.layout.printing.orientation != "upright":
        return max(float(plateau[4]), solid), max(float(plateau[5]), solid * _VON_MISES)
    # the plane of shear is axis 3 and the load, somewhere between axes 1 and 2
    sizes = np.array([(load[0], plateau[4]), (load[1], plateau[3])])
    with np.errstate(divide="ignore"):
        parts = [(part / limit) ** 2 if abs(part) > _LEAST else 0.0 for part, limit in sizes]
    return max(float(1 / np.sqrt(sum(parts))), solid), 0.0
