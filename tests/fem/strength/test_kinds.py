"""Laws of printed fibres by hand: beads at an angle, lines of a core, layers pulled apart."""

import math

import numpy as np
import pytest

from fem.printed.contact import Contact
from fem.strength.kinds import Layers, Lines, Raster
from fem.strength.welds import Welds
from patterns.bead import Bead

CARD = {
    "tension_along_mpa": 55.0,
    "tension_across_mpa": 40.0,
    "compression_mpa": 70.0,
    "shear_mpa": 32.0,
    "fracture_strain": 0.03,
    "weld_tension_mpa": 36.0,
}


def welded(share):
    return Welds(Contact((0.0,), (share,), False, share), Bead(0.45, 0.2))


def at(**changed):
    return {name: np.array([value]) for name, value in {**CARD, **changed}.items() if value is not None}


def law(kind, modulus=3000.0, **changed):
    found = kind.law(at(**changed), np.array([modulus]))
    return tuple(float(value[0]) for value in (found.tension, found.compression, found.fracture))


def test_a_bead_along_the_beam_has_the_card_s_values():
    assert law(Raster(1.0, 0.0, 0.0)) == pytest.approx((55.0, 70.0, 0.03))


def test_a_bead_across_the_beam_is_brittle_at_its_joints():
    tension, compression, fracture = law(Raster(0.0, 1.0, 0.0))
    assert (tension, compression) == pytest.approx((40.0, 70.0))
    assert fracture == pytest.approx(40.0 / 3000)


def test_a_bead_at_45_degrees_meets_tsai_and_hill():
    # sigma/2 along, across and in shear: 1/sigma^2 = 1/4 (1/X^2 - 1/X^2 + 1/Y^2 + 1/S^2)
    tension, _, fracture = law(Raster(0.5, 0.5, 0.5))
    assert tension == pytest.approx(2 / math.sqrt(1 / 40**2 + 1 / 32**2))
    # joints have S^2/(Y^2 + S^2) of the criterion, which is taken off the plastic strain
    joints = 32**2 / (40**2 + 32**2)
    assert fracture == pytest.approx(tension / 3000 + (1 - joints) * (0.03 - tension / 3000))


def test_turning_a_raster_changes_its_law_without_a_jump():
    angles = np.radians(np.arange(0, 91))
    laws = np.array([law(Raster(np.cos(a) ** 2, np.sin(a) ** 2, np.cos(a) * np.sin(a))) for a in angles])
    assert np.abs(np.diff(np.log(laws), axis=0)).max() < 0.03


def test_a_core_yields_at_its_plateau_and_breaks_where_its_lines_are_strained_most():
    assert law(Lines(0.1, 2.0), modulus=100.0) == pytest.approx((5.5, 5.5, 0.055))  # not before it yields
    assert law(Lines(0.1, 2.0), modulus=1000.0) == pytest.approx((5.5, 5.5, 0.015))


def test_welds_of_crossing_lines_that_twist_off_end_a_core_s_plateau():
    assert law(Lines(0.1, 1.0, twist=0.2), weld_shear_mpa=20.0)[:2] == pytest.approx((4.0, 4.0))
    assert law(Lines(0.1, 1.0, twist=0.2), weld_shear_mpa=40.0)[:2] == pytest.approx((5.5, 5.5))


def test_layers_break_brittle_on_what_is_welded():
    assert law(Layers(welded(0.6), 0.6)) == pytest.approx((21.6, 42.0, 21.6 / 3000))


def test_welds_stronger_than_the_beads_let_them_yield():
    # from the beads' yield stress on to 1.1 times that, plastic strain comes in proportion
    for weld, share in ((55.0, 0.0), (57.75, 0.5), (60.5, 1.0), (90.0, 1.0)):
        tension, _, fracture = law(Layers(welded(0.6), 0.6), weld_tension_mpa=weld)
        assert tension == pytest.approx(33.0)
        assert fracture == pytest.approx(33 / 3000 + share * (0.03 - 33 / 3000))


@pytest.mark.parametrize("kind", [Raster(0.5, 0.5, 0.5), Lines(0.2), Layers(welded(0.5), 0.5)])
def test_stresses_scale_with_the_card(kind):
    strengths = [name for name in CARD if name.endswith("_mpa")]
    once = law(kind)
    twice = law(kind, 6000.0, **{name: 2 * CARD[name] for name in strengths})
    assert twice == pytest.approx((2 * once[0], 2 * once[1], once[2]))


def test_what_is_unknown_is_stood_in_for_by_the_tensile_strength():
    bare = dict.fromkeys([name for name in CARD if name != "tension_along_mpa"])
    tension, compression, fracture = law(Raster(1.0, 0.0, 0.0), **bare)
    assert (tension, compression) == pytest.approx((55.0, 55.0))
    assert fracture > 100  # never


def test_beads_that_begin_to_touch_carry_on_as_lines():
    # at 45 degrees next to nothing joins neighbours: the frame's plateau and strain; fully joined: Tsai and Hill
    frame, bonded = Lines(0.08), Raster(0.5, 0.5, 0.5, 0.9)
    loose = law(Raster(0.5, 0.5, 0.5, 0.9, joined=1e-6, lines=frame))
    assert loose == pytest.approx((law(frame)[0], law(frame)[1], law(frame)[2]), rel=1e-4)
    assert law(Raster(0.5, 0.5, 0.5, 0.9, joined=1.0, lines=frame)) == pytest.approx(law(bonded))
    steps = np.array(
        [law(Raster(0.5, 0.5, 0.5, 0.9, joined=s, lines=frame)) for s in np.linspace(0.001, 1, 200)]
    )
    assert np.all(np.diff(steps[:, 0]) >= 0)
    assert np.abs(np.diff(steps[:, 2])).max() < 2e-4
