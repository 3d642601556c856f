"""Nose and jaws: indentation by limit analysis and as a beam-column, walls that carry directly, any load angle."""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import minimize_scalar

from fem.bending.bending import BendTest, jaw_load
from fem.bending.indentation import SUNK, Side, elastic_line_load, line_load, plastic_jaws
from fem.estimation import estimate
from fem.material.cards import shipped_card
from fem.setting import Setting
from patterns.bead import Bead
from patterns.remark import Remark
from patterns.setting import Core, Printing, Specimen

ARM = Setting(
    Specimen("rectangle", 12.0, 10.0, 120.0),
    Printing("flat", Bead(0.5, 0.25), walls=2, bottom_layers=4, top_layers=4),
    Core("square", 0.2),
    BendTest("cantilever", lever=60.0, clamp_length=20.0),
    shipped_card("PLA"),
)
NOSE = replace(ARM, test=BendTest("three_point", span=100.0))
SIDE = Side(
    place=(0.0, 5.0), width=12.0, core_width=10.0, core_depth=8.0, cover=1.0, under=1.0, cover_ratio=1.0,
    core_ratio=0.2, web=2.0, web_share=0.65, web_strain=1.0, plateau=0.2, standing=True, line_strain=1.0, solid=1.6,
)  # fmt: skip


def printed(setting, **changed):
    return replace(setting, printing=replace(setting.printing, **changed))


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
    # At collapse one jaw presses evenly in front, the other behind: F and F L again.
    m = plastic_jaws(lever, clamp)
    front, back = (clamp + m) / 2, (clamp - m) / 2
    assert front - back == pytest.approx(m)
    assert back * (front + back / 2) - front**2 / 2 == pytest.approx(m * lever)
    assert m > 1 / edge


def test_a_plastic_face_sinks_in_at_the_least_of_all_hinge_distances():
    # Rates of work: four hinges of s_y t^2/4 at a turn of 1/a each, the core crushed in a triangle 2 a long.
    t, yields, core = 0.8, 50.0, 3.0
    least = minimize_scalar(
        lambda a: 4 * yields * t**2 / 4 / a + core * a, bounds=(0.1, 50), method="bounded"
    )
    assert line_load(t, yields, core) == pytest.approx(least.fun, rel=1e-6)


def test_steeves_and_fleck_by_an_own_integration_of_the_beam_column():
    # EI w'''' + N w'' = -q from the end of what is pressed in, w = w' = w'' = 0 there, to the nose, w' = 0; the load is
    # twice the shear there. The largest load over all lengths, with N = W L/(4 d), against the formula.
    width, t, E, core, arm, span = 12.0, 0.8, 2400.0, 3.0, 9.0, 100.0
    q, EI = width * core, E * width * t**3 / 12

    def load(length, N):
        def slope(_, y):
            return [y[1], y[2], y[3], (-q - N * y[2]) / EI]

        ends = [
            solve_ivp(slope, (0, length), [0, 0, 0, c], rtol=1e-10, atol=1e-14).y[:, -1] for c in (0.0, 1.0)
        ]
        c = -ends[0][1] / (ends[1][1] - ends[0][1])
        return 2 * EI * abs(ends[0][3] + c * (ends[1][3] - ends[0][3]))

    def largest(N):
        k = math.sqrt(N / EI)
        best = minimize_scalar(lambda a: -load(a / k, N), bounds=(1.0, 4.0), method="bounded")
        assert best.x == pytest.approx(math.pi, rel=1e-3)
        return -best.fun

    found = width * elastic_line_load(t, core, E, arm, span)
    assert largest(found * span / (4 * arm)) == pytest.approx(found, rel=1e-5)


def test_load_of_a_nose_by_hand():
    # 60 MPa, plateau 0.2: core 12 MPa. Depth 10, sunk 0.5: chord 2 sqrt(0.5 (10 - 0.5)) = 4.3589. Face 2 sqrt(60 12) =
    # 53.666 N/mm (elastic: (pi^2 144 2400 9/(3 100))^(1/3) = 46.79 governs); walls 0.65 x 60 x 2 = 78 N/mm.
    chord = 2 * math.sqrt(SUNK * 10 * (10 - SUNK * 10))
    face = np.cbrt(math.pi**2 * 144 * 2400 * 9 / 300)
    assert face < line_load(1.0, 60.0, 12.0) == pytest.approx(53.6656, rel=1e-4)
    hand = 10 * (face + chord * 12) + (chord + 2) * 78
    assert SIDE.under_nose(60.0, 2400.0, 5.0, 100.0) == pytest.approx(hand)
    # a sharp nose leaves the line, one too narrow for the walls the core
    assert SIDE.under_nose(60.0, 2400.0, 0.0, 100.0) == pytest.approx(10 * face + 2 * 78)
    assert replace(SIDE, web=0.0).under_nose(60.0, 2400.0, 0.0, 100.0) == pytest.approx(10 * face)


def test_the_core_first_crushes_under_a_face_as_a_beam_on_a_foundation():
    # Hetenyi: w = W b/(2 k). Walls that stand beside the core stiffen the foundation: k = E (0.2 x 10 + 0.65 x 2)/8.
    E = 2400.0
    k = E * (0.2 * 10 + 0.65 * 2) / 8
    b = (k / (4 * E * 10 * 1**3 / 12)) ** 0.25
    load = SIDE.first_under_nose(60.0, E)
    assert load * b / (2 * k) * 0.2 * E / 8 == pytest.approx(12.0)
    assert load < SIDE.under_nose(60.0, E, 5.0, 100.0)


def test_sparse_honeycombs_collapse_as_cellular_solids_do():
    # Gibson and Ashby 1997 (from memory), regular hexagons: across, elastic collapse 0.22 E (t/l)^3 where lines buckle
    # before they yield; upwards, plastic folding 5.6 s_y (t/l)^(5/3), a mean over the folds.
    fill = 0.08
    setting = replace(NOSE, core=Core("hexagonal", fill), test=replace(NOSE.test, load_angle_deg=45.0))
    (up, across) = (side for _, side in estimate(setting).criteria[0].sides)
    slender = fill * math.sqrt(3) / 2
    E, yields = 2400.0, 1e3
    assert across.crush_stress(yields, E) == pytest.approx(0.22 * E * slender**3 / (1 - 0.35**2), rel=0.15)
    assert 0.4 < up.crush_stress(60.0, E) / (5.6 * 60.0 * slender ** (5 / 3)) < 1.2


def test_force_in_the_jaws_by_hand():
    found = estimate(ARM)
    ((part, side),) = found.criteria[0].sides
    assert part == 1.0
    per_length = side.core_width * side.crush_stress(70.0, found.values["young_mpa"])
    per_length += side.web_share * 70.0 * 2.0  # two walls of 1 mm, stocky
    assert found.values["compression_mpa"] == 70.0
    assert found.modes["crush"].best == pytest.approx(per_length * plastic_jaws(60.0, 20.0), rel=1e-6)
    assert side.place[1] == pytest.approx(5.0)
    assert Remark.of("unknown_jaws") not in found.warnings


def test_jaws_of_unknown_length_are_told():
    unknown = estimate(replace(ARM, test=replace(ARM.test, clamp_length=0.0)))
    assert unknown.modes["crush"] is None
    assert unknown.warnings.count(Remark.of("unknown_jaws")) == 1


def test_walls_carry_the_nose_and_wider_noses_reach_them():
    forces = [estimate(printed(NOSE, walls=walls)).modes["crush"].best for walls in (0, 1, 2, 4)]
    assert (np.diff(forces) > 0.05 * forces[0]).all()
    narrow = estimate(replace(NOSE, test=replace(NOSE.test, nose_width=6.0)))
    blunt = estimate(replace(NOSE, test=replace(NOSE.test, nose_radius=10.0)))
    usual = estimate(NOSE).modes["crush"].best
    assert narrow.modes["crush"].best < usual < blunt.modes["crush"].best
    assert narrow.criteria[0].sides[0][1].web == 0.0


def test_four_points_sink_as_three_do_under_the_same_face_force():
    # Per nose load W the face's force is W L/(4 d) with three points, W (s - s1)/(2 d) with four: s = 110, s1 = 40 mm
    # answer to three points over L = 140 mm, with two noses.
    three, four = (
        estimate(replace(ARM, test=test))
        for test in (BendTest("three_point", span=140.0), BendTest("four_point", span=110.0, load_span=40.0))
    )
    assert 2 * three.modes["crush"].best == pytest.approx(four.modes["crush"].best, rel=1e-9)


def test_a_load_on_a_corner_presses_on_both_sides():
    along, across, turned = (
        estimate(replace(NOSE, test=replace(NOSE.test, load_angle_deg=angle))).criteria[0]
        for angle in (0.0, 90.0, 30.0)
    )
    draws = {"young_mpa": np.array([2400.0]), "compression_mpa": np.array([70.0])}
    one, other, both = (float(found.forces(draws)[0]) for found in (along, across, turned))
    assert (math.cos(math.pi / 6) / one) ** 2 + (0.5 / other) ** 2 == pytest.approx(both**-2)


def test_a_round_beam_presses_on_the_chord_under_its_cap():
    # Circle of 12 mm, cap of 4 x 0.25 mm: chord 2 sqrt(6^2 - 5^2) = 2 sqrt(11) mm at its inner side.
    found = estimate(replace(ARM, specimen=Specimen("round", 12.0, 12.0, 120.0)))
    assert found.criteria[0].sides[0][1].core_width == pytest.approx(2 * np.sqrt(11.0))


def test_a_beam_of_faces_throughout_is_not_crushed():
    assert estimate(printed(NOSE, bottom_layers=40)).criteria == ()
