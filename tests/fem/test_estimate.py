"""The estimate as a whole: closed forms where the section is solid, invariants and order everywhere."""

from dataclasses import replace

import numpy as np
import pytest

from fem.bending.bending import BendTest
from fem.estimation import estimate, with_fill
from fem.material.cards import Value, shipped_card
from fem.setting import Setting
from patterns.bead import Bead
from patterns.setting import Core, Printing, Specimen
from tests.closed_forms.plastic_bending import bilinear_rectangle

BAR = Setting(
    specimen=Specimen("rectangle", 10.0, 8.0, 120.0),
    printing=Printing("flat", Bead(0.5, 0.2), walls=2, bottom_layers=4, top_layers=4, face_angles_deg=(0.0,)),
    core=Core("square", 0.3),
    test=BendTest("three_point", span=100.0),
    card=shipped_card("PLA"),
)


@pytest.fixture(scope="module")
def bar():
    return estimate(BAR)


def exactly(setting, **values):
    """Return the setting with card values known without a range."""
    card = replace(
        setting.card, **{k: Value(v, v, v, getattr(setting.card, k).basis, "test") for k, v in values.items()}
    )
    return replace(setting, card=card)


def unknown_values(found):
    """Return the card values that an estimate says it lacks."""
    return [remark["name"] for remark in found.warnings if remark.code == "unknown_value"]


def test_a_bar_of_walls_alone_is_the_solid_bar_of_beam_theory():
    # Ten walls of 0.5 mm fill 10 mm: E b h^3/12 along the beads, stiffness 48 EI/L^3 with shear taken off.
    walls = replace(BAR, printing=replace(BAR.printing, walls=10, bottom_layers=0, top_layers=0))
    found = estimate(exactly(walls, young_mpa=3000.0))
    EI = 3000 * 10 * 8**3 / 12
    assert found.core is None
    assert found.EI.best == pytest.approx(EI, rel=1e-4)
    assert found.theory["solid bar"].EI == pytest.approx(EI)
    shear = 48 * EI / 100**2 / found.GA.best * 100 / 4 / 100
    assert found.stiffness.best == pytest.approx(
        48 * EI / 100**3 / (1 + 48 * EI / 100**3 * 100 / 4 / found.GA.best)
    )
    assert 0 < shear < 0.1


def solid(setting, **values):
    walls = replace(setting, printing=replace(setting.printing, walls=10, bottom_layers=0, top_layers=0))
    return exactly(walls, **values)


def test_a_solid_bar_yields_by_the_bending_formula_and_ends_at_its_fracture_strain():
    # first yield f b h^2/6 / (L/4); at r times the yield strain 3/2 (1 - 1/(3 r^2)) of it
    first = 50.0 * 10 * 8**2 / 6 / 25
    for ductility in (1.0, 2.0, 4.0):
        found = estimate(solid(BAR, young_mpa=3000.0, tension_along_mpa=50.0, compression_mpa=50.0,
                               fracture_strain=ductility * 50 / 3000))  # fmt: skip
        assert found.first_damage.best == pytest.approx(first, rel=2e-3)
        assert found.damaged == "wall, along the bead"
        assert found.modes["wall_tension"].best == pytest.approx(
            first * bilinear_rectangle(ductility), rel=2e-3
        )
        assert found.mode == "wall_tension"


def test_a_ductile_bar_has_the_shape_factor_of_a_plastic_rectangle():
    without = exactly(solid(BAR), tension_along_mpa=50.0, compression_mpa=50.0)
    found = estimate(replace(without, card=replace(without.card, fracture_strain=None)))
    assert found.modes["wall_tension"].best / found.first_damage.best == pytest.approx(1.5, rel=1e-3)
    assert any(one.code == "stood_in" and one["name"] == "fracture_strain" for one in found.warnings)


@pytest.mark.parametrize("orientation", ["flat", "on_edge", "upright"])
def test_first_damage_comes_before_the_largest_force_and_the_rest_is_less(orientation):
    found = estimate(replace(BAR, printing=replace(BAR.printing, orientation=orientation)))
    per_force = BAR.test.moment_per_force
    for end in ("low", "best", "high"):
        assert getattr(found.first_damage, end) <= getattr(found.breaking_force, end) * (1 + 1e-9)
    assert found.curve.rest < found.curve.moment.max()
    bending = min(found.modes[kind.mode].best for kind in found.response.bent.kinds if found.modes[kind.mode])
    assert found.curve.moment.max() / per_force == pytest.approx(bending, rel=1e-6)
    # the curve starts with the section's own stiffness
    assert found.curve.moment[1] / found.curve.curvature[1] == pytest.approx(found.EI.best, rel=1e-6)
    with pytest.raises(ValueError, match="read-only"):
        found.curve.moment[0] = 1.0


def test_a_flat_beam_gains_from_fill_and_without_a_jump():
    fills = np.array([0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8])
    force = np.array([estimate(with_fill(BAR, float(fill))).breaking_force.best for fill in fills])
    assert np.all(np.diff(force) > 0)
    assert np.abs(np.diff(np.log(force), 2)).max() < 0.03


@pytest.mark.parametrize("turns", [(45.0, -45.0), (0.0, 90.0)])
def test_force_does_not_jump_where_beads_of_a_layer_begin_to_touch(turns):
    # Full width of 0.5 x 0.2 mm beads 0.5429 mm: fill 0.92093. Neighbours begin to touch one by one, so nothing steps;
    # layers across the beam, once joined, may crack first, and then a little more fill carries a little less.
    crossing = replace(BAR, core=Core("alternating", 0.9, angles_deg=turns))
    before, after = (estimate(with_fill(crossing, fill)) for fill in (0.9205, 0.9213))
    assert after.breaking_force.best == pytest.approx(before.breaking_force.best, rel=0.01)


def test_the_homogenised_section_meets_the_transformed_section(bar):
    # The transformed section leaves every fibre free to contract; zones of unlike Poisson's ratio hold each other, at
    # most up to no contraction across at all, 1/(1 - nu^2) (plate theory).
    free = bar.theory["transformed section"].EI
    assert free <= bar.EI.best <= free / (1 - 0.33**2)
    assert bar.theory["walls only"].EI < bar.EI.best < bar.theory["solid bar"].EI


def test_bands_hold_their_best_and_the_smallest_mode_governs(bar):
    for band in (bar.stiffness, bar.EI, bar.GA, bar.GJ, bar.breaking_force, bar.mass, bar.print_time):
        assert 0 < band.low <= band.best <= band.high
    known = {mode: band.best for mode, band in bar.modes.items() if band}
    assert bar.breaking_force.best == pytest.approx(min(known.values()))
    assert known[bar.mode] == bar.breaking_force.best


def test_shares_add_up(bar):
    for quantity in ("EI", "GA", "mass"):
        assert sum(bar.shares[quantity].values()) == pytest.approx(1)
    assert bar.shares["EI"]["core"] < bar.shares["mass"]["core"]  # the core lies near the neutral axis


def test_the_same_setting_gives_the_same_numbers(bar):
    again = estimate(BAR)
    assert again.breaking_force == bar.breaking_force
    assert again.stiffness == bar.stiffness


@pytest.mark.parametrize(
    "changed",
    [
        replace(BAR, printing=replace(BAR.printing, walls=3)),
        replace(BAR, printing=replace(BAR.printing, bottom_layers=6, top_layers=6)),
        with_fill(BAR, 0.6),
    ],
)
def test_more_material_is_heavier_and_stiffer(bar, changed):
    more = estimate(changed)
    assert more.mass.best > bar.mass.best
    assert more.EI.best > bar.EI.best
    assert more.GA.best > bar.GA.best


def test_everything_elastic_grows_with_the_modulus():
    one, two = (estimate(exactly(BAR, young_mpa=E)) for E in (2000.0, 4000.0))
    for name in ("EI", "GA", "GJ", "stiffness"):
        assert getattr(two, name).best == pytest.approx(2 * getattr(one, name).best, rel=1e-6)


def test_a_hollow_beam_has_no_core_and_no_core_modes():
    hollow = estimate(with_fill(BAR, 0.0))
    assert hollow.core is None
    assert hollow.modes["strut_tension"] is None
    assert hollow.set_fill == 0


def test_a_turned_load_on_a_square_bar_changes_only_faces_for_walls():
    square = replace(BAR, specimen=Specimen("rectangle", 10.0, 10.0, 120.0))
    across = estimate(replace(square, test=replace(square.test, load_angle_deg=90.0)))
    # Turned by 90 degrees the load sees the walls where the faces were: the same beam printed on edge.
    edge = estimate(replace(square, printing=replace(square.printing, orientation="on_edge")))
    assert across.EI.best == pytest.approx(edge.EI.best, rel=1e-3)
    assert across.EI.best != pytest.approx(estimate(square).EI.best, rel=0.05)
    half_turn = estimate(replace(square, test=replace(square.test, load_angle_deg=180.0)))
    assert half_turn.EI.best == pytest.approx(estimate(square).EI.best, rel=1e-9)


def test_a_cantilever_carries_the_doubt_about_its_root():
    clamped = estimate(exactly(replace(BAR, test=BendTest("cantilever", lever=60.0)), young_mpa=3000.0))
    rigid = 1 / (60**3 / 3 / clamped.EI.best + 60 / clamped.GA.best)
    assert clamped.stiffness.high <= rigid * 1.05
    assert clamped.stiffness.low < 0.93 * clamped.stiffness.high


def test_unknown_strengths_are_not_evaluated_and_said():
    bare = replace(BAR.card, **dict.fromkeys(
        ("tension_along_mpa", "tension_across_mpa", "fracture_strain", "compression_mpa", "shear_mpa",
         "weld_tension_mpa", "weld_shear_mpa"), None))  # fmt: skip
    found = estimate(replace(BAR, card=bare))
    assert found.modes["face_tension"] is None
    assert found.modes["weld_tension"] is None
    assert np.isfinite(found.stiffness.best)
    upright = replace(
        BAR,
        printing=replace(BAR.printing, orientation="upright"),
        card=replace(BAR.card, weld_tension_mpa=None),
    )
    assert "weld_tension_mpa" in unknown_values(estimate(upright))


def test_crush_under_a_nose_does_not_depend_on_how_the_beam_is_named():
    # Flat and loaded sideways is on edge and loaded from above: the same beam, the same force of every mode.
    flat = replace(BAR, test=BendTest("three_point", span=100.0, load_angle_deg=90.0))
    edge = replace(
        BAR,
        specimen=Specimen("rectangle", 8.0, 10.0, 120.0),
        printing=replace(BAR.printing, orientation="on_edge"),
    )
    one, other = estimate(flat), estimate(edge)
    assert one.modes["crush"].best == pytest.approx(other.modes["crush"].best, rel=1e-6)
    assert one.breaking_force.best == pytest.approx(other.breaking_force.best, rel=1e-3)


def test_a_face_under_the_nose_keeps_it_from_the_core():
    bare = replace(BAR, printing=replace(BAR.printing, bottom_layers=0, top_layers=0))
    thicker = replace(BAR, printing=replace(BAR.printing, top_layers=6))
    forces = [estimate(setting).modes["crush"].best for setting in (bare, BAR, thicker)]
    assert forces == sorted(forces)


def test_handbook_theory_bends_unsymmetric_sections_sideways_too():
    # 10 x 4 solid, load at 45 degrees: 1/(c^2/EI_y + s^2/EI_z) = 183908 for E = 2000 (unsymmetric bending).
    solid = replace(
        BAR,
        specimen=Specimen("rectangle", 10.0, 4.0, 120.0),
        printing=replace(BAR.printing, walls=10, bottom_layers=0, top_layers=0),
        test=BendTest("three_point", span=100.0, load_angle_deg=45.0),
    )
    found = estimate(exactly(solid, young_mpa=2000.0))
    assert found.theory["solid bar"].EI == pytest.approx(183908.0, rel=1e-5)
    assert found.EI.best == pytest.approx(183908.0, rel=1e-3)


def test_a_missing_card_value_is_told_and_never_a_crash():
    card = replace(BAR.card, weld_toughness_n_per_mm=None, groove_closing=None)
    found = estimate(replace(BAR, card=card))
    assert found.modes["weld_tension"] is None or np.isfinite(found.modes["weld_tension"].best)
    silent = estimate(replace(BAR, card=replace(BAR.card, compression_mpa=None)))
    assert "compression_mpa" in unknown_values(silent)
