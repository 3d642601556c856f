"""Propagation of uncertainty on the end-gauge example of the guide."""

import math

import pytest
from scipy import stats

from validation.statistics import Quantity, propagate

# JCGM 100:2008, annex H.1, end-gauge calibration; nm and kelvin. Printed: contributions 25, 9.7, 2.9, 16.6 nm,
# combined 32 nm, 16 degrees of freedom, expanded 93 nm at 99 %.
LENGTH = 50.000623e6
GAUGE = {
    "standard": Quantity(LENGTH, 25, 18),
    "difference": Quantity(215, 9.7, 25.6),
    "expansion": Quantity(11.5e-6, 1.2e-6),
    "temperature": Quantity(-0.1, 0.41),
    "expansion_gap": Quantity(0, 0.58e-6, 50),
    "temperature_gap": Quantity(0, 0.029, 2),
}


def gauge_length(standard, difference, expansion, temperature, expansion_gap, temperature_gap):
    return standard + difference - LENGTH * (expansion_gap * temperature + expansion * temperature_gap)


def test_end_gauge_example_of_the_guide():
    found = propagate(gauge_length, GAUGE)
    assert found.value == pytest.approx(50.000838e6, abs=0.5)
    sizes = {name: abs(part) for name, part in found.contributions.items()}
    assert sizes == pytest.approx(
        {
            "standard": 25,
            "difference": 9.7,
            "expansion": 0,
            "temperature": 0,
            "expansion_gap": 2.9,
            "temperature_gap": 16.675,
        },
        abs=0.01,
    )
    assert found.u == pytest.approx(31.71, abs=0.01)
    assert found.df == pytest.approx(16.66, abs=0.02)
    assert found.expanded(0.99) == pytest.approx(92.6, abs=0.1)


def test_depth_dominates_the_bend_modulus():
    # E = k L^3 / (4 b h^3): relative parts 0.5 %, 3 x 0.1/64, 0.02/10, 3 x 0.02/4, added in squares
    k = 24.4140625
    bar = {
        "k": Quantity(k, 0.005 * k),
        "L": Quantity(64, 0.1),
        "b": Quantity(10, 0.02),
        "h": Quantity(4, 0.02),
    }
    found = propagate(lambda k, L, b, h: k * L**3 / (4 * b * h**3), bar)
    by_hand = math.sqrt(0.005**2 + (0.3 / 64) ** 2 + 0.002**2 + 0.015**2)
    assert found.value == pytest.approx(2500)
    assert found.u / found.value == pytest.approx(by_hand, rel=1e-3)
    assert max(found.contributions, key=lambda name: abs(found.contributions[name])) == "h"
    assert found.contributions["h"] < 0 < found.contributions["k"]


def test_without_degrees_of_freedom_the_interval_is_normal():
    found = propagate(lambda a: 2 * a, {"a": Quantity(3, 0.1)})
    assert found.expanded(0.95) == pytest.approx(0.2 * stats.norm.ppf(0.975))
