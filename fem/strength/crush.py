"""Crush where the load enters: under the nose of a supported beam, in the jaws of a cantilever, at any load angle."""

from collections.abc import Container, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fem.bending.bending import BendTest, jaw_load
from fem.bending.indentation import Side, plastic_jaws
from fem.bending.plates import plate_strain
from fem.material.flow import flow
from fem.material.stiffness import rotate
from fem.strength.criteria import Beam, axial_modulus, modulus, thickness_at
from fem.strength.failure import Draws
from patterns.outlines.layout import Role, Zone
from patterns.outlines.orientation import beam_from_print

# Squared root of the length factor of lines that buckle between joints that turn: 0.69 in honeycombs (Gibson and Ashby
# 1997, from memory).
_JOINTS = 0.69**2
# Length of a line between two joints over the pitch, where it is not the pitch itself.
_EDGES = {"hexagonal": 3**-0.5, "voronoi": 3**-0.5, "kagome": 3**-0.5, "triangular": 2 * 3**-0.5}
_PATCH = 5.4  # of a load on the edge of a long web, 0.9 k_F with k_F = 6: EN 1993-1-5, 6.4 (from memory)
_LITTLE = 1e-9


@dataclass(frozen=True)
class Crush:
    """Local collapse at nose or jaws.

    Attributes
    ----------
    test : BendTest
    sides : tuple of (float, Side)
        What is pressed, with its share of the force: cosine and sine of the load angle.
    """

    test: BendTest
    sides: tuple[tuple[float, Side], ...]
    mode = "crush"
    strength = "compression_mpa"
    first_source = "cover as a beam on the elastic core (Hetenyi 1946), or a rigid block in jaws"

    @property
    def what(self) -> str:
        """Words for what gives way."""
        where = "at the jaws" if self.test.kind == "cantilever" else "under the nose"
        side = self.sides[0][1]
        parts = [name for name, there in (("core", side.plateau > 0), ("walls", side.web > 0)) if there]
        return f"{' and '.join(parts)} {where}"

    @property
    def source(self) -> str:
        """Where the formulas come from."""
        if self.test.kind == "cantilever":
            return "equilibrium of a rigid block, core and walls at their crush load"
        return "face into crushing core (limit analysis; Steeves and Fleck 2004), walls as webs"

    @property
    def place(self) -> tuple[float, float]:
        """Middle (y, z) of the side that takes most of the load, mm."""
        return max(self.sides, key=lambda item: item[0])[1].place

    def missing(self, known: Container[str]) -> list[str]:
        """Return the names of card values that are needed and that ``known`` lacks."""
        return [] if self.strength in known else [self.strength]

    def moved(self, test: BendTest) -> "Crush":
        """Return the same of another test of the same kind."""
        return replace(self, test=test)

    def forces(self, draws: Draws) -> np.ndarray | None:
        """Return the force (n,) that crush ends, N; None if the strength is unknown.

        Of the load at which it comes and that which the section carries with its core pressed flat, the larger. A load
        on a corner presses on both sides by its parts: a circle through their loads, a choice of our own.
        """
        if self.missing(draws):
            return None
        yields, E, test = draws[self.strength] * flow(draws), draws["young_mpa"] * flow(draws), self.test
        size = np.zeros(np.shape(yields))
        for part, side in self.sides:
            if test.kind == "cantilever":
                local = side.in_jaws(yields, E) * plastic_jaws(test.lever, test.clamp_length)
            else:
                local = _noses(test) * side.under_nose(yields, E, test.nose_radius, _span(test))
            flat = side.flattened_moment(
                np.minimum(yields, draws.get("tension_along_mpa", yields) * flow(draws))
            )
            size = size + (part / np.maximum(local, flat / test.moment_per_force)) ** 2
        return 1 / np.sqrt(size)

    def first(self, draws: Draws) -> np.ndarray | None:
        """Return the force (n,) at which the core first crushes, N; None without a core or a cover, or a strength."""
        sides = [(part, side) for part, side in self.sides if side.plateau > 0 and side.cover > 0]
        if self.missing(draws) or not sides:
            return None
        yields, E = draws[self.strength] * flow(draws), draws["young_mpa"] * flow(draws)
        size = np.zeros(np.shape(yields))
        for part, side in sides:
            if self.test.kind == "cantilever":
                edge = jaw_load(self.test.lever, self.test.clamp_length)
                load = side.crush_stress(yields, E) * side.core_width / edge
            else:
                load = _noses(self.test) * side.first_under_nose(yields, E)
            size = size + (part / load) ** 2
        return 1 / np.sqrt(size)


def _noses(test: BendTest) -> int:
    return 1 if test.kind == "three_point" else 2


def _span(test: BendTest) -> float:
    """Return the span of three points that gives the face the force per nose load that it has."""
    return 4 * test.moment_per_force * _noses(test)


def crush(beam: Beam, zones: Sequence[Zone]) -> tuple[Crush, ...]:
    """Return the crush under nose or jaws; none in tension, with jaws of unknown length, or with nothing to crush."""
    test = beam.test
    if test.is_pulled or (test.kind == "cantilever" and test.clamp_length == 0):
        return ()
    sides = _pressed_sides(beam, zones)
    return (Crush(test, sides),) if sides else ()


def jaws_unknown(beam: Beam, zones: Sequence[Zone]) -> bool:
    """Return whether crush in the jaws could be evaluated if the clamped length were known."""
    return (
        beam.test.kind == "cantilever" and beam.test.clamp_length == 0 and bool(_pressed_sides(beam, zones))
    )


def _pressed_sides(beam: Beam, zones: Sequence[Zone]) -> tuple[tuple[float, Side], ...]:
    """Return the sides that the load presses on with its parts; none where nothing is known to give way."""
    if beam.layout.area("core").is_empty:
        return ()
    turn = np.radians(beam.test.load_angle_deg)
    found = []
    for axis, part in ((2, np.cos(turn)), (1, -np.sin(turn))):
        if abs(part) > _LITTLE:
            side = _side(beam, zones, axis, float(part))
            if side.plateau <= 0 and side.web <= 0:
                return ()
            found.append((abs(float(part)), side))
    return tuple(found)


def _side(beam: Beam, zones: Sequence[Zone], axis: int, part: float) -> Side:
    """Return the side that a load along beam axis 1 or 2 presses on, from above or, where ``part`` < 0, below."""
    layout, test = beam.layout, beam.test
    R = beam_from_print(layout.printing.orientation)
    print_axis = int(np.argmax(np.abs(R[axis])))
    cover_role: Role = "face" if print_axis == 2 else "wall"
    web_role: Role = "face" if layout.printing.orientation != "upright" and print_axis == 1 else "wall"
    inside, whole = np.reshape(layout.area("core").bounds, (2, 2)), np.reshape(layout.outline.bounds, (2, 2))
    along, across = axis - 1, 2 - axis
    end = whole[1, along] if part > 0 else whole[0, along]
    other = whole[0, along] if part > 0 else whole[1, along]
    place, opposite = ((0.0, end), (0.0, other)) if axis == 2 else ((end, 0.0), (other, 0.0))
    width, core_width = float(np.ptp(whole[:, across])), float(np.ptp(inside[:, across]))
    depth = float(np.ptp(inside[:, along]))
    cover, under = (
        thickness_at(layout, cover_role, (float(at[0]), float(at[1]))) for at in (place, opposite)
    )
    if layout.specimen.shape in ("round", "tube"):  # the core meets only the chord at the cap's inner side
        core_width = min(core_width, 2 * float(np.sqrt(max(cover * (width - cover), 0.0))))
    reach = width if test.is_pulled or test.kind == "cantilever" else min(test.nose_width or width, width)
    web = width - float(np.ptp(inside[:, across])) if layout.area(web_role).area > 0 else 0.0
    touched = float(np.clip((reach - (width - web)) / web, 0.0, 1.0)) if web > 0 else 0.0
    covers = [zone for zone in zones if zone.role == cover_role]
    plateau, core_ratio, standing, strain = _core(beam, zones, axis, print_axis, depth)
    return Side(
        place=(float(place[0]), float(place[1])),
        width=reach,
        core_width=min(core_width, reach),
        core_depth=depth,
        cover=cover,
        under=under,
        cover_ratio=axial_modulus(beam, covers[0]) / beam.young if covers else 1.0,
        core_ratio=core_ratio,
        web=touched * web,
        web_share=beam.weld.contact if print_axis == 2 else 1.0,
        web_strain=_web_strain(beam, web / 2, depth, cover) if web > 0 else 1.0,
        plateau=plateau,
        standing=standing,
        line_strain=strain,
        solid=depth * (beam.core.geometric_fill if beam.core else 0.0),
    )


def _web_strain(beam: Beam, thickness: float, depth: float, cover: float) -> float:
    """Return the strain at which a wall under the load buckles: as a column, between core lines, or under a patch."""
    column = plate_strain(thickness, depth, beam.poisson) / 4
    patch = _PATCH * thickness**2 / (depth * (2 * cover + beam.test.nose_radius))
    best = column if beam.test.kind == "cantilever" else max(column, patch)
    if beam.core is not None:
        clear = min(max(beam.core.pitch - beam.layout.printing.bead.width, _LITTLE), depth)
        best = max(best, plate_strain(thickness, clear, beam.poisson) if clear < depth else 0.0)
    return best


def _core(
    beam: Beam, zones: Sequence[Zone], axis: int, print_axis: int, depth: float
) -> tuple[float, float, bool, float]:
    """Return the core's plateau, its modulus over the bead's, whether its walls stand, and where they buckle."""
    core, infill = beam.core, beam.layout.infill
    if core is None or core.plateau is None or infill is None:
        return 0.0, 0.0, True, 1.0
    if any(zone.role == "core" and zone.direction == "around" for zone in zones):
        print_axis = 1  # lines that follow the outline are pressed across
    C = rotate(core.stiffness, beam_from_print(beam.layout.printing.orientation))
    ratio = modulus(C, axis)
    plateau = float(core.plateau[print_axis])
    if ratio <= 0 or plateau <= 0:
        return 0.0, 0.0, True, 1.0
    wide, between = infill.bead.width, core.pitch * _EDGES.get(infill.pattern.slug, 1.0)
    if print_axis == 2:
        if not core.in_line:
            return plateau, ratio, True, 1e3  # stacks of crossings, held in every layer
        clear = depth if len(core.directions) == 1 else min(max(between - wide, _LITTLE), depth)
        return plateau, ratio, True, plate_strain(wide, clear, beam.poisson)
    lines = _JOINTS * plate_strain(wide, between, beam.poisson) / 4
    return plateau, ratio, False, float(wide / core.pitch * lines)
