"""Settings of equal mass: met to 0.1 % by any pattern, in any orientation, in sections of few lines."""

import re
from dataclasses import replace

import pytest

from fem.bending.bending import BendTest
from fem.material.cards import shipped_card
from fem.setting import Setting
from patterns.bead import Bead
from patterns.catalogue import find
from patterns.errors import InputError
from patterns.fill import default_corner_radius
from patterns.outlines.layout import lay_out
from patterns.paths.deposit import deposit
from patterns.setting import Core, Printing, Specimen
from validation.design.compare import default_patterns
from validation.design.equal_mass import at_mass, mass_of


def setting(orientation="flat", width=14.0, depth=10.0, core=Core("square", 0.3), walls=2) -> Setting:  # noqa: B008
    return Setting(
        Specimen("rectangle", width, depth, 80.0),
        Printing(orientation, Bead(0.5, 0.25), walls=walls, bottom_layers=4, top_layers=3),
        core,
        BendTest("three_point", span=70.0),
        shipped_card("PETG"),
    )


def deposited_mass(found: Setting) -> float:
    laid = deposit(lay_out(found.specimen, found.printing, found.core))
    return laid.mass(found.card.density_g_cm3.best)


@pytest.mark.parametrize("orientation", ["flat", "on_edge", "upright"])
def test_mass_is_that_of_the_deposit_at_any_face_angle(orientation):
    found = setting(orientation)
    turned = replace(found, printing=replace(found.printing, face_angles_deg=(0.0, 90.0, 30.0)))
    assert mass_of(found) == pytest.approx(deposited_mass(found), rel=1e-12)
    assert mass_of(turned) == pytest.approx(deposited_mass(turned), rel=1e-12)
    assert mass_of(turned) == pytest.approx(mass_of(found), rel=1e-12)


@pytest.mark.parametrize("pattern", default_patterns())
@pytest.mark.parametrize(
    "where",
    [
        pytest.param({}, marks=pytest.mark.slow),
        pytest.param({"orientation": "on_edge"}, marks=pytest.mark.slow),
        {"orientation": "upright"},
        pytest.param({"width": 6.0, "depth": 5.0, "walls": 1}, marks=pytest.mark.slow),  # a handful of lines
    ],
    ids=["flat", "on_edge", "upright", "small"],
)
def test_every_pattern_meets_the_mass_to_a_thousandth(pattern, where):
    base = setting(**where)
    found = at_mass(base, pattern, mass_of(base))
    assert found.core.pattern == pattern
    assert deposited_mass(found) == pytest.approx(mass_of(base), rel=1e-3)
    assert replace(found, core=base.core) == base  # nothing but the core has changed


def test_the_fill_is_neither_lucky_nor_unlucky_with_its_lines():
    """In the mean over phases the core holds set fill x core area: Cavalieri's principle."""
    base = setting(width=6.0, depth=5.0, walls=1)
    shell = mass_of(replace(base, core=replace(base.core, set_fill=0.0)))
    target = shell + 0.5
    found = at_mass(base, "triangular", target)
    masses = [mass_of(replace(found, core=replace(found.core, phase=step / 64))) for step in range(64)]
    assert max(masses) / min(masses) > 1.03  # luck would matter
    assert sum(masses) / 64 == pytest.approx(target, rel=0.02)


def test_a_setting_of_that_mass_and_about_that_fill_stays_as_it_is():
    base = setting("upright", width=30.0, depth=30.0, core=Core("square", 0.3, angle_deg=45.0))
    assert at_mass(base, "square", mass_of(base)) is base


def test_options_stay_with_their_own_pattern_only():
    base = setting("upright", core=Core("rhombic", 0.3, options=(("opening_angle_deg", 30.0),)))
    mass = mass_of(base)
    assert at_mass(base, "rhombic", mass).core.options == (("opening_angle_deg", 30.0),)
    assert at_mass(base, "triangular", mass).core.options == ()


@pytest.mark.slow
def test_lines_that_all_cross_the_section_meet_a_mass_between_their_steps_by_their_overlap():
    base = setting("upright")
    between = 7.68  # no phase and fill come nearer than 0.5 %
    found = at_mass(base, "square", between)
    assert deposited_mass(found) == pytest.approx(between, rel=1e-3)
    assert found.core.wall_overlap != base.core.wall_overlap
    assert found.core.wall_overlap == pytest.approx(base.core.wall_overlap, abs=0.1)


def test_a_mass_out_of_reach_is_refused_with_the_reach():
    base = setting("upright")
    with pytest.raises(
        InputError, match=r"^square weighs [\d.]+ g at its lowest fill, 0\.02, more than 0\.5 g$"
    ):
        at_mass(base, "square", 0.5)
    with pytest.raises(InputError, match=r"^square weighs [\d.]+ g at its highest fill, 1, less than 100 g$"):
        at_mass(base, "square", 100.0)


def full_fill_mass() -> tuple[Setting, float]:
    base = setting("upright", width=7.3, depth=6.1)
    width = base.printing.bead.width
    _, high = find("square").fill_range(width, default_corner_radius(width))
    return base, mass_of(replace(base, core=replace(base.core, set_fill=high)))


@pytest.mark.parametrize("digits", [3, 4, 8])
def test_the_mass_of_full_fill_works_as_it_is_shown(digits):
    base, mass = full_fill_mass()
    found = at_mass(base, "square", float(f"{mass:.{digits}g}"))
    assert mass_of(found) == pytest.approx(mass, rel=5e-3)
    assert found.core.set_fill > 0.9


def test_a_mass_just_out_of_reach_is_told_in_digits_that_differ():
    base, _ = full_fill_mass()
    _, high = find("square").fill_range(0.5, default_corner_radius(0.5))
    phases = [replace(base.core, set_fill=high, phase=step / 8) for step in range(8)]
    most = max(mass_of(replace(base, core=core)) for core in phases)
    with pytest.raises(InputError) as caught:
        at_mass(base, "square", 1.003 * most)
    weighs, wanted = re.findall(r"([\d.]+) g", str(caught.value))
    assert float(weighs) < float(wanted)


def test_a_mass_between_the_steps_of_a_pattern_is_refused_with_the_nearest():
    base = setting("upright", walls=0)  # no walls for the lines to end in
    with pytest.raises(
        InputError, match=r"lines of square come in steps here: 7.4 g .* nearest mass is 7.\d+ g"
    ):
        at_mass(base, "square", 7.4)
