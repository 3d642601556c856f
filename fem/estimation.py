"""One setting in, one estimate out: stiffness, breaking force with its mode, mass and time, each with a band."""

from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from fem.beam.carrying import bent, webs
from fem.beam.joint import Joint, open_joint
from fem.beam.response import ELASTIC_NAMES, Response
from fem.beam.section_model import SectionModel, beads_of, element_stiffness, mesh_layout, solve_layout
from fem.bending.beam_theory import TheoryBeam
from fem.draws import draw_values, first_damage, governing_mode, mass_factor, mode_bands
from fem.handbook import handbook, moduli_of
from fem.material.bands import Band
from fem.material.stiffness import isotropic
from fem.printed.cell_store import CellStore
from fem.printed.core import CoreCell, core_cell
from fem.printed.weld_plane import weld_plane
from fem.remarks import begun, bends_far, coarse, is_loose, loose, opened, overfull, unevaluated
from fem.setting import Setting
from fem.slices.resolved import with_model_error
from fem.strength.criteria import Beam
from fem.strength.crush import crush
from fem.strength.failure import Criterion
from fem.strength.moment_curvature import Curve
from fem.strength.tension import Pulled
from fem.tables import UNITS, column, html_table, significant
from patterns.errors import SolverError
from patterns.outlines.layout import Layout, lay_out
from patterns.outlines.outline import depth_along_load, root_depth
from patterns.paths.cost import Machine, print_time
from patterns.paths.deposit import Deposit, deposit
from patterns.remark import Remark

# Step of the logarithm of the modulus ratio for the slope of EI, GA, GJ and EA.
_STEP = 1e-3


@dataclass(frozen=True)
class Estimate:
    """What is expected of one setting; N, mm, MPa, g, min.

    Attributes
    ----------
    stiffness, EI, GA, GJ, EA, mass, print_time : Band
    breaking_force : Band or None
        None where no mode could be evaluated.
    mode : str
        The governing mode, "" where there is none.
    modes : dict
        Band of each mode's force; None where it could not be evaluated.
    set_fill, geometric_fill : float
        Of the core.
    shares : dict
        Share of EI, GA and mass carried by walls, faces and core.
    theory : dict
        Closed-form models by name.
    theory_force, theory_stiffness : float
        Solid-bar beam theory: force at first yield (N, best strength on the gross section) and stiffness (N/mm).
    joint : Joint or None
        Best results with core and walls not bonded; None where that changes EI by less than 2 %.
    first_damage : Band or None
        Force at which something first yields, breaks or buckles, N.
    damaged : str
        What that is, "" where nothing is evaluated.
    curve : Curve or None
        Moment over curvature at the best values, to the last break; None where the strengths are unknown.
    section_elements : int
        Triangles of the meshed section.
    response : Response
        Stiffness and force as functions of the material.
    draws : dict
        Samples behind the bands, by name of the quantity, shape (DRAWS,); of the governing ``mode`` its place in MODES.
    warnings : tuple of Remark
    """

    setting: Setting
    layout: Layout
    deposit: Deposit
    core: CoreCell | None
    stiffness: Band
    EI: Band
    GA: Band
    GJ: Band
    EA: Band
    breaking_force: Band | None
    mode: str
    modes: dict[str, Band | None]
    mass: Band
    print_time: Band
    set_fill: float
    geometric_fill: float
    shares: dict[str, dict[str, float]]
    theory: dict[str, TheoryBeam]
    theory_force: float | None
    theory_stiffness: float
    joint: Joint | None
    first_damage: Band | None
    damaged: str
    curve: Curve | None
    section_elements: int
    response: Response = field(repr=False)
    draws: dict[str, np.ndarray] = field(repr=False)
    warnings: tuple[Remark, ...] = ()

    @property
    def values(self) -> dict[str, float]:
        """Best material values used."""
        return self.response.values

    @property
    def criteria(self) -> tuple[Criterion, ...]:
        """Local collapse at nose or jaws."""
        return self.response.criteria

    def to_rows(self) -> list[dict[str, Any]]:
        """Return one row: numbers with units in the keys, ends of bands as ``_low`` and ``_high``."""
        core, printing = self.setting.core, self.setting.printing
        row: dict[str, Any] = {"pattern": core.pattern, "orientation": printing.orientation}
        row |= {"walls": printing.walls, "set_fill": self.set_fill, "geometric_fill": self.geometric_fill}
        for name in UNITS:
            band: Band | None = getattr(self, name)
            ends = band.as_dict() if band else {}
            row |= {
                column(name, "" if end == "best" else end): ends.get(end) for end in ("best", "low", "high")
            }
        return [{**row, "mode": self.mode}]

    def _repr_html_(self) -> str:
        (row,) = self.to_rows()
        told = [
            [
                name.replace("_", " "),
                *(significant(row[column(name, end)]) for end in ("", "low", "high")),
                unit,
            ]
            for name, unit in (
                ("breaking_force", "N"),
                ("stiffness", "N/mm"),
                ("mass", "g"),
                ("print_time", "min"),
            )
        ]
        title = f"{row['pattern']} at set fill {self.set_fill:.3g}, {self.setting.card.name}"
        mode = self.mode.replace("_", " ") or "not evaluated"
        notes = ["Best value with its 5 % and 95 % points.", f"Breaks by: {mode}."]
        notes += [f"Remarks: {len(self.warnings)}, see warnings."] if self.warnings else []
        return html_table(["", "best", "low", "high", "unit"], told, title, notes)


def estimate(
    setting: Setting,
    machine: Machine | None = None,
    store: CellStore | None = None,
    resolve: bool = False,
) -> Estimate:
    """Return the estimate of one setting.

    Ranges of the material card, of the clamp's root and of the print time are carried to every result by
    ``fem.draws.DRAWS`` seeded draws from triangular distributions; the phase of the core's lines, uniform, to the mass.

    Parameters
    ----------
    setting : Setting
        What is printed and how it is bent.
    machine : Machine, optional
        Speeds of the printer; plain defaults otherwise.
    store : CellStore, optional
        Where solved cells are kept between runs.
    resolve : bool
        Also solve the beam with its lines drawn, at several phases, and carry the difference in the bands: upright
        sections whose layers are alike, and one period of flat and on-edge beams.

    Raises
    ------
    InputError
        If the geometry or the test is impossible.
    SolverError
        If the mesh or the solver fails.

    Examples
    --------
    A solid bar of beads along it is as stiff as the handbook's, F/w = 48 E I/L^3 less some shear (Timoshenko, Strength
    of Materials, part I).

    >>> from fem import Bead, BendTest, Core, Printing, Setting, Specimen, estimate, shipped_card
    >>> bar = Setting(
    ...     specimen=Specimen("rectangle", width=10.0, depth=4.0, length=80.0),
    ...     printing=Printing("flat", Bead(0.5, 0.2), walls=10, bottom_layers=0, top_layers=0),
    ...     core=Core("square", set_fill=0.3),
    ...     test=BendTest("three_point", span=64.0),
    ...     card=shipped_card("PLA"),
    ... )
    >>> found = estimate(bar)
    >>> handbook = 48 * bar.card.young_mpa.best * (10.0 * 4.0**3 / 12) / 64.0**3
    >>> 0.97 < found.stiffness.best / handbook < 1.0
    True
    """
    layout = lay_out(setting.specimen, setting.printing, setting.core)
    warnings = list(setting.test.check(depth_along_load(setting.specimen, setting.test.load_angle_deg)))
    beam, values = prepare(setting, layout, store)
    model, response = _solve(beam, values)
    if resolve and beam.core:
        response, remarks = with_model_error(response, beam, values)
        warnings += remarks
    return _answered(setting, beam, model, response, machine, warnings)


def _answered(
    setting: Setting,
    beam: Beam,
    model: SectionModel,
    response: Response,
    machine: Machine | None,
    warnings: list[Remark],
) -> Estimate:
    """Return the estimate of a solved section: best values, bands by draws, theory and remarks."""
    layout, core, values, laid = beam.layout, beam.core, response.values, deposit(beam.layout)
    draws = draw_values(setting)
    bands = {name: Band.of(response.best[name], response.elastic(name, draws)) for name in ELASTIC_NAMES}
    stiffness_draws = response.stiffness(draws)
    modes, governing, force_draws = mode_bands(response, draws)
    mode, breaking = governing_mode(response, modes, force_draws)
    time = print_time(laid, machine)
    mass = laid.mass(values["density_g_cm3"])
    mass_draws = mass * mass_factor(laid, values["density_g_cm3"], draws)
    moduli = moduli_of(beam)
    theory, theory_stiffness, theory_force = handbook(beam, moduli, values)
    joint = open_joint(beam, model.zones, model.mesh, response, moduli)
    damage, damaged = first_damage(response, draws)
    warnings += [*layout.notes, *overfull(layout, laid), *model.section.notes]
    warnings += [*opened(joint, response, breaking), *unevaluated(beam, response), *begun(response, breaking)]
    warnings += [*([] if response.model else coarse(beam)), *bends_far(setting, response, breaking)]
    return Estimate(
        setting=setting,
        layout=layout,
        deposit=laid,
        core=core,
        stiffness=Band.of(float(response.stiffness(response.at({}))[0]), stiffness_draws),
        EI=bands["EI"],
        GA=bands["GA"],
        GJ=bands["GJ"],
        EA=bands["EA"],
        breaking_force=breaking,
        mode=mode,
        modes=modes,
        mass=Band.of(mass, mass_draws),
        print_time=Band(time.low, time.best, time.high),
        set_fill=setting.core.set_fill if core else 0.0,
        geometric_fill=core.geometric_fill if core else 0.0,
        shares={**model.shares(setting.test.load_angle_deg), "mass": _mass_shares(laid)},
        theory=theory,
        theory_force=theory_force,
        theory_stiffness=theory_stiffness,
        joint=joint,
        first_damage=damage,
        damaged=damaged,
        curve=response.curve(response.at({})),
        section_elements=model.mesh.mesh.nelements,
        response=response,
        draws={
            "breaking_force": force_draws,
            "stiffness": stiffness_draws,
            "mass": mass_draws,
            "mode": governing,
        },
        warnings=tuple(dict.fromkeys(warnings)),
    )


def prepare(
    setting: Setting, layout: Layout, store: CellStore | None = None
) -> tuple[Beam, dict[str, float]]:
    """Return core, welds and beads of a layout at the best card values, and these values."""
    values = {name: value.best for name, value in setting.card.values().items()}
    scatter = layout.printing.width_scatter
    core = core_cell(layout.infill, values["poisson"], store, scatter) if layout.infill else None
    weld = weld_plane(layout, core, setting.card, store)
    core = core.stacked(weld.modulus_ratio) if core else None
    beads = _solid(layout, values, weld.modulus_ratio)
    return Beam(layout, setting.test, beads, values["young_mpa"], values["poisson"], core, weld), values


def _solid(layout: Layout, values: dict[str, float], ratio: float) -> np.ndarray:
    """Return the stiffness (6, 6) of bonded beads, MPa, or of the polymer of a beam without any."""
    if layout.specimen.is_bulk:
        return isotropic(values["young_mpa"], values["poisson"])
    return beads_of(values, ratio)


def _solve(beam: Beam, values: dict[str, float]) -> tuple[SectionModel, Response]:
    """Solve the section at the best values, with its slope in the modulus ratio across the beads."""
    angle = beam.test.load_angle_deg
    zones, mesh = mesh_layout(beam.layout)
    try:
        model = solve_layout(beam, zones, mesh)
    except SolverError as error:
        raise loose(beam) if is_loose(beam) else error from None

    def stiffness_at(shift: float) -> np.ndarray:
        ratio = values["across_bead_ratio"] * np.exp(shift)
        beads = _solid(beam.layout, {**values, "across_bead_ratio": ratio}, beam.weld.modulus_ratio)
        return element_stiffness(replace(beam, beads=beads), zones, mesh)

    pulled, fibres = beam.test.is_pulled, bent(beam, model)
    best = model.elastic(angle)
    response = Response(
        test=beam.test,
        depth=depth_along_load(beam.layout.specimen, angle),
        root_depth=root_depth(beam.layout.specimen, angle),
        values=values,
        best=best,
        slopes=model.slopes((stiffness_at(_STEP) - stiffness_at(-_STEP)) / (2 * _STEP), angle),
        criteria=crush(beam, zones),
        bent=Pulled.of(fibres, best["EA"]) if pulled and fibres else fibres,
        webs=() if pulled else webs(beam, model),
    )
    return model, response


def _mass_shares(laid: Deposit) -> dict[str, float]:
    total = sum(laid.length.values())
    return {role: length / total for role, length in laid.length.items() if length > 0}


def with_fill(setting: Setting, set_fill: float) -> Setting:
    """Return the setting with another set fill."""
    return replace(setting, core=replace(setting.core, set_fill=set_fill))
