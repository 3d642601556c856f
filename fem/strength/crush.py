"""Crush of the core where the load enters: under the nose of a supported beam, in the jaws of a cantilever."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fem.bending.bending import jaw_load
from fem.printed.core import CoreCell
from fem.strength.criteria import Beam, axial_modulus, line_stretch, thickness_at, without_notch
from fem.strength.failure import Criterion, crush_force
from patterns.outlines.layout import Zone
from patterns.outlines.orientation import beam_from_print


@dataclass(frozen=True)
class _Pressed:
    """A core under load through a wall or face: sizes in mm, its crush stress over the bead's compressive strength."""

    place: tuple[float, float]
    width: float
    depth: float
    thickness: float
    cover: Zone
    share: float


def crush(beam: Beam, zones: Sequence[Zone]) -> list[Criterion]:
    """Return the criterion of crush under nose or jaws, none where it cannot be evaluated.

    Needed are a bent beam, a load along y or z, a wall or face that spreads it, and for jaws the clamped length.
    """
    test = beam.test
    pressed = _pressed(beam, zones)
    if pressed is None or test.is_pulled or (test.kind == "cantilever" and test.clamp_length == 0):
        return []
    return [_in_jaws(beam, pressed) if test.kind == "cantilever" else _under_nose(beam, pressed)]


def jaws_unknown(beam: Beam, zones: Sequence[Zone]) -> bool:
    """Return whether crush in the jaws could be evaluated if the clamped length were known."""
    return (
        beam.test.kind == "cantilever" and beam.test.clamp_length == 0 and _pressed(beam, zones) is not None
    )


def _under_nose(beam: Beam, pressed: _Pressed) -> Criterion:
    E_face, arm = axial_modulus(beam, pressed.cover), pressed.depth - pressed.thickness
    noses = 1 if beam.test.kind == "three_point" else 2
    # The span enters through the face's force, a quarter of nose load times span over the arm with three points.
    span = 4 * beam.test.moment_per_force * noses
    unit = crush_force(pressed.width, pressed.thickness, 1.0, E_face, arm, span)
    return Criterion(
        "crush", "core under the nose", 1 / (unit * noses), pressed.place, "compression_mpa",
        "Steeves and Fleck 2004 (from memory, not verified)", share=pressed.share, power=2 / 3,
    )  # fmt: skip


def _in_jaws(beam: Beam, pressed: _Pressed) -> Criterion:
    """Walls or face spread the line load across the beam and no further, so its largest value presses on the core."""
    stress = jaw_load(beam.test.lever, beam.test.clamp_length) / pressed.width
    return Criterion(
        "crush", "core at the jaw's edge", stress, pressed.place, "compression_mpa",
        "equilibrium of a rigid block under linear pressure", share=pressed.share,
    )  # fmt: skip


def _pressed(beam: Beam, zones: Sequence[Zone]) -> _Pressed | None:
    """Return what lies under the load; None without a core, a cover or a crush stress, or with a load on a corner."""
    core, layout, test = beam.core, beam.layout, beam.test
    quarter = round(test.load_angle_deg / 90)
    if core is None or abs(test.load_angle_deg - 90 * quarter) > 1e-6:
        return None
    load = 1 if quarter % 2 else 2  # beam axis of the load
    print_axis = int(np.argmax(np.abs(beam_from_print(layout.printing.orientation)[load])))
    role = "face" if print_axis == 2 else "wall"
    if any(zone.role == "core" and zone.direction == "around" for zone in zones):
        print_axis = 1  # lines that follow the outline are pressed across
    left, low, right, high = layout.outline.bounds
    place = (0.0, high) if load == 2 else (left if quarter % 4 == 1 else right, 0.0)
    thickness = thickness_at(layout, role, place)
    cover = [zone for zone in zones if zone.role == role]
    if core.concentration is not None and core.concentration[print_axis] > 0:
        share = 1 / _line_stress(core, print_axis)
    elif beam.weld.core_contact and print_axis == 2:
        share = beam.weld.core_contact
    else:
        return None
    if thickness == 0 or not cover:
        return None
    width, depth = (right - left, high - low) if load == 2 else (high - low, right - left)
    if layout.specimen.shape in ("round", "tube"):  # the core meets only the chord at the cap's inner side
        width = 2 * float(np.sqrt(max(thickness * (depth - thickness), 0.0)))
    return _Pressed(place, width, depth, thickness, cover[0], share)


def _line_stress(core: CoreCell, axis: int) -> float:
    """Return the lines' largest stress over a mean stress along a print axis, without the fillets' notch.

    Upwards, lines stand as columns and have none. Across, they yield where they bend, as in the plastic collapse of
    Gibson and Ashby (Cellular Solids, 1997, from memory); a fillet only starts it.
    """
    assert core.concentration is not None
    peak = np.array([core.concentration[axis]])
    if axis == 2 or not len(core.directions):
        return float(peak[0])
    return float(without_notch(peak, line_stretch(core, np.eye(6)[[axis]], peak))[0])
