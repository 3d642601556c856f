"""Crush in the jaws of a cantilever by statics, and where it is not evaluated."""

import math
from dataclasses import replace

import numpy as np
import pytest

from fem.bending.bending import BendTest, jaw_load
from fem.estimation import estimate
from fem.material.cards import shipped_card
from fem.printed.core import core_cell
from fem.setting import Setting
from fem.strength.crush import _line_stress
from patterns.bead import Bead
from patterns.infill import infill_of
from patterns.remark import Remark
from patterns.setting import Core, Printing, Specimen

ARM = Setting(
    Specimen("rectangle", 12.0, 10.0, 120.0),
    Printing("flat", Bead(0.5, 0.25), walls=2, bottom_layers=4, top_layers=4),
    Core("square", 0.2),
    BendTest("cantilever", lever=60.0, clamp_length=20.0),
    shipped_card("PLA"),
)


def criterion(setting):
    found = [one for one in estimate(setting).criteria if one.mode == "crush"]
    assert len(found) <= 1
    return found[0] if found else None


@pytest.mark.parametrize(("lever", "clamp"), [(50.0, 20.0), (80.0, 35.0)])
def test_jaw_pressure_holds_force_and_moment(lever, clamp):
    # Pressure varies in a straight line from the jaw's edge: its sum is F and its moment about the edge -F L (Gauss
    # points integrate it exactly).
    edge, mean = jaw_load(lever, clamp), 1 / clamp
    x, weights = np.polynomial.legendre.leggauss(3)
    inwards, weights = clamp / 2 * (1 + x), clamp / 2 * weights
    q = edge - 2 * (edge - mean) * inwards / clamp
    assert weights @ q == pytest.approx(1.0)
    assert weights @ (q * inwards) == pytest.approx(-lever)
    assert edge == pytest.approx({50.0: 0.95, 80.0: 1 / 35 + 6 * 97.5 / 1225}[lever])


def test_force_in_the_jaws_by_hand():
    # 70 MPa on a core whose lines cover 1/concentration of the plan upwards, over 12 mm of width:
    # q = (1/20 + 6 x 70/400) F = 1.1 F.
    found = estimate(ARM)
    one = next(c for c in found.criteria if c.mode == "crush")
    share = 1 / found.core.concentration[2]
    assert found.modes["crush"].best == pytest.approx(70.0 * share * 12.0 / 1.1)
    assert one.place[1] == pytest.approx(5.0)
    assert Remark.of("unknown_jaws") not in found.warnings


def test_a_longer_grip_and_a_shorter_lever_press_less():
    force = [
        criterion(replace(ARM, test=replace(ARM.test, clamp_length=c, lever=L))).stress
        for c, L in ((20.0, 60.0), (40.0, 60.0), (20.0, 50.0))
    ]
    assert force[0] > force[1]
    assert force[0] > force[2]


def test_jaws_of_unknown_length_are_told():
    unknown = estimate(replace(ARM, test=replace(ARM.test, clamp_length=0.0)))
    assert unknown.modes["crush"] is None
    assert unknown.warnings.count(Remark.of("unknown_jaws")) == 1


@pytest.mark.parametrize(
    "changed",
    [
        {"printing": replace(ARM.printing, top_layers=0)},  # nothing spreads the load
        {"core": Core("square", 0.0)},  # nothing to crush
        {"test": replace(ARM.test, load_angle_deg=30.0)},  # on a corner
    ],
)
def test_jaws_are_not_evaluated_without_cover_core_or_flat(changed):
    assert criterion(replace(ARM, **changed)) is None


def test_four_points_sink_as_three_do_under_the_same_face_force():
    # Steeves and Fleck: the span enters through the face force N. Per nose load W it is W L/(4 d) with three points,
    # W (s - s1)/(2 d) with four: s = 110, s1 = 40 mm answer to three points over L = 140 mm, with two noses.
    three = criterion(replace(ARM, test=BendTest("three_point", span=140.0)))
    four = criterion(replace(ARM, test=BendTest("four_point", span=110.0, load_span=40.0)))
    assert three.stress == pytest.approx(2 * four.stress, rel=1e-9)


def test_a_round_beam_presses_on_the_chord_under_its_cap():
    # Circle of 12 mm, cap of 4 x 0.25 mm: chord 2 sqrt(6^2 - 5^2) = 2 sqrt(11) mm at its inner side; jaws 1.1 F/mm.
    found = criterion(replace(ARM, specimen=Specimen("round", 12.0, 12.0, 120.0)))
    assert found.stress == pytest.approx(1.1 / (2 * np.sqrt(11.0)))


@pytest.mark.parametrize("fill", [0.1, 0.2])
def test_hexagonal_lines_collapse_across_like_a_honeycomb(fill):
    # Gibson and Ashby 1997: plastic collapse 2/3 (t/l)^2 of the lines' strength (from memory), regular hexagons with
    # F = 2/sqrt(3) t/l. First yield of a rectangular section comes at 2/3 of that, less a tenth for the axial
    # stress that bending theory leaves out at these slendernesses.
    core = core_cell(infill_of(Core("hexagonal", fill), Bead(0.45, 0.2)), 0.35)
    slender = fill * math.sqrt(3) / 2
    collapse = 2 / 3 * slender**2
    for axis in (0, 1):
        assert 0.6 * collapse < 1 / _line_stress(core, axis) < 1.3 * collapse


def test_square_lines_in_line_with_the_load_are_columns():
    core = core_cell(infill_of(Core("square", 0.3), Bead(0.45, 0.2)), 0.35)
    assert 1 / _line_stress(core, 0) == pytest.approx(0.15, rel=0.12)  # half the fill
