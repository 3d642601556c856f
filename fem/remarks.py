"""What a reader of an estimate should be told beside its numbers, and the refusal of a section that cannot stand."""

import numpy as np

from fem.beam.joint import Joint
from fem.beam.response import Response
from fem.bending.bending import large_deflection_error
from fem.material.bands import Band
from fem.setting import Setting
from fem.strength.criteria import Beam
from fem.strength.crush import jaws_unknown
from patterns.errors import InputError
from patterns.outlines.layout import Layout, Role
from patterns.paths.deposit import Deposit
from patterns.remark import Remark

# Deposited volume over the outline's beyond which it is told; below is the rounding of circles.
_OVERFULL = 1e-3
# A local event is told where it begins by more than this share before the largest force.
_ONSET = 0.02
_SKIN: dict[Role, str] = {"wall": "walls", "face": "face layers"}


def is_loose(beam: Beam) -> bool:
    """Return whether the core carries nothing in some direction, so that walls and faces must hold it."""
    if beam.core is None:
        return False
    sizes = np.linalg.eigvalsh(beam.core.stiffness)
    return bool(sizes[0] < 1e-9 * sizes[-1])


def loose(beam: Beam) -> InputError:
    """Return the refusal of a core whose lines never meet, with what could hold it."""
    layout = beam.layout
    holding: dict[Role, str] = {"wall": _SKIN["wall"]} if layout.printing.orientation == "upright" else _SKIN
    lacking = [name for role, name in holding.items() if layout.area(role).is_empty]
    return InputError(
        f"the lines of {layout.core.pattern} carry nothing from one to the next, and nothing else holds the section "
        f"together: set {' and '.join(lacking) or 'walls'} above 0, or take a pattern whose lines meet",
        key="core.pattern",
    )


def bends_far(setting: Setting, response: Response, breaking: Band | None) -> list[Remark]:
    """Tell where a cantilever bends so far that linear theory overestimates its travel."""
    if breaking is None or setting.test.kind != "cantilever":
        return []
    error = large_deflection_error(breaking.best, setting.test.lever, response.best["EI"])
    return [Remark.of("large_deflection", error_share=error)] if error > 0.02 else []


def opened(joint: Joint | None, response: Response, breaking: Band | None) -> list[Remark]:
    """Tell what is left where the joint of core and walls opens."""
    if joint is None:
        return []
    at_best = float(response.stiffness(response.at({}))[0])
    ratio = joint.breaking_force / breaking.best if breaking is not None and joint.breaking_force else None
    return [
        Remark.of(
            "joint_carries_shear",
            stiffness_ratio=joint.stiffness / at_best,
            force_ratio=ratio,
        )
    ]


def overfull(layout: Layout, laid: Deposit) -> list[Remark]:
    """Tell where more is laid than the outline holds: at crossings and laps twice, or in a layer too many."""
    excess = sum(laid.volume.values()) / (layout.outline.area * layout.specimen.length) - 1
    return [Remark.of("overfull", excess_share=excess)] if excess >= _OVERFULL else []


def unevaluated(beam: Beam, response: Response) -> list[Remark]:
    """Tell which modes lack a value, since each of them could break the beam earlier."""
    lacking: dict[str, list[str]] = {}
    at_best, bent = response.at({}), response.bent
    if bent is not None:
        for name in bent.missing(at_best):
            modes = [kind.mode for kind in bent.kinds if name in kind.law.needs]
            lacking.setdefault(name, []).extend(modes)
    for criterion in response.criteria:
        for name in criterion.missing(at_best):
            lacking.setdefault(name, []).append(criterion.mode)
    remarks = [
        Remark.of("unknown_value", name=name, modes=tuple(dict.fromkeys(modes)))
        for name, modes in lacking.items()
    ]
    if bent is not None and not bent.missing(at_best):
        remarks += [Remark.of("stood_in", name=name) for name in bent.stood_in(at_best)]
    if jaws_unknown(beam, beam.layout.zones):
        remarks.append(Remark.of("unknown_jaws"))
    return remarks


def begun(response: Response, breaking: Band | None) -> list[Remark]:
    """Tell what first buckles, shears or is crushed before the beam breaks, and lets its load shift."""
    if breaking is None:
        return []
    factor = response.model_factor("EI", response.at({}))
    first: dict[str, Remark] = {}
    for event in sorted(response.events(response.at({})), key=lambda one: float(one.load.flat[0])):
        force = float(event.load.flat[0] * factor)
        if force < (1 - _ONSET) * breaking.best:
            first.setdefault(
                event.mode, Remark.of("local_event", mode=event.mode, what=event.what, force=force)
            )
    return list(first.values())


def coarse(beam: Beam) -> list[Remark]:
    """Tell where too few cells span the core for a homogenised one."""
    inside = beam.layout.area("core")
    if beam.core is None or inside.is_empty:
        return []
    left, low, right, high = inside.bounds
    cells = min(right - left, high - low) / beam.core.pitch
    return [Remark.of("few_cells", cells=cells)] if cells < 2 else []
