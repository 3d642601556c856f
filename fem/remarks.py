"""What a reader of an estimate is told beside its numbers, and what is said of a section that cannot stand."""

import numpy as np

from fem.beam.joint import Joint
from fem.beam.plastic import Reserve
from fem.beam.response import Response
from fem.bending.bending import large_deflection_error
from fem.material.bands import Band
from fem.setting import Setting
from fem.strength.criteria import Beam
from fem.strength.crush import jaws_unknown
from patterns.outlines.layout import Layout, Role
from patterns.paths.deposit import Deposit

# Deposited volume over the outline's beyond which it is told; below is the rounding of circles.
_OVERFULL = 1e-3
_SKIN_KEYS: dict[Role, str] = {"wall": "print.walls", "face": "print.face_layers"}


def is_loose(beam: Beam) -> bool:
    """Return whether the core carries nothing in some direction, so that walls and faces must hold it."""
    if beam.core is None:
        return False
    sizes = np.linalg.eigvalsh(beam.core.stiffness)
    return bool(sizes[0] < 1e-9 * sizes[-1])


def loose(beam: Beam) -> str:
    """Say what holds a core whose lines never meet."""
    layout = beam.layout
    named: dict[Role, str] = (
        {"wall": _SKIN_KEYS["wall"]} if layout.printing.orientation == "upright" else _SKIN_KEYS
    )
    lacking = [key for role, key in named.items() if layout.area(role).is_empty]
    return (
        f"core.pattern: the lines of {layout.core.pattern} carry nothing from one to the next, and nothing else holds "
        f"the section together: set {' and '.join(lacking) or 'print.walls'} above 0, or take a pattern whose lines "
        "meet"
    )


def bends_far(setting: Setting, response: Response, breaking: Band | None) -> list[str]:
    """Say where a cantilever bends so far that linear theory overestimates its travel."""
    if breaking is None or setting.test.kind != "cantilever":
        return []
    error = large_deflection_error(breaking.best, setting.test.lever, response.best["EI"])
    if error <= 0.02:
        return []
    return [f"large deflection: linear theory overestimates the travel at break by {100 * error:.0f} %"]


def opened(joint: Joint | None, response: Response, breaking: Band | None) -> list[str]:
    """Say what is left where the joint of core and walls opens."""
    if joint is None:
        return []
    at_best = float(response.stiffness(response.at({}))[0])
    told = f"bonded as estimated; open, the stiffness is {joint.stiffness / at_best:.2g} times that"
    if breaking and joint.breaking_force:
        told += f" and the breaking force {joint.breaking_force / breaking.best:.2g} times"
    return [f"the joint of core and walls carries shear: {told}"]


def yields(setting: Setting, plastic: Reserve | None) -> list[str]:
    """Say what a ductile beam has beyond first yield, where the test asks for it."""
    if not setting.test.plastic:
        return []
    if plastic is None:
        reason = "tension_along_mpa is unknown"
        if setting.printing.orientation == "upright":
            reason = "the welds between layers are brittle"
        return [f"no plastic reserve is given: {reason}"]
    return [
        f"if ductile, bending yields first at {plastic.first_yield:.3g} N and fully at {plastic.fully_plastic:.3g} N "
        "(tensile strength in every fibre); the breaking force and its band do not count on it"
    ]


def overfull(layout: Layout, laid: Deposit) -> list[str]:
    """Say where more is laid than the outline holds: at crossings and laps twice, or in a layer too many."""
    excess = sum(laid.volume.values()) / (layout.outline.area * layout.specimen.length) - 1
    if excess < _OVERFULL:
        return []
    return [
        f"the deposited volume is {100 * excess:.1f} % larger than the outline's: lines that cross or lap are laid "
        "twice, and what finds no room will bulge"
    ]


def unevaluated(beam: Beam, setting: Setting, response: Response) -> list[str]:
    """Say which modes lack a value, since each of them could break the beam earlier."""
    lacking: dict[str, list[str]] = {}
    for one in response.criteria:
        for name in one.missing(response.at({})):
            lacking.setdefault(name, []).append(one.mode)
    told = [
        f"{name} unknown (give it under [material]): "
        f"{', '.join(dict.fromkeys(modes)).replace('_', ' ')} not evaluated in full, "
        "the force is an upper bound"
        for name, modes in lacking.items()
    ]
    if jaws_unknown(beam, beam.layout.zones):
        told.append("test.clamp_length_mm unknown: crush of the core in the jaws not evaluated")
    if setting.core.corner_radius == 0:
        told.append("corner radius 0: no stress concentration, so core lines and crush are not evaluated")
    return told


def coarse(beam: Beam) -> list[str]:
    """Say where too few cells span the core for a homogenised one."""
    inside = beam.layout.area("core")
    if beam.core is None or inside.is_empty:
        return []
    left, low, right, high = inside.bounds
    cells = min(right - left, high - low) / beam.core.pitch
    if cells >= 2:
        return []
    return [
        f"only {cells:.1f} line distances span the core: where lines fall matters, and the band does not hold it "
        "(`fillbend estimate --resolved` does, save for upright beams whose layers differ)"
    ]
