"""A study of our own invention with estimates by plain formulas, so that pages can be made without solving anything."""

import math
from dataclasses import dataclass, replace
from types import SimpleNamespace

import numpy as np

from fem.beam.response import Response
from fem.bending.bending import BendTest
from fem.draws import DRAWS
from fem.material.bands import Band
from fem.material.stiffness import isotropic
from fem.strength.failure import MODES
from fem.strength.webs import Web
from fem.strength.welds import Welds
from patterns.outlines.layout import lay_out
from patterns.paths.deposit import deposit
from patterns.remark import Remark
from validation.measured.measured import Measured, MeasuredBeam
from validation.results.beside import Results
from validation.study.study import build

STUDY = {
    "title": "Brackets of a kite reel",
    "note": "Invented scenario.",
    "invented": True,
    "specimen": {"shape": "rectangle", "width_mm": 12.0, "depth_mm": 8.0, "length_mm": 100.0},
    "print": {"orientation": "flat", "bead_width_mm": 0.5, "layer_height_mm": 0.25, "walls": 2},
    "core": {"pattern": "square", "set_fill": 0.3, "angle_deg": 30.0},
    "test": {"kind": "three_point", "span_mm": 80.0},
    "material": {"card": "PETG"},
    "vary": {"core.pattern": ["square", "kagome"], "print.walls": [1, 3], "core.set_fill": [0.2, 0.4, 0.55]},
}


# stands for draws of a material card: the same for all settings
SPREAD = np.linspace(0.85, 1.15, DRAWS)


def band(best, spread=0.15):
    return Band((1 - spread) * best, best, (1 + spread) * best)


def invented_estimate(setting):
    """Stand-in for an estimate: the real layout and deposit, all other numbers by a rule of thumb."""
    layout = lay_out(setting.specimen, setting.printing, setting.core)
    laid = deposit(layout)
    mass = laid.mass(1.27)
    fill = setting.core.set_fill
    walls = setting.printing.walls
    core = None
    if layout.infill:
        core = SimpleNamespace(
            relative_error=1e-4 * (1 + fill), pitch=layout.infill.pitch, stiffness=isotropic(0.2, 0.3)
        )
    EI = 1e6 * (1 + walls + fill)
    GA = 2e4 * (0.2 + fill)
    stiffness = 1 / (setting.test.bending_compliance(EI) + setting.test.shear_compliance(GA))
    force = 100 * (1 + 0.4 * walls + fill) * (1.1 if setting.core.pattern == "kagome" else 1.0)
    forces = {mode: band(force * (1 + 0.3 * number)) for number, mode in enumerate(MODES)}
    forces["crush"] = None
    mode = MODES[0]
    response = invented_response(setting, {slug: ends.best for slug, ends in forces.items() if ends}, EI, GA)
    return SimpleNamespace(
        setting=setting,
        layout=layout,
        deposit=laid,
        core=core,
        stiffness=band(stiffness),
        EI=band(EI),
        GA=band(GA),
        GJ=band(EI / 3),
        EA=band(EI / 10),
        breaking_force=forces[mode],
        mode=mode,
        modes=forces,
        criteria=response.criteria,
        joint=None,
        first_damage=band(0.8 * force),
        damaged="wall, along the bead",
        curve=None,
        mass=band(mass, 0.02),
        print_time=band(4 * math.sqrt(mass), 0.3),
        set_fill=fill,
        geometric_fill=fill - fill**2 / 4,
        shares={
            name: {"wall": 0.4, "face": 0.5 - fill / 4, "core": 0.1 + fill / 4}
            for name in ("EI", "GA", "mass")
        },
        theory={},
        theory_force=2 * force,
        section_elements=400,
        theory_stiffness=2 * stiffness,
        values={"density_g_cm3": 1.27, **response.values},
        response=response,
        draws={
            "breaking_force": force * SPREAD,
            "stiffness": stiffness * SPREAD,
            "mass": mass * SPREAD**0.1,
            "mode": np.zeros(len(SPREAD), dtype=int),
        },
        warnings=(Remark.of("few_cells", cells=1.2),),
    )


@dataclass(frozen=True)
class Limit:
    """Stand-in for a local collapse: a force by one strength of the card, falling as the moment per force grows."""

    test: BendTest
    mode: str
    what: str
    stress: float
    place: tuple[float, float]
    strength: str
    source: str

    def missing(self, known):
        return [] if self.strength in known else [self.strength]

    def moved(self, test):
        stress = self.stress * test.moment_per_force / self.test.moment_per_force
        return replace(self, test=test, stress=stress)

    def forces(self, draws):
        return None if self.missing(draws) else draws[self.strength] / self.stress

    def first(self, draws):
        return None


def invented_response(setting, forces, EI=1e6, GA=2e4):
    """Stand-in for a response: modes with given forces in N by one strength of the card, core shear by a web."""
    values = {name: value.best for name, value in setting.card.values().items()}
    strength = values["weld_shear_mpa"] = values["shear_mpa"]
    criteria = tuple(
        Limit(
            setting.test,
            mode,
            f"part that fails by {mode}",
            strength / force,
            (1.5, -4.0),
            "shear_mpa",
            "a rule of thumb",
        )
        for mode, force in forces.items()
        if mode != "core_shear"
    )
    webs = ()
    if "core_shear" in forces:
        area = forces["core_shear"] * setting.test.shear_per_force / strength
        webs = (Web("core", 1.0, area, 1.0, 0.0, 1.0, 1.0, False, Welds(None, setting.printing.bead)),)
    best, slopes = {"EI": EI, "GA": GA, "GJ": EI / 3}, {"EI": 0.0, "GA": 0.0, "GJ": 0.0}
    depth = setting.specimen.depth
    return Response(setting.test, depth, depth, values, best, slopes, criteria, webs=webs)


def invented_study(path, **changes):
    """The study, its file written to ``path`` so that it can be hashed."""
    raw = {**STUDY, **changes}
    path.write_text(f"# stands for {raw['title']!r}\n", encoding="utf-8")
    return build(raw, path)


def invented_results(study, repeats=0, path=None, names="B", build="P", reason="", note=""):
    """Results with ``repeats`` measured beams per setting, the first of all excluded."""
    estimates = [invented_estimate(named.setting) for named in study.settings]
    if not repeats:
        return Results.of(study, estimates, None), None
    beams = []
    for place, found in enumerate(estimates):
        for number in range(repeats):
            share = 0.9 + 0.05 * number + 0.01 * place
            first = not beams
            beams.append(
                MeasuredBeam(
                    line=len(beams) + 2,
                    specimen=f"{names}{len(beams) + 1}",
                    setting=place,
                    breaking_force=share * found.breaking_force.best,
                    stiffness=0.95 * share * found.stiffness.best,
                    mass=1.01 * found.mass.best,
                    valid=not first,
                    exclude_reason=(reason or "slipped") if first else "",
                    build=f"{build}{number + 1}",
                    test_order=str(7 * len(beams) % 37),
                    mode="weld_tension" if number else "T",
                    note=note,
                )
            )
    path.write_text("stands for the table of beams\n", encoding="utf-8")
    measured = Measured(path, tuple(beams), ())
    return Results.of(study, estimates, measured), measured
