"""One setting in, one estimate out: stiffness, breaking force with its mode, mass and time, each with a band."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from fem.bands import Band
from fem.beam_theory import TheoryBeam, theory_beams
from fem.bending import ELASTIC_ROOT, large_deflection_error
from fem.cell_store import CellStore
from fem.core import CoreCell, core_cell
from fem.criteria import Beam, StressedSection, criteria
from fem.failure import MODES, Criterion, forces_by_mode
from fem.printed import bonded_beads, zone_stiffness
from fem.section import Section, solve_section
from fem.section_mesh import SectionMesh, section_mesh
from fem.setting import Setting
from fem.weld_plane import WeldPlane, weld_plane
from patterns.cost import Machine, print_time
from patterns.deposit import Deposit, deposit
from patterns.layout import Layout, lay_out

DRAWS = 2000
SEED = 20260101
# Root rotation of a clamp: anywhere between rigid and an elastic half-plane of the beam's own material.
ROOT_RANGE = (0.0, ELASTIC_ROOT / 2, ELASTIC_ROOT)


@dataclass(frozen=True)
class Estimate:
    """What is expected of one setting; N, mm, MPa, g, min.

    Attributes
    ----------
    stiffness, EI, GA, GJ, mass, print_time : Band
    breaking_force : Band or None
        None where no mode could be evaluated.
    mode : str
        The governing mode, "" where there is none.
    modes : dict
        Band of each mode's force; None where it could not be evaluated.
    criteria : tuple of Criterion
        Every criterion looked at.
    set_fill, geometric_fill : float
        Of the core.
    shares : dict
        Share of EI, GA and mass carried by walls, faces and core.
    theory : dict
        Closed-form models by name.
    theory_force, theory_stiffness : float
        Solid-bar beam theory: breaking force (N, best strength on the gross section) and stiffness (N/mm).
    draws : dict
        Samples behind the bands, by name of the quantity; shape (DRAWS,).
    values : dict
        Best values of the material used.
    warnings : tuple of str
    """

    setting: Setting
    layout: Layout
    deposit: Deposit
    core: CoreCell | None
    stiffness: Band
    EI: Band
    GA: Band
    GJ: Band
    breaking_force: Band | None
    mode: str
    modes: dict[str, Band | None]
    criteria: tuple[Criterion, ...]
    mass: Band
    print_time: Band
    set_fill: float
    geometric_fill: float
    shares: dict[str, dict[str, float]]
    theory: dict[str, TheoryBeam]
    theory_force: float | None
    theory_stiffness: float
    draws: dict[str, np.ndarray] = field(repr=False)
    values: dict[str, float] = field(repr=False)
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True)
class SolvedSection:
    """A meshed section, its zones and its Saint-Venant solution."""

    mesh: SectionMesh
    section: Section
    stiffness: np.ndarray


def estimate(setting: Setting, machine: Machine | None = None, store: CellStore | None = None) -> Estimate:
    """Return the estimate of one setting.

    Ranges of the material card, of the clamp's root and of the print time are carried to every result by ``DRAWS``
    seeded draws from triangular distributions; the result's dependence on the elastic ratio across the beads is taken
    linear in logarithms (one more section solution).

    Raises
    ------
    InputError
        If the geometry or the test is impossible.
    SolverError
        If the mesh or the solver fails.
    """
    test, card = setting.test, setting.card
    warnings = list(test.check(setting.specimen.depth))
    layout = lay_out(setting.specimen, setting.printing, setting.core)
    warnings += layout.notes
    values = {name: value.best for name, value in card.values().items()}
    core = (
        None
        if layout.area("core").is_empty
        else core_cell(setting.core, setting.printing.bead, values["poisson"], store)
    )
    weld = weld_plane(layout, core, card)
    beam = _beam(setting, layout, core, weld, values)
    solved, laid = solve_layout(beam), deposit(layout)
    draws = _draws(setting)
    elastic = _elastic_draws(setting, layout, core, weld, solved, values, draws)
    shares = _shares(solved, layout, laid, setting)
    skin_share = 1 - shares["EI"].get("core", 0.0)
    found = criteria(beam, _stressed(solved, setting), skin_share)
    by_mode = forces_by_mode(found, draws)
    at_best = forces_by_mode(found, {name: np.array([value]) for name, value in values.items()})
    modes = {
        mode: None if forces is None else Band.of(float(at_best[mode][0]), forces)  # type: ignore[index]
        for mode, forces in by_mode.items()
    }
    known = {mode: band for mode, band in modes.items() if band}
    mode = min(known, key=lambda slug: known[slug].best) if known else ""
    sampled = [forces for forces in by_mode.values() if forces is not None]
    force_draws = np.min(sampled, axis=0) if sampled else np.full(DRAWS, np.nan)
    breaking = Band.of(known[mode].best, force_draws) if known else None
    warnings += _warn(setting, known, breaking, elastic["EI"][1])
    time = print_time(laid, machine)
    mass = laid.mass(values["density_g_cm3"])
    bands = {name: Band.of(best, sample) for name, (sample, best) in elastic.items()}
    theory, theory_stiffness, theory_force = _theory(beam, values)
    return Estimate(
        setting=setting,
        layout=layout,
        deposit=laid,
        core=core,
        stiffness=bands["stiffness"],
        EI=bands["EI"],
        GA=bands["GA"],
        GJ=bands["GJ"],
        breaking_force=breaking,
        mode=mode,
        modes=modes,
        criteria=tuple(found),
        mass=Band.of(mass, mass * draws["density_g_cm3"] / values["density_g_cm3"]),
        print_time=Band(time.low, time.best, time.high),
        set_fill=setting.core.set_fill if core else 0.0,
        geometric_fill=core.geometric_fill if core else 0.0,
        shares=shares,
        theory=theory,
        theory_force=theory_force,
        theory_stiffness=theory_stiffness,
        draws={"breaking_force": force_draws, **{name: sample for name, (sample, _) in elastic.items()}},
        values=values,
        warnings=tuple(dict.fromkeys(warnings)),
    )


def _beam(
    setting: Setting, layout: Layout, core: CoreCell | None, weld: WeldPlane, values: dict[str, float]
) -> Beam:
    E, nu = values["young_mpa"], values["poisson"]
    beads = bonded_beads(E, values["across_bead_ratio"] * E, weld.modulus_ratio * E, nu)
    return Beam(layout, setting.test, beads, E, nu, core, weld)


def solve_layout(beam: Beam) -> SolvedSection:
    """Mesh the zones of a layout and solve the section with the core homogenised."""
    layout = beam.layout
    used = [zone for zone in layout.zones if zone.role != "remnant"]
    meshed = section_mesh(
        [zone.area for zone in used], min(layout.specimen.width, layout.specimen.depth) / 12
    )
    C = np.zeros((meshed.mesh.nelements, 6, 6))
    core = beam.core.stiffness * beam.young if beam.core is not None else np.zeros((6, 6))
    middles = meshed.mesh.p[:, meshed.mesh.t[:3]].mean(axis=1).T
    for number, zone in enumerate(used):
        here = meshed.zone == number
        C[here] = zone_stiffness(zone, layout, beam.beads, core, middles[here])
    return SolvedSection(meshed, solve_section(meshed.mesh, C), C)


def _stressed(solved: SolvedSection, setting: Setting) -> StressedSection:
    """Stress per newton under the largest moment and the largest shear, the load pushing down on the top."""
    test, section = setting.test, solved.section
    # A cantilever pushed down at its tip is in tension on top, a supported beam at the bottom.
    sign = 1.0 if test.kind == "cantilever" else -1.0
    moment = section.bending_resultants(sign * test.moment_per_force, 0.0, test.load_angle_deg)
    shear = section.bending_resultants(0.0, test.shear_per_force, test.load_angle_deg)
    points = section.points("points")
    n = points.shape[1]
    return StressedSection(
        zones=np.repeat(solved.mesh.zone, n),
        points=points.reshape(-1, 2),
        bending=section.stresses(moment, "points").reshape(-1, 6),
        shear=section.stresses(shear, "points").reshape(-1, 6),
    )


def _draws(setting: Setting) -> dict[str, np.ndarray]:
    """Draw every card value; the same seed gives every setting the same material, so settings compare fairly."""
    rng = np.random.default_rng(SEED)
    draws = {name: value.sample(rng, DRAWS) for name, value in setting.card.values().items()}
    draws["root"] = rng.triangular(*ROOT_RANGE, DRAWS)
    return draws


def _elastic_draws(
    setting: Setting,
    layout: Layout,
    core: CoreCell | None,
    weld: WeldPlane,
    solved: SolvedSection,
    values: dict[str, float],
    draws: dict[str, np.ndarray],
) -> dict[str, tuple[np.ndarray, float]]:
    """Return (samples, best) of EI, GA, GJ and stiffness along the load."""
    test, depth = setting.test, setting.specimen.depth
    angle = test.load_angle_deg
    step = 1.05
    shifted = {**values, "across_bead_ratio": values["across_bead_ratio"] * step}
    other = solve_layout(_beam(setting, layout, core, weld, shifted)).section
    young = draws["young_mpa"] / values["young_mpa"]
    ratio = np.log(draws["across_bead_ratio"] / values["across_bead_ratio"])
    shear = (1 + values["poisson"]) / (1 + draws["poisson"])
    found = {}
    for name, at_best, at_shifted, extra in (
        ("EI", solved.section.bending_stiffness(angle), other.bending_stiffness(angle), 1.0),
        ("GA", solved.section.shear_stiffness(angle), other.shear_stiffness(angle), shear),
        ("GJ", solved.section.GJ, other.GJ, shear),
    ):
        slope = np.log(at_shifted / at_best) / np.log(step)
        found[name] = (at_best * young * np.exp(slope * ratio) * extra, at_best)
    EI, GA = found["EI"], found["GA"]
    samples = 1 / (
        test.bending_compliance(1.0) / EI[0]
        + test.shear_compliance(1.0) / GA[0]
        + test.root_compliance(1.0, depth, 1.0) * draws["root"] / EI[0]
        + test.compliance
    )
    found["stiffness"] = (samples, test.stiffness(EI[1], GA[1], depth, ROOT_RANGE[1]))
    return found


def _shares(
    solved: SolvedSection, layout: Layout, laid: Deposit, setting: Setting
) -> dict[str, dict[str, float]]:
    """Share of bending energy, shear energy and mass in walls, faces and core (their EI, GA and mass)."""
    section, angle = solved.section, setting.test.load_angle_deg
    used = [zone.role for zone in layout.zones if zone.role != "remnant"]
    shares: dict[str, dict[str, float]] = {}
    for name, resultants in (
        ("EI", section.bending_resultants(1.0, 0.0, angle)),
        ("GA", section.bending_resultants(0.0, 1.0, angle)),
    ):
        energy = section.element_energy(resultants)
        by_zone = np.bincount(solved.mesh.zone, energy, len(used))
        shares[name] = {role: float(part / energy.sum()) for role, part in zip(used, by_zone, strict=True)}
    total = sum(laid.length.values())
    shares["mass"] = {role: length / total for role, length in laid.length.items() if length > 0}
    return shares


def _theory(beam: Beam, values: dict[str, float]) -> tuple[dict[str, TheoryBeam], float, float | None]:
    """Closed-form models; stiffness and force of the solid bar with a rigid root and no shear."""
    from fem.criteria import _axial_modulus, _modulus
    from fem.material import rotate
    from patterns.orientation import beam_from_print

    layout, test = beam.layout, beam.test
    moduli: dict[str, float] = {
        zone.role: _axial_modulus(beam, zone) for zone in layout.zones if zone.role in ("wall", "face")
    }
    if beam.core is not None:
        R = beam_from_print(layout.printing.orientation)
        moduli["core"] = _modulus(rotate(beam.core.stiffness, R) * beam.young, 0)
    solid = beam.young * (beam.weld.modulus_ratio if layout.printing.orientation == "upright" else 1.0)
    fill = beam.core.geometric_fill if beam.core else 0.0
    found = theory_beams(layout, moduli, solid, fill, test.load_angle_deg)
    bar = found["solid bar"]
    name = "weld_bending_mpa" if layout.printing.orientation == "upright" else "bending_along_mpa"
    strength = values.get(name)
    if strength is not None and name == "weld_bending_mpa":
        strength *= beam.weld.contact
    force = strength / (bar.stress_per_moment * test.moment_per_force) if strength else None
    return found, 1 / (test.bending_compliance(bar.EI) + test.compliance), force


def _warn(setting: Setting, known: dict[str, Band], breaking: Band | None, EI: float) -> Sequence[str]:
    found = []
    missing = [mode for mode in MODES if mode not in known]
    if not known:
        found.append("no failure mode could be evaluated: the material card knows no strength that applies")
    elif "weld_tension" in missing and setting.printing.orientation == "upright":
        found.append(
            "weld strength unknown: an upright beam most often breaks there, so the force is an upper bound"
        )
    if breaking and setting.test.kind == "cantilever":
        error = large_deflection_error(breaking.best, setting.test.lever, EI)
        if error > 0.02:
            found.append(
                f"large deflection: linear theory overestimates the travel at break by {100 * error:.0f} %"
            )
    return found


def with_fill(setting: Setting, set_fill: float) -> Setting:
    """Return the setting with another set fill."""
    return replace(setting, core=replace(setting.core, set_fill=set_fill))
