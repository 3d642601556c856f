"""Walls and core that shear side by side, by hand."""

import math

import numpy as np
import pytest

from fem.printed.contact import Contact, side_share
from fem.strength.webs import Web, shear_mode, sheared
from fem.strength.welds import Welds
from patterns.bead import Bead

VON_MISES = 3**-0.5


def web(
    role="wall",
    share=1.0,
    area=10.0,
    between=1.0,
    within=0.0,
    contact=1.0,
    brittle=False,
    plateau=1.0,
    beside=1.0,
):
    welds = Welds(Contact((0.0,), (contact,), False, contact), Bead(0.45, 0.2))
    return Web(
        role, share, area, between, within, plateau, plateau * VON_MISES, brittle, welds, beside=beside
    )


def draws(**values):
    return {name: np.array([value]) for name, value in values.items()}


def forces(webs, **values):
    first, largest = sheared(webs, draws(**values))
    return float(first[0]), float(largest[0])


def test_one_web_carries_its_area_at_the_lesser_of_bead_and_weld():
    assert forces((web(),), shear_mpa=30.0) == pytest.approx((300.0, 300.0))
    assert forces((web(contact=0.6),), shear_mpa=30.0, weld_shear_mpa=20.0) == pytest.approx((120.0, 120.0))
    # within a layer no weld is asked
    inside = web(between=0.0, within=1.0, contact=0.6)
    assert forces((inside,), shear_mpa=30.0, weld_shear_mpa=20.0) == pytest.approx((300.0, 300.0))
    # halfway the two add like the squares of their shares
    both = web(between=0.5**0.5, within=0.5**0.5, contact=0.6)
    expected = 10 / np.sqrt(0.5 / 12**2 + 0.5 / 30**2)
    assert forces((both,), shear_mpa=30.0, weld_shear_mpa=20.0)[1] == pytest.approx(expected)


def test_walls_side_by_side_slide_on_the_chord_of_their_sides():
    # four walls of a flat beam pushed sideways, 3 mm2 of them: 0.619 of their height is welded to the next wall
    bead = Bead(0.45, 0.2)
    chord = 2 * math.sqrt(0.1**2 - ((0.45 - bead.flat_width) / 2) ** 2)
    pushed = web(area=3.0, between=0.0, within=1.0, beside=side_share(bead))
    by_hand = 3.0 * 20.0 * chord / 0.2
    assert forces((pushed,), shear_mpa=40.0, weld_shear_mpa=20.0)[1] == pytest.approx(by_hand)
    # welds stronger than the beads: the beads give way
    assert forces((pushed,), shear_mpa=10.0, weld_shear_mpa=20.0)[1] == pytest.approx(30.0)


def test_crossing_beads_slide_on_their_flats():
    # 12 x 12 mm of lines 0.9 mm apart in two layers: 178 crossings, each a square of the flats' width
    bead = Bead(0.45, 0.2)
    share = (bead.flat_width / 0.9) ** 2
    by_hand = 144 / 0.9**2 * bead.flat_width**2 * 20.0
    core = web("core", area=144.0, contact=share)
    assert forces((core,), shear_mpa=30.0, weld_shear_mpa=20.0)[1] == pytest.approx(by_hand)


def test_walls_carry_on_after_the_core_has_yielded():
    # the core takes 0.8 of the force and yields at 100/0.8 = 125 N; the walls then rise to their 60 N
    both = (web("core", 0.8, 100.0, plateau=0.1), web("wall", 0.2, 6.0))
    assert forces(both, shear_mpa=10.0) == pytest.approx((125.0, 160.0))
    assert shear_mode(both) == "core_shear"


def test_brittle_parts_drop_and_the_larger_remainder_counts():
    # core at 125 N of the elastic force: 100 + 0.2 x 125 = 125; walls alone 60
    weak = (web("core", 0.8, 100.0, plateau=0.1, brittle=True), web("wall", 0.2, 6.0, brittle=True))
    assert forces(weak, shear_mpa=10.0) == pytest.approx((125.0, 125.0))
    # strong walls outlast the core: 500 alone
    strong = (web("core", 0.8, 100.0, plateau=0.1, brittle=True), web("wall", 0.2, 50.0, brittle=True))
    assert forces(strong, shear_mpa=10.0) == pytest.approx((125.0, 500.0))


def test_shear_is_not_judged_without_a_strength():
    assert sheared((web(),), draws(young_mpa=3000.0)) is None
    assert forces((web(),), tension_along_mpa=30.0)[1] == pytest.approx(300 * VON_MISES)


@pytest.mark.parametrize(
    ("webs", "mode"),
    [((web(),), "weld_tension"), ((web(between=0.0, within=1.0),), "wall_tension"),
     ((web("face", between=0.0, within=1.0),), "face_tension")],
)  # fmt: skip
def test_without_a_core_shear_is_named_by_what_slides(webs, mode):
    assert shear_mode(webs) == mode


def test_a_web_without_a_plateau_carries_nothing_for_plain_numbers_too():
    idle = web(between=0.0, within=1.0, plateau=0.0)
    assert float(idle.force({"shear_mpa": 30.0})) == 0.0
    assert float(idle.force(draws(shear_mpa=30.0))[0]) == 0.0
