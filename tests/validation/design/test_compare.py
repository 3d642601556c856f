"""Fair comparisons: equal mass, named load axis, ties called ties, gains, and trends that others have measured."""

import json
from dataclasses import dataclass, field, replace
from types import SimpleNamespace

import numpy as np
import pytest

from fem.bending.bending import BendTest
from fem.estimation import estimate
from fem.material.bands import Band
from fem.material.cards import shipped_card
from fem.setting import Setting
from patterns.bead import Bead
from patterns.catalogue import CATALOGUE, find
from patterns.errors import SolverError
from patterns.fill import default_corner_radius, fill_for
from patterns.setting import Core, Printing, Specimen
from tests.validation.small_studies import STUDY, write_study
from validation.cli import main
from validation.design.compare import (
    QUANTITIES,
    WALLS_ONLY,
    PatternCandidate,
    candidates,
    default_patterns,
    gains,
    left_out,
    load_axis,
    patterns_of,
    rank,
    steps,
    tied,
    told_reason,
    winner,
)
from validation.design.compare_output import print_ranking
from validation.design.equal_mass import at_mass, mass_of

DRAWS = np.random.default_rng(5).normal(1.0, 0.1, (3, 2000))  # material, and two independent scatters


@dataclass
class Found:
    """What comparisons look at in an estimate."""

    stiffness: Band
    breaking_force: Band | None
    draws: dict
    mass: Band = field(default_factory=lambda: Band(9.9, 10.0, 10.1))
    print_time: Band = field(default_factory=lambda: Band(50.0, 60.0, 70.0))
    core: object = field(default_factory=lambda: SimpleNamespace(relative_error=1e-4))
    set_fill: float = 0.3
    mode: str = "core_shear"


def found(best: float, material=DRAWS[0], own=1.0, force: float | None = None, **more) -> Found:
    """An estimate whose draws follow the shared material and, with ``own``, something else."""
    sample = best * material * own
    forces = None if force is None else force * material * own
    return Found(
        Band.of(best, sample),
        None if forces is None else Band.of(force, forces),
        {"stiffness": sample, "breaking_force": np.full(2000, np.nan) if forces is None else forces},
        **more,
    )


# --- ties -------------------------------------------------------------------------------------------------------


def test_a_tie_is_a_ratio_that_holds_one():
    base = found(100.0)
    assert tied(base, found(100.0), "stiffness")
    assert tied(base, found(100.2), "stiffness")  # masses are equal to 0.1 % only
    better = found(105.0)
    assert better.stiffness.low < base.stiffness.high  # bands overlap, the shared material cancels
    assert not tied(base, better, "stiffness")
    assert tied(found(100.0, own=DRAWS[1]), found(105.0, own=DRAWS[2]), "stiffness")  # nothing cancels here


def test_ties_are_mutual_and_allow_for_the_error_of_the_cells():
    rough = SimpleNamespace(relative_error=0.02)
    one, other = found(100.0), found(102.0, core=rough)
    assert tied(one, other, "stiffness")
    assert tied(other, one, "stiffness")
    assert not tied(one, found(102.0), "stiffness")
    assert tied(one, found(100.1, core=None), "stiffness")  # walls alone have no cell


def test_what_is_unknown_ties_with_nothing():
    assert not tied(found(100.0), found(100.0), "breaking_force")
    assert not tied(found(100.0, force=5.0), found(100.0), "breaking_force")


# --- ranking ----------------------------------------------------------------------------------------------------


@pytest.fixture
def setting() -> Setting:
    return Setting(
        Specimen("rectangle", 8.0, 8.0, 70.0),
        Printing("flat", Bead(0.5, 0.25), walls=1, bottom_layers=2, top_layers=2),
        Core("square", 0.3),
        BendTest("three_point", span=60.0),
        shipped_card("PLA"),
    )


def invented(setting: Setting) -> Found:
    """Square wins along z and triangular along y, where hexagonal ties with it; kagome cannot be solved."""
    pattern, angle = setting.core.pattern, setting.test.load_angle_deg
    if setting.core.set_fill == 0:
        return found(50.0, force=5.0)
    if pattern == "kagome":
        raise SolverError("no mesh")
    stiffness = {"square": (120.0, 80.0), "triangular": (110.0, 100.0), "hexagonal": (100.0, 99.9)}
    return found(stiffness[pattern][int(angle > 45)], force=10.0 if pattern == "hexagonal" else None)


def test_patterns_are_ranked_for_each_load_direction_with_the_walls_as_a_base_line(setting):
    names = ("hexagonal", "kagome", "square", "triangular")
    items = [PatternCandidate(name, replace(setting, core=Core(name, 0.3))) for name in names]
    items += [
        PatternCandidate("concentric", None, reason="too light"),
        PatternCandidate(WALLS_ONLY, hollow(setting)),
    ]
    along_z, along_y = (rank(items, angle, invented) for angle in (0.0, 90.0))
    assert [item.name for item in along_z] == [
        "square", "triangular", "hexagonal", WALLS_ONLY, "kagome", "concentric",
    ]  # fmt: skip
    assert [item.name for item in along_y[:3]] == ["triangular", "hexagonal", "square"]
    assert [item.reason for item in along_z[4:]] == ["no mesh", "too light"]
    assert winner(along_z, "stiffness").name == "square"
    assert winner(along_y, "stiffness").name == "triangular"
    assert winner(along_y, "breaking_force").name == "hexagonal"  # the only one that is known
    assert along_y[0].ties == {"stiffness": ("hexagonal",), "breaking_force": ()}
    assert along_z[0].ties == {"stiffness": (), "breaking_force": ()}
    assert {item.setting.test.load_angle_deg for item in along_y if item.estimate} == {90.0}


def hollow(setting: Setting) -> Setting:
    return replace(setting, core=replace(setting.core, set_fill=0.0))


def test_no_winner_where_nothing_is_known(setting):
    ranked = rank([PatternCandidate(WALLS_ONLY, hollow(setting))], 0.0, invented)
    assert winner(ranked, "stiffness") is None


def test_a_reason_names_its_pattern_once():
    assert told_reason(PatternCandidate("kagome", None, reason="no mesh")) == "kagome: no mesh"
    assert told_reason(PatternCandidate("solid", None, reason="solid weighs 9 g")) == "solid weighs 9 g"


def test_ties_are_explained_only_where_there_are_some(setting, capsys):
    items = [
        PatternCandidate(name, replace(setting, core=Core(name, 0.3))) for name in ("hexagonal", "triangular")
    ]
    for angle, tied_ones in ((0.0, 0), (90.0, 1)):
        print_ranking(4.0, angle, rank(items, angle, invented))
        assert capsys.readouterr().out.count("Tied: ") == tied_ones


def test_candidates_have_equal_mass_or_a_reason(setting):
    mass = mass_of(setting)
    items = candidates(setting, ["square", "solid"], mass)
    assert [item.name for item in items] == ["square", "solid", WALLS_ONLY]
    assert mass_of(items[0].setting) == pytest.approx(mass, rel=1e-3)
    assert items[1].setting is None
    assert items[1].reason.startswith("solid weighs")
    assert mass_of(items[2].setting) < mass


def test_load_axes_have_names():
    assert [load_axis(angle) for angle in (0, 90, -90, 180, 45)] == [
        "z (depth)", "y (width)", "y (width)", "z (depth)", "45 deg from z (depth)",
    ]  # fmt: skip


def test_default_patterns_are_quick_and_carry_both_ways():
    assert {"square", "hexagonal", "triangular", "alternating"} <= set(default_patterns())
    assert not {"solid", "gyroid", "concentric", "parallel"} & set(default_patterns())


def test_the_patterns_of_a_study_are_ranked_where_it_varies_them(setting):
    both = [replace(setting, core=Core(name, 0.3)) for name in ("gyroid", "square")]
    assert patterns_of(both) == ["gyroid", "square"]
    assert set(patterns_of([both[0]])) == {"gyroid", *default_patterns()}


@pytest.mark.parametrize(("ranked", "varied"), [(["gyroid", "square"], True), (["square"], False)])
def test_every_pattern_is_ranked_or_left_out_with_its_reason(ranked, varied):
    told = left_out(ranked, varied)
    assert sorted([*ranked, *(name for names in told.values() for name in names)]) == sorted(CATALOGUE)
    assert all(told)
    if not varied:
        assert "gyroid" in told["takes minutes"]


# --- gains ------------------------------------------------------------------------------------------------------


def test_steps_change_one_thing_each(setting):
    found = steps(setting)
    assert found["+1 wall"].printing.walls == 2
    faces = found["+1 face layer on both sides"].printing
    assert (faces.bottom_layers, faces.top_layers) == (3, 3)
    assert found["+10 points of fill"].core.set_fill == pytest.approx(0.4)
    assert found["bead wider by a tenth"].printing.bead.width == pytest.approx(0.55)
    nearly = replace(setting, core=Core("square", 0.95))
    assert "+5 points of fill" in steps(nearly)
    full = replace(setting, core=Core("solid", 1.0))
    assert not any("fill" in step for step in steps(full))


def test_gains_are_differences_of_two_estimates_per_gram_and_per_minute(setting):
    def priced(changed: Setting) -> Found:
        if changed.printing.bead.width != 0.5:
            raise SolverError("no mesh")
        walls, fill = changed.printing.walls - 1, round(10 * changed.core.set_fill - 3)
        more = changed.printing.top_layers - 2
        mass, time = 10.0 + 2 * walls + 1 * fill - 0.5 * more, 60.0 + 4 * walls + 5 * fill + 1 * more
        return found(
            100.0 + 30 * walls + 5 * fill + more,
            force=50.0 + 12 * walls + 8 * fill + more,
            mass=Band(mass, mass, mass),
            print_time=Band(time, time, time),
        )

    fill, wall, face, bead = gains(setting, priced)
    assert (fill.step, wall.step, face.step) == (
        "+10 points of fill",
        "+1 wall",
        "+1 face layer on both sides",
    )
    assert (bead.step, bead.reason) == ("bead wider by a tenth", "no mesh")
    assert (fill.mass, fill.print_time, fill.per_gram("breaking_force")) == (1.0, 5.0, 8.0)
    assert (wall.per_gram("stiffness"), wall.per_gram("breaking_force")) == (15.0, 6.0)
    assert (wall.per_minute("stiffness"), wall.per_minute("breaking_force")) == (7.5, 3.0)
    assert face.per_gram("stiffness") is None  # it makes the beam lighter
    assert face.per_minute("stiffness") == 1.0
    assert wall.stiffness.low == pytest.approx(30 * np.quantile(DRAWS[0], 0.05))  # the material cancels


# --- trends -----------------------------------------------------------------------------------------------------


def deflection(pattern: str, grid_angle: float, load_angle: float, like: Setting) -> float:
    core = replace(like.core, angle_deg=grid_angle)
    turned = replace(like, core=core, test=replace(like.test, load_angle_deg=load_angle))
    return 1 / estimate(at_mass(turned, pattern, mass_of(like))).stiffness.best


@pytest.mark.slow
@pytest.mark.parametrize("test", [BendTest("three_point", span=100.0), BendTest("cantilever", lever=80.0)])
def test_prismatic_cells_deflect_as_others_have_measured(test):
    """Cojocaru, Frunzaverde and Miclosina 2023, Micromachines 14, 120, doi 10.3390/mi14010120, conclusions.

    At equal material the square grid deflects clearly more than hexagonal cells and triangular cells less; hexagonal
    and triangular cells hardly depend on the direction of the force around the beam, the grid strongly, and it
    deflects most when the force is normal to the cells' axis. Cells lie across the beam there. Cell sizes and the
    angle of the grid were not in what could be read: the grid is tried at 45 deg to the beam, where it is weakest, and
    along it, where the direction matters. Only orders are compared.
    """
    like = Setting(
        Specimen("rectangle", 20.0, 20.0, 120.0),
        Printing("flat", Bead(0.45, 0.2), walls=0, bottom_layers=0, top_layers=0),
        Core("square", 0.25, angle_deg=45.0),
        test,
        shipped_card("PLA"),
    )
    across = {name: deflection(name, 45.0, 90.0, like) for name in ("square", "hexagonal", "triangular")}
    assert across["square"] > 1.5 * across["hexagonal"]
    assert across["triangular"] < across["hexagonal"]
    for pattern, least, most in (("square", 2.0, 10.0), ("hexagonal", 1.0, 1.2), ("triangular", 1.0, 1.2)):
        along_cells, between, normal_to_cells = (
            deflection(pattern, 0.0, angle, replace(like, core=Core("square", 0.26)))
            for angle in (0.0, 45.0, 90.0)
        )
        assert along_cells < between < normal_to_cells
        assert least <= normal_to_cells / along_cells < most


@pytest.mark.slow
def test_upright_beams_of_equal_covered_area_bend_alike_whatever_their_cells():
    """Beads along the beam: E3 = geometric fill x E exactly, so EI of the core is that of the solid times the fill."""
    like = Setting(
        Specimen("rectangle", 20.0, 20.0, 120.0),
        Printing("upright", Bead(0.45, 0.2), walls=1, bottom_layers=0, top_layers=0),
        Core("square", 0.3),
        BendTest("three_point", span=100.0),
        shipped_card("PLA"),
    )
    found = {}
    for name in ("square", "triangular", "hexagonal"):
        fill = fill_for(find(name), 0.45, default_corner_radius(0.45), geometric_fill=0.28).set_fill
        found[name] = estimate(replace(like, core=Core(name, fill)))
    square = found["square"]
    for other in found.values():
        assert other.geometric_fill == pytest.approx(square.geometric_fill, rel=1e-3)
        assert other.EI.best == pytest.approx(square.EI.best, rel=1e-3)
        assert tied(square, other, "stiffness")
    sideways = estimate(replace(like, test=replace(like.test, load_angle_deg=90.0)))
    assert sideways.EI.best == pytest.approx(estimate(like).EI.best, rel=1e-6)


# --- the command ------------------------------------------------------------------------------------------------


def test_the_command_ranks_at_equal_mass_and_names_everything(tmp_path, monkeypatch, capsys):
    monkeypatch.setenv("FILLBEND_CACHE", str(tmp_path / "cells"))
    study = write_study(tmp_path, fills=[0.2, 0.4, 0.6], walls=[1])
    command = ["compare", str(study), "--patterns", "square", "hexagonal", "solid"]
    assert main([*command, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert [item["load_axis"] for item in found["load_directions"]] == ["z (depth)", "y (width)"]
    for direction in found["load_directions"]:
        square, hexagonal, walls, solid = sorted(
            direction["ranking"],
            key=lambda row: ("square", "hexagonal", WALLS_ONLY, "solid").index(row["pattern"]),
        )
        assert square["mass_g"] == pytest.approx(found["mass_g"], rel=1e-3)
        assert hexagonal["mass_g"] == pytest.approx(found["mass_g"], rel=1e-3)
        assert (walls["set_fill"], walls["ties"]) == (0.0, {})
        assert walls["mass_g"] < found["mass_g"]
        assert solid["reason"].startswith("solid weighs")
        assert direction["best"].keys() == set(QUANTITIES)
        values = {row["pattern"]: row["stiffness_N_per_mm"]["best"] for row in (square, hexagonal)}
        assert direction["best"]["stiffness"] == max(values, key=values.get)
    assert {gain["step"] for gain in found["gains"]} >= {"+1 wall", "+10 points of fill"}
    assert found["mass_against"]["stiffness"]["front"] == [
        f"set_fill {fill}, walls 1" for fill in (0.2, 0.4, 0.6)
    ]
    monkeypatch.setenv("COLUMNS", "300")
    assert main([*command, "--quiet", "--load-angle-deg", "45"]) == 0
    printed = capsys.readouterr()
    assert printed.err == ""
    assert "load along 45 deg from z (depth)" in printed.out
    assert "Not ranked: " in printed.out
    assert "gyroid" in printed.out
    assert "No setting of the study is lighter and has more stiffness" in printed.out
    for text in ("walls only", "Largest stiffness: ", "\nsolid weighs", "per min", "sustained load"):
        assert text in printed.out


@pytest.mark.parametrize(
    ("more", "message"),
    [
        (["--mass-g", "0"], "--mass-g 0: a positive mass in g"),
        (["--mass-g", "nan"], "--mass-g nan: a positive mass in g"),
        (
            ["--mass-g", "1000", "--patterns", "square", "kagome"],
            "no pattern can weigh 1000 g: square weighs ",
        ),
        (
            ["--mass-g", "1000", "--patterns", "square", "kagome"],
            "; 1 more cannot either; choose another mass",
        ),
        (["--patterns", "hexagnal"], "did you mean 'hexagonal'?"),
        (["--with", "core.set_fill=30"], "write 0.3"),
    ],
)
def test_the_command_refuses_what_it_cannot_do(tmp_path, capsys, more, message):
    assert main(["compare", str(write_study(tmp_path, text=STUDY)), *more]) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert message in printed.err


def test_ctrl_c_leaves_with_its_status_and_one_line(tmp_path, monkeypatch, capsys):
    def interrupted(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr("validation.design.comparison.estimate", interrupted)
    assert (
        main(["compare", str(write_study(tmp_path, fills=[0.2], walls=[1])), "--patterns", "square"]) == 130
    )
    assert capsys.readouterr().err.splitlines()[-1] == "fillbend: interrupted"
