"""Plastic moments against textbook section moduli, and the bracket in an estimate."""

import math
from dataclasses import replace

import pytest
import shapely

from fem.beam.plastic import plastic_moment
from fem.bending.bending import BendTest
from fem.estimate import estimate
from fem.material.cards import shipped_card
from fem.setting import Setting
from patterns.bead import Bead
from patterns.remark import Remark
from patterns.setting import Core, Printing, Specimen

CIRCLE = shapely.Point(0, 0).buffer(5, 256)
BAR = Setting(
    Specimen("rectangle", 10.0, 8.0, 120.0),
    Printing("flat", Bead(0.5, 0.2), walls=10, bottom_layers=0, top_layers=0),
    Core("square", 0.3),
    BendTest("three_point", span=100.0, plastic=True),
    shipped_card("PLA"),
)


# Shape factors, plastic over elastic section modulus: textbooks of plastic bending (Neal; Timoshenko).
@pytest.mark.parametrize(
    ("area", "elastic", "factor", "tolerance"),
    [
        (shapely.box(-5, -2, 5, 2), 10 * 16 / 6, 1.5, 1e-9),
        (CIRCLE, math.pi * 125 / 4, 16 / (3 * math.pi), 1e-4),
        (CIRCLE - shapely.Point(0, 0).buffer(4.95, 256), math.pi * (625 - 4.95**4) / 20, 4 / math.pi, 0.01),
        (shapely.Polygon([(4, 0), (0, 4), (-4, 0), (0, -4)]), 4**4 / 3 / 4, 2.0, 1e-9),
    ],
    ids=["rectangle", "circle", "thin tube", "diamond"],
)
def test_shape_factors(area, elastic, factor, tolerance):
    assert plastic_moment([(area, 1.0)]) / elastic == pytest.approx(factor, rel=tolerance)


def test_a_sandwich_adds_its_couples():
    # s_f b t (c + t) + s_c b c^2/4
    faces = shapely.box(0, 0, 10, 8) - shapely.box(-1, 1, 11, 7)
    assert plastic_moment([(faces, 50.0), (shapely.box(0, 1, 10, 7), 4.0)]) == pytest.approx(
        50 * 10 * 7 + 4 * 10 * 9
    )


def test_the_axis_of_equal_forces_divides_a_strong_and_a_weak_layer():
    # 3 mm at 10 MPa over 1 mm at 50 MPa, 1 mm wide: 80 N in all, 40 N of it in 0.8 mm of the strong layer. About that
    # axis: 50 (0.8^2 + 0.2^2)/2 + 10 x 3 (0.2 + 1.5) = 68 N mm.
    layers = [(shapely.box(0, 0, 1, 1), 50.0), (shapely.box(0, 1, 1, 4), 10.0)]
    assert plastic_moment(layers) == pytest.approx(68.0)
    moved = [(shapely.affinity.translate(area, 3, -7), stress) for area, stress in layers]
    assert plastic_moment(moved) == pytest.approx(68.0)
    # turning section and load together changes nothing
    turned = [(shapely.affinity.rotate(area, 30, origin=(0, 0)), stress) for area, stress in layers]
    assert plastic_moment(turned, 30.0) == pytest.approx(68.0)


def test_a_solid_flat_bar_has_half_as_much_again_as_at_first_yield():
    found = estimate(BAR)
    # first yield s b h^2/6 / (L/4) at the tensile strength along the bead
    assert found.plastic.first_yield == pytest.approx(55.0 * 10 * 64 / 6 / 25, rel=1e-3)
    assert found.plastic.fully_plastic / found.plastic.first_yield == pytest.approx(1.5, rel=1e-3)
    assert [remark.code for remark in found.warnings].count("plastic_reserve") == 1


def test_faces_across_the_beam_yield_between_their_beads():
    printing = replace(BAR.printing, walls=0, bottom_layers=20, top_layers=20, face_angles_deg=(90.0,))
    found = estimate(replace(BAR, printing=printing))
    assert found.plastic.first_yield == pytest.approx(50.0 * 10 * 64 / 6 / 25, rel=1e-3)


def test_the_bracket_is_asked_for_and_never_of_layers_pulled_apart():
    assert estimate(replace(BAR, test=replace(BAR.test, plastic=False))).plastic is None
    upright = replace(BAR, printing=replace(BAR.printing, orientation="upright", walls=2))
    found = estimate(upright)
    assert found.plastic is None
    assert Remark.of("no_plastic_reserve", brittle_welds=True) in found.warnings


def test_a_cored_bar_lies_between_thin_skin_and_solid():
    sparse = replace(
        BAR, printing=replace(BAR.printing, walls=2, bottom_layers=4, top_layers=4, face_angles_deg=(0.0,))
    )
    found = estimate(sparse).plastic
    assert 1.0 < found.fully_plastic / found.first_yield < 1.5


def test_a_core_whose_lines_bend_adds_little():
    # Square lines at 45 deg under tension: a line bends by the shear of half the tension on its axes, so its fibre
    # stress is at least 3 p (p - w)/w^2 / 2 times the mean (equilibrium as in test_core_shear).
    sandwich = replace(
        BAR,
        printing=replace(BAR.printing, walls=0, bottom_layers=4, top_layers=4, face_angles_deg=(0.0,)),
        core=Core("square", 0.3, angle_deg=45.0),
    )
    found = estimate(sandwich).plastic
    p, w, c, t = 0.5 * 2 / 0.3, 0.5, 6.4, 0.8
    core = 55.0 / (1.5 * p * (p - w) / w**2)
    faces_alone = 55.0 * 10 * t * (c + t) / 25
    assert faces_alone < found.fully_plastic < faces_alone + core * 10 * c**2 / 4 / 25
    assert found.first_yield == pytest.approx(faces_alone * ((8**3 - c**3) / 6 / 8) / (t * (c + t)), rel=0.03)
