"""Shear of walls and faces as webs, against Jourawski by hand."""

from dataclasses import replace

import pytest

from fem.bending.bending import BendTest
from fem.estimate import estimate
from fem.material.cards import shipped_card
from fem.setting import Setting
from patterns.bead import Bead
from patterns.setting import Core, Printing, Specimen

BOX = Setting(
    Specimen("rectangle", 30.0, 12.0, 90.0),
    Printing("flat", Bead(0.45, 0.2), walls=1, bottom_layers=8, top_layers=8, face_angles_deg=(0.0,)),
    Core("square", 0.0),
    BendTest("cantilever", lever=60.0),
    shipped_card("PLA"),
)


def by_shear(found):
    return [one for one in found.criteria if one.by_shear_force]


def worst(setting, what):
    found = [one for one in by_shear(estimate(setting)) if what in one.what]
    return max(found, key=lambda one: one.stress * one.nominal)


def test_webs_of_a_thin_box_carry_the_shear_force():
    # tau = V Q/(I t): Q = face 28.8 x 1.6 x 5.2 + two half webs 0.45 x 6 x 3 each, t = two walls. Webs have the faces'
    # modulus but for the grooves between layers, which leave bending along the beam as it is.
    b, h, t, w = 30.0, 12.0, 1.6, 0.45
    inner = b - 2 * w
    moment = b * h**3 / 12 - inner * (h - 2 * t) ** 3 / 12
    Q = inner * t * (h - t) / 2 + 2 * w * (h / 2) * h / 4
    found = worst(BOX, "between layers")
    assert found.stress == pytest.approx(Q / (moment * 2 * w), rel=0.05)
    assert abs(found.place[0]) > b / 2 - w  # in a web


def test_a_solid_rectangle_has_one_and_a_half_times_the_mean():
    # Half as wide as deep, where Poisson's ratio adds 3 % at the sides (Timoshenko and Goodier, from memory).
    solid = replace(
        BOX,
        specimen=Specimen("rectangle", 6.0, 12.0, 90.0),
        printing=replace(BOX.printing, walls=2, bottom_layers=30, top_layers=30),
    )
    assert worst(solid, "between layers").stress == pytest.approx(1.5 / (6.0 * 12.0), rel=0.06)


def test_short_thin_walled_beams_shear_and_long_ones_do_not():
    short, long = (
        estimate(replace(BOX, test=BendTest("cantilever", lever=lever))) for lever in (60.0, 600.0)
    )

    def least(found, criteria):
        return min(float(one.forces(found.response.at({}))[0]) for one in criteria)

    sheared = least(short, by_shear(short))
    assert short.breaking_force.best == pytest.approx(sheared)
    assert long.breaking_force.best < least(long, by_shear(long))
    # shear does not go with the lever
    moved = short.response.at_free_length(600.0)
    assert least(short, [one for one in moved.criteria if one.by_shear_force]) == pytest.approx(sheared)
    assert least(long, by_shear(long)) == pytest.approx(sheared, rel=1e-6)
