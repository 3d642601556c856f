"""Plates in compression against codes of thin-walled design, and faces that wrinkle against sandwich theory."""

import math

import numpy as np
import pytest
from scipy.optimize import minimize_scalar

from fem.bending.plates import (
    Panel,
    effective_share,
    plate_factor,
    plate_strain,
    shell_strain,
    wrinkled_share,
    wrinkling_stress,
)


def test_a_stiffened_flange_by_hand_as_in_cold_formed_design():
    # AISI S100 B2.1 (from memory): slenderness 1.052/sqrt(k) (w/t) sqrt(f/E), width rho w. Flange w = 14.415 in, t =
    # 0.105 in, f = 50 ksi, E = 29500 ksi, k = 4: 2.973, rho 0.3115, effective width 4.490 in.
    strain = plate_strain(0.105, 14.415, 0.3)
    slenderness = math.sqrt(50 / 29500 / strain)
    assert slenderness == pytest.approx(1.052 / 2 * (14.415 / 0.105) * math.sqrt(50 / 29500), rel=1e-3)
    assert 14.415 * effective_share(np.array(slenderness)) == pytest.approx(4.490, rel=1e-3)


@pytest.mark.parametrize(("psi", "k"), [(1.0, 4.0), (0.0, 7.81), (-1.0, 23.9), (-3.0, 95.68)])
def test_buckling_factors_of_the_code(psi, k):
    # EN 1993-1-5 table 4.1 (from memory)
    assert plate_factor(psi) == pytest.approx(k, rel=2e-3)
    for shift in (-1e-7, 1e-7):
        assert plate_factor(psi + shift) == pytest.approx(plate_factor(psi), rel=1e-5)


@pytest.mark.parametrize(("psi", "end"), [(1.0, 0.673), (-1.0, 0.874)])
def test_width_is_whole_up_to_the_codes_limit_and_follows_von_karman_far_beyond(psi, end):
    # limits 0.5 + sqrt(0.085 - 0.055 psi) of EN 1993-1-5, 4.4 (from memory)
    assert effective_share(np.array(0.999 * end), psi) == pytest.approx(1.0, rel=1e-12)
    assert effective_share(np.array(1.03 * end), psi) < 1.0
    assert 100 * effective_share(np.array(100.0), psi) == pytest.approx(1.0, abs=0.003)
    slow = effective_share(np.linspace(0.1, 10, 400), psi)
    assert (np.diff(slow) <= 1e-12).all()


def test_wrinkling_is_the_least_energy_over_half_wave_and_depth():
    # faces 70 GPa, 1 mm; core E 100, G 40 MPa: 594.392195 MPa on a thick core, by the minimum of three equal terms;
    # on one only 5 mm deep the depth cannot be chosen
    def energy(A, z):
        return 70000 / (12 * A) + 100 * A / z + 40 * z / 3

    thick = minimize_scalar(
        lambda z: minimize_scalar(lambda A: energy(A, z), bounds=(1, 1000), method="bounded").fun,
        bounds=(1, 60), method="bounded",
    )  # fmt: skip
    assert wrinkling_stress(70000, 100, 40, 1 / 60) == pytest.approx(thick.fun, rel=1e-6)
    assert wrinkling_stress(70000, 100, 40, 1 / 60) == pytest.approx(594.392195)
    thin = minimize_scalar(lambda A: energy(A, 5.0), bounds=(1, 1000), method="bounded").fun
    assert wrinkling_stress(70000, 100, 40, 1 / 5) == pytest.approx(thin, rel=1e-6)


def test_a_wavy_face_yields_where_bow_and_load_add_up():
    # The stress s plus the bending of what the bow w0 = l/200 grows by, w0 s/(s_w - s), reaches the yield stress; half
    # wave of a thick core, (pi/l)^2 = 4 s_w/(E t^2).
    E, wrinkle, yields, t = 2400.0, 40.0, 45.0, 0.8
    found = float(wrinkled_share(wrinkle / E, np.array(yields / E))) * yields
    wave = math.pi * t * math.sqrt(E / (4 * wrinkle))
    bow = wave / 200 * found / (wrinkle - found)
    assert found + E * t / 2 * (math.pi / wave) ** 2 * bow == pytest.approx(yields)
    assert found < 0.9 * wrinkle


def test_far_from_both_ends_a_wavy_face_yields_or_wrinkles():
    assert wrinkled_share(50.0, np.array(0.02)) == pytest.approx(1.0, abs=0.01)
    assert wrinkled_share(1e-4, np.array(0.1)) == pytest.approx(1e-3, rel=0.01)
    # The design value 0.5 of Hoff and Mautner (from memory) for 0.909 in theory: a share of 0.55, for faces whose yield
    # and wrinkling stress are alike and whose modulus is 50 to 100 times as large the bow says 0.70 to 0.75.
    for strain in (0.01, 0.02):
        assert 0.55 < float(wrinkled_share(strain, np.array(strain))) < 0.80


def test_a_bent_cylinder_keeps_the_classical_share():
    # NASA SP-8007 (from memory): 0.731 (1 - exp(-sqrt(r/t)/16)) is lost, at r/t = 100 0.34 of 0.605 t/r
    assert shell_strain(1.0, 100.0) == pytest.approx(0.00605 * (1 - 0.731 * 0.46474), rel=1e-4)


def panel(**changed):
    values = {
        "alone": 1e-3, "psi": 1.0, "least": 0.0, "gap": np.inf, "gap_psi": 1.0, "wrinkle": 0.0, "events": (),
        "place": (0.0, 0.0),
    }  # fmt: skip
    return Panel(**{**values, **changed})


def test_a_core_helps_a_panel_as_far_as_its_strips_hold():
    yields = np.array([0.02])
    alone = panel().share(yields)
    assert alone == pytest.approx(effective_share(np.sqrt(yields / 1e-3)))
    # ever so soft a core never takes anything off; a firm one is worth the wrinkled face
    assert panel(wrinkle=1e-6).share(yields) == pytest.approx(alone)
    assert panel(wrinkle=0.05).share(yields) == pytest.approx(wrinkled_share(0.05, yields))
    # but no more than the strips between its lines
    assert panel(wrinkle=0.05, gap=0.003).share(yields) == pytest.approx(
        effective_share(np.sqrt(yields / 0.003))
    )
    assert panel(least=0.02).share(yields) == pytest.approx(1.0)
