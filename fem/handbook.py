"""What beam theory and handbooks say of the same beam: closed forms beside the estimate."""

from fem.bending.beam_theory import TheoryBeam, theory_beams
from fem.material.stiffness import rotate
from fem.strength.criteria import Beam, axial_modulus, modulus
from patterns.outlines.orientation import beam_from_print


def moduli_of(beam: Beam) -> dict[str, float]:
    """Return Young's modulus along the beam of each role, MPa."""
    layout = beam.layout
    moduli: dict[str, float] = {
        zone.role: axial_modulus(beam, zone) for zone in layout.zones if zone.role in ("wall", "face")
    }
    if beam.core is not None:
        R = beam_from_print(layout.printing.orientation)
        moduli["core"] = modulus(rotate(beam.core.stiffness, R) * beam.young, 0)
    return moduli


def handbook(
    beam: Beam, moduli: dict[str, float], values: dict[str, float]
) -> tuple[dict[str, TheoryBeam], float, float | None]:
    """Return the closed-form models; stiffness and force of the solid bar with a rigid root and no shear."""
    layout, test, upright = beam.layout, beam.test, beam.layout.printing.orientation == "upright"
    solid = beam.young * (beam.weld.modulus_ratio if upright else 1.0)
    fill = beam.core.geometric_fill if beam.core else 0.0
    found = theory_beams(layout, moduli, solid, fill, test.load_angle_deg)
    bar = found["solid bar"]
    strength = values.get("weld_tension_mpa" if upright else "tension_along_mpa")
    if strength is not None and upright:
        strength *= beam.weld.contact
    section = layout.outline.area if test.is_pulled else 1 / (bar.stress_per_moment * test.moment_per_force)
    compliance = test.bending_compliance(bar.EI) + test.axial_compliance(bar.EA) + test.compliance
    return found, 1 / compliance, strength * section if strength else None
