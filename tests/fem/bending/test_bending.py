"""Bend tests against standard integration, the elastica and the standards' worked bar."""

import pytest

from fem.bending.bending import BendTest, elastica_tip, large_deflection_error
from patterns.errors import InputError

# Solid bar 10 x 4 mm, E 2500 MPa, Poisson 0.35, shear coefficient 5/6; deflections by standard integration.
EI = 2500 * 10 * 4**3 / 12
GA = 5 / 6 * 2500 / 2.7 * 40


@pytest.mark.parametrize(
    ("test", "force", "bending", "shear"),
    [
        (BendTest("three_point", span=64), 50, 2.048, 0.02592),
        (BendTest("cantilever", lever=60), 10, 5.4, 0.01944),
        (BendTest("four_point", span=64, load_span=64 / 3), 50, 1.74459259, 0.01728),
        (BendTest("four_point", span=64, load_span=32), 50, 1.408, 0.01296),
    ],
)
def test_deflections_of_a_solid_bar(test, force, bending, shear):
    assert force * test.bending_compliance(EI) == pytest.approx(bending, rel=1e-7)
    assert force * test.shear_compliance(GA) == pytest.approx(shear, rel=1e-7)
    assert 1 / test.stiffness(EI, GA, 4, 0) == pytest.approx((bending + shear) / force, rel=1e-7)


@pytest.mark.parametrize(
    ("test", "stress"),
    [
        (BendTest("three_point", span=64), 30.0),
        (BendTest("four_point", span=64, load_span=64 / 3), 20.0),
        (BendTest("four_point", span=64, load_span=32), 15.0),
    ],
)
def test_peak_moment_gives_the_outer_fibre_stress(test, stress):
    assert 50 * test.moment_per_force / (10 * 4**2 / 6) == pytest.approx(stress)


# Bisshopp and Drucker 1945; alpha 1, 2, 5, 10 also tabulated by Mattiasson 1981 (Int. J. Numer. Meth. Eng. 17, 145).
@pytest.mark.parametrize(
    ("alpha", "tip"),
    [(0.2, 0.066364482), (1, 0.301720774), (2, 0.493457480), (5, 0.713791524), (10, 0.810609025)],
)
def test_elastica(alpha, tip):
    assert elastica_tip(alpha) == pytest.approx(tip, abs=1e-8)


def test_elastica_tends_to_linear_theory_with_the_square_of_the_load():
    errors = [large_deflection_error(force, 100.0, 1e6) for force in (0.5, 1, 2)]
    assert errors[1] / errors[0] == pytest.approx(4, rel=0.01)
    assert errors[2] / errors[1] == pytest.approx(4, rel=0.01)
    assert large_deflection_error(1e-9, 100.0, 1e6) == pytest.approx(0, abs=1e-9)


def test_elastic_root_adds_a_quarter_of_its_coefficient_times_depth_over_lever():
    # theta L / (P L^3/3EI) = C/4 h/L for E h^2 b = 12 EI/h: 8.3 % at L/h = 15 (Timoshenko-type integration).
    test = BendTest("cantilever", lever=60)
    assert test.root_compliance(EI, 4, 4.9956) / test.bending_compliance(EI) == pytest.approx(4.9956 / 4 / 15)
    assert BendTest("three_point", span=60).root_compliance(EI, 4, 5) == 0


def test_short_beams_are_warned_about_then_refused():
    assert BendTest("cantilever", lever=60).check(4) == []
    (short,) = BendTest("cantilever", lever=30).check(10)
    assert (short.code, short["reach"], short["depth"]) == ("short_beam", 30, 10)
    with pytest.raises(InputError, match="use at least 15 mm"):
        BendTest("cantilever", lever=14).check(10)
    with pytest.raises(InputError, match="support to load"):
        BendTest("three_point", span=20).check(10)


def test_rig_compliance_adds_to_the_deflection():
    stiff = BendTest("three_point", span=64).stiffness(EI, GA, 4, 0)
    soft = BendTest("three_point", span=64, compliance=0.01).stiffness(EI, GA, 4, 0)
    assert 1 / soft - 1 / stiff == pytest.approx(0.01)
