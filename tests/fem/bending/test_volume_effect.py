"""Effective volumes against quadrature, and strengths carried from one test to another."""

import pytest
from scipy.integrate import quad

from fem.bending.bending import BendTest
from fem.bending.volume_effect import effective_volume, strength_ratio, stressed_length
from fem.material.cards import card_from, shipped, shipped_card
from patterns.errors import InputError

TESTS = (
    BendTest("cantilever", lever=40.0),
    BendTest("three_point", span=64.0),
    BendTest("four_point", span=66.0, load_span=22.0),
    BendTest("four_point", span=64.0, load_span=32.0),
)


def moment(test, x):
    """Return the moment at x from the left end over the largest, from statics."""
    if test.kind == "cantilever":
        return 1 - x / test.lever
    arm = (test.span - test.load_span) / 2
    return min(x / arm, 1.0, (test.span - x) / arm)


@pytest.mark.parametrize("m", [1.0, 8.0, 25.0])
@pytest.mark.parametrize("test", TESTS)
def test_effective_volume_is_the_integral_of_the_stress_to_the_power_m(test, m):
    b, h, length = 10.0, 4.0, test.free_length
    bends = [(length - test.load_span) / 2, (length + test.load_span) / 2]
    along, _ = quad(lambda x: moment(test, x) ** m, 0, length, points=bends, epsabs=1e-12)
    # tension on one half of the depth, linear from the middle
    across, _ = quad(lambda z: (z / (h / 2)) ** m, 0, h / 2)
    assert effective_volume(test, b, h, m) == pytest.approx(b * across * along, rel=1e-8)


@pytest.mark.parametrize("m", [5.0, 15.0])
def test_handbook_forms(m):
    # Munz and Fett 1999 (from memory): V/(2 (m+1)^2); noses at a third V (m+3)/(6 (m+1)^2), at a quarter
    # V (m+2)/(4 (m+1)^2).
    cantilever, three, third, quarter = (
        effective_volume(test, 10.0, 4.0, m) / (40 * test.free_length) for test in TESTS
    )
    assert cantilever == pytest.approx(1 / (2 * (m + 1) ** 2))
    assert three == pytest.approx(1 / (2 * (m + 1) ** 2))
    assert third == pytest.approx((m + 3) / (6 * (m + 1) ** 2))
    assert quarter == pytest.approx((m + 2) / (4 * (m + 1) ** 2))


def test_a_cantilever_is_half_a_three_point_beam_of_twice_its_length():
    half = effective_volume(BendTest("cantilever", lever=32.0), 10.0, 4.0, 12.0)
    assert 2 * half == pytest.approx(effective_volume(BendTest("three_point", span=64.0), 10.0, 4.0, 12.0))


def test_twice_the_lever_at_modulus_ten_costs_seven_percent():
    short, long = (stressed_length(BendTest("cantilever", lever=L), 10.0) for L in (40.0, 80.0))
    assert strength_ratio(short, long, 10.0) == pytest.approx(0.5**0.1)  # 0.933
    assert strength_ratio(short, short, 10.0) == 1.0
    # beams far from brittle do not feel it
    assert strength_ratio(short, long, 1e6) == pytest.approx(1.0, abs=1e-6)


@pytest.mark.parametrize("name", shipped())
def test_cards_state_the_modulus_as_an_assumption(name):
    value = shipped_card(name).weibull_modulus
    assert value.low < value.best < value.high
    assert value.evidence.startswith("assumption")


def test_a_modulus_below_one_is_refused():
    with pytest.raises(InputError, match=r"weibull_modulus: 0\.5 to 0\.5 leaves the possible range 1 to inf"):
        card_from({"weibull_modulus": 0.5}, "material", shipped_card("PLA"))
