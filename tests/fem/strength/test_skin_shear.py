"""Shear of walls, faces and core as webs, against Jourawski by hand."""

from dataclasses import replace

import pytest

from fem.bending.bending import BendTest
from fem.estimation import estimate
from fem.material.cards import shipped_card
from fem.setting import Setting
from fem.strength.webs import sheared
from patterns.bead import Bead
from patterns.setting import Core, Printing, Specimen

BOX = Setting(
    Specimen("rectangle", 30.0, 12.0, 90.0),
    Printing("flat", Bead(0.45, 0.2), walls=1, bottom_layers=8, top_layers=8, face_angles_deg=(0.0,)),
    Core("square", 0.0),
    BendTest("cantilever", lever=60.0),
    shipped_card("PLA"),
)


def stress(setting, role):
    """Mean elastic shear stress per shear force of a web: its share over its area."""
    one = next(web for web in estimate(setting).response.webs if web.role == role)
    return one.share / one.area


def test_webs_of_a_thin_box_carry_the_shear_force():
    # tau = V Q/(I t): Q = face 28.8 x 1.6 x 5.2 + two half webs 0.45 x 6 x 3 each, t = two walls. Webs have the faces'
    # modulus but for the grooves between layers, which leave bending along the beam as it is.
    b, h, t, w = 30.0, 12.0, 1.6, 0.45
    inner = b - 2 * w
    moment = b * h**3 / 12 - inner * (h - 2 * t) ** 3 / 12
    Q = inner * t * (h - t) / 2 + 2 * w * (h / 2) * h / 4
    assert stress(BOX, "wall") == pytest.approx(Q / (moment * 2 * w), rel=0.05)


def test_a_solid_rectangle_has_one_and_a_half_times_the_mean():
    # Half as wide as deep, where Poisson's ratio adds 3 % at the sides (Timoshenko and Goodier, from memory).
    solid = replace(
        BOX,
        specimen=Specimen("rectangle", 6.0, 12.0, 90.0),
        printing=replace(BOX.printing, walls=2, bottom_layers=30, top_layers=30),
    )
    webs = estimate(solid).response.webs
    assert sum(web.share for web in webs) == pytest.approx(1.0)
    assert max(web.share / web.area for web in webs) == pytest.approx(1.5 / (6.0 * 12.0), rel=0.06)


def test_a_sandwich_core_carries_the_force_over_its_width_and_the_arm_of_its_faces():
    # V/(b d) with the faces' middles d apart, the usual sandwich formula for thin faces on a soft core; narrow, since
    # shear is uneven across a wide one (20 % more at the sides of 30 x 12 mm)
    sandwich = replace(
        BOX,
        specimen=Specimen("rectangle", 5.0, 12.0, 90.0),
        printing=replace(BOX.printing, walls=0, bottom_layers=4, top_layers=4),
        core=Core("square", 0.15),
    )
    by_hand = 1 / (5.0 * (12.0 - 0.8))
    assert by_hand < stress(sandwich, "core") < 1.1 * by_hand


def test_short_thin_walled_beams_shear_and_long_ones_do_not():
    short, long = (
        estimate(replace(BOX, test=BendTest("cantilever", lever=lever))) for lever in (24.0, 600.0)
    )

    def by_shear(found):
        return float(found.response.sheared(found.response.at({}))[1][0])

    assert short.breaking_force.best == pytest.approx(by_shear(short))
    assert short.mode == "weld_tension"
    assert long.breaking_force.best < by_shear(long)
    # areas of the elastic field do not go with the lever; a short beam carries on beyond them as limit analysis has it
    moved = short.response.at_free_length(600.0)
    assert float(moved.force(moved.at({}))[0]) == pytest.approx(long.breaking_force.best, rel=1e-6)
    elastic = float(sheared(short.response.webs, short.response.at({}))[1][0])
    assert by_shear(long) == pytest.approx(elastic, rel=1e-6)
    assert by_shear(short) > elastic
