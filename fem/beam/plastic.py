"""Plastic reserve of ductile prints: from first yield to the moment at which every fibre yields.

The yield stress of a zone along the beam is the least of its strengths in bead axes, tension along the bead for one;
strengths measured in bending are not used, since an outer-fibre stress at break already holds part of this reserve.
Tension and compression yield alike, notches count nothing. The fully plastic moment is an upper end that no beam with
limited strain reaches; first yield is the lower one.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from scipy.optimize import brentq
from shapely.affinity import rotate as turned

from fem.beam.section_model import SectionModel
from fem.bending.beam_theory import area_moments
from fem.material.stiffness import stress_transformation
from fem.prismatic.stress_field import largest_principal
from fem.strength.criteria import Beam, bead_stresses, line_strains, line_stretch, without_notch
from patterns.outlines.layout import Zone
from patterns.outlines.orientation import beam_from_print


@dataclass(frozen=True)
class Reserve:
    """Force at which the first fibre of walls and faces yields (of the core without them) and at which all do, N."""

    first_yield: float
    fully_plastic: float


def plastic_moment(parts: Sequence[tuple[shapely.Geometry, float]], load_angle_deg: float = 0.0) -> float:
    """Return the moment at which every fibre of a section yields, N mm.

    Parameters
    ----------
    parts : sequence of (area, yield stress)
        Areas in (y, z), mm, with their yield stress along the beam in tension and compression, MPa.
    load_angle_deg : float
        Turns the load from z about x. The neutral axis is taken at right angles to the load, where the forces on both
        of its sides are equal.

    Examples
    --------
    >>> round(plastic_moment([(shapely.box(0, 0, 10, 4), 50.0)]), 6)     # 50 b h^2/4
    2000.0
    """
    upright = [
        (turned(area, -load_angle_deg, origin=(0, 0)), stress) for area, stress in parts if not area.is_empty
    ]
    left, low, right, high = shapely.total_bounds([area for area, _ in upright])

    def above(height: float) -> tuple[float, float]:
        """Return force and moment about the origin of all that lies above, N and N mm."""
        force = moment = 0.0
        for area, stress in upright:
            A, S, _ = area_moments(shapely.clip_by_rect(area, left - 1, height, right + 1, high + 1))
            force, moment = force + stress * A, moment + stress * S
        return force, moment

    force, moment = above(low - 1)
    axis = brentq(lambda height: above(height)[0] - force / 2, low, high, xtol=1e-12 * (high - low))
    return 2 * above(axis)[1] - moment


def reserve(beam: Beam, model: SectionModel, values: dict[str, float]) -> Reserve | None:
    """Return the forces at first and at full yield; None where no yield stress is known, or layers are pulled apart."""
    if beam.layout.printing.orientation == "upright" or "tension_along_mpa" not in values:
        return None
    zones, stressed = model.zones, model.stressed(beam.test)
    stresses = [yield_stress(beam, zone, values) for zone in zones]
    largest = [
        float(np.abs(stressed.bending[stressed.zones == number, 0]).max()) for number in range(len(zones))
    ]
    ends = [
        (zone.role != "core", stress / most)
        for zone, stress, most in zip(zones, stresses, largest, strict=True)
        if stress > 0 and most > 0
    ]
    first = min(force for skin, force in ends if skin or not any(other for other, _ in ends))
    parts = [(zone.area, stress) for zone, stress in zip(zones, stresses, strict=True)]
    moment = plastic_moment(parts, beam.test.load_angle_deg)
    return Reserve(first, moment / beam.test.moment_per_force)


def yield_stress(beam: Beam, zone: Zone, values: dict[str, float]) -> float:
    """Return the mean stress along the beam at which a zone yields, MPa; 0 for a core without a load path."""
    along = np.zeros((1, 6))
    along[0, 0] = 1.0
    if zone.role == "core":
        return _core_yield(beam, along, values["tension_along_mpa"])
    limits = {0: "tension_along_mpa", 1: "bending_across_mpa", 5: "shear_mpa"}
    point = np.asarray(zone.area.representative_point().coords)[:, :2]
    return min(
        values[strength] / abs(sig[0, component])
        for _, sig in bead_stresses(beam, zone, point, along)
        for component, strength in limits.items()
        if strength in values and abs(sig[0, component]) > 1e-9
    )


def _core_yield(beam: Beam, along: np.ndarray, strength: float) -> float:
    """Return the core's yield stress: its lines stretch or bend, whichever yields first; 0 where nothing is known."""
    core = beam.core
    if core is None:
        return 0.0
    sig = along @ stress_transformation(beam_from_print(beam.layout.printing.orientation).T).T
    local = line_strains(core, sig) if len(core.directions) else np.zeros(1)
    if core.hot_spots is not None:
        peak = largest_principal(core.hot_spots @ sig[0]).max(keepdims=True)
        local = without_notch(peak, line_stretch(core, sig, peak))
    return strength / float(local[0]) if local[0] > 0 else 0.0
