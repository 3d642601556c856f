"""Factors for few repeats against published tables and against simulation."""

import math

import numpy as np
import pytest
from scipy import integrate, stats

from patterns.errors import DataError
from validation.statistics import (
    detectable_difference,
    difference_power,
    mean_factor,
    prediction_factor,
    sd_range_factors,
    tolerance_factor,
)
from validation.statistics.intervals import log_values

# n, mean, next beam, 95/90 lower bound, detectable difference (power 80 %), range of the true SD:
# worked out apart from this code, to the digits of a practitioner's table
SMALL_N = [
    (3, 2.48, 4.97, 6.16, 3.07, (0.52, 6.28)),
    (4, 1.59, 3.56, 4.16, 2.38, (0.57, 3.73)),
    (5, 1.24, 3.04, 3.41, 2.02, (0.60, 2.87)),
    (6, 1.05, 2.78, 3.01, 1.80, (0.62, 2.45)),
    (10, 0.72, 2.37, 2.35, 1.32, (0.69, 1.83)),
]


@pytest.mark.parametrize(("n", "mean", "next_beam", "bound", "difference", "sd_range"), SMALL_N)
def test_small_n_table_is_reproduced_to_its_digits(n, mean, next_beam, bound, difference, sd_range):
    assert round(mean_factor(n), 2) == mean
    assert round(prediction_factor(n), 2) == next_beam
    assert round(tolerance_factor(n), 2) == bound
    assert round(detectable_difference(n), 2) == difference
    assert tuple(round(factor, 2) for factor in sd_range_factors(n - 1)) == sd_range


def test_pooling_six_settings_of_three_shortens_the_intervals():
    assert round(mean_factor(3, df=12), 2) == 1.26
    assert round(detectable_difference(3, df=12), 2) == 2.49


# One-sided 95 % confidence / 90 % coverage factors of the composites handbook (CMH-17, B-basis), from memory.
@pytest.mark.parametrize(("n", "k"), [(2, 20.581), (3, 6.155), (5, 3.407), (10, 2.355), (20, 1.926)])
def test_tolerance_factor_equals_the_b_basis_table(n, k):
    assert tolerance_factor(n) == pytest.approx(k, abs=6e-4)


def test_tolerance_factor_is_near_the_handbook_approximation():
    # NIST e-Handbook 7.2.6.3: n 43, coverage 0.90, confidence 0.99: k = 1.8752 by an approximation good to a few 0.1 %
    assert tolerance_factor(43, 0.90, 0.99) == pytest.approx(1.8752, rel=3e-3)


def test_lower_bound_is_below_nine_beams_of_ten_in_95_of_100_laboratories():
    samples = np.random.default_rng(7).standard_normal((40_000, 3))
    bounds = samples.mean(axis=1) - tolerance_factor(3) * samples.std(axis=1, ddof=1)
    held = stats.norm.sf(bounds) >= 0.90
    assert held.mean() == pytest.approx(0.95, abs=4 * math.sqrt(0.05 * 0.95 / 40_000))


def test_prediction_interval_holds_the_next_beam_in_95_of_100_cases():
    beams = np.random.default_rng(8).standard_normal((40_000, 4))
    first = beams[:, :3]
    inside = np.abs(beams[:, 3] - first.mean(axis=1)) <= prediction_factor(3) * first.std(axis=1, ddof=1)
    assert inside.mean() == pytest.approx(0.95, abs=4 * math.sqrt(0.05 * 0.95 / 40_000))


def test_power_equals_an_integral_over_the_scatter():
    # P(|z + shift| > t s) averaged over s, chi distributed: no noncentral t involved
    n, difference = 4, 2.0
    df, shift = 2 * n - 2, difference * math.sqrt(n / 2)
    limit = stats.t.ppf(0.975, df)

    def seen(s):
        return stats.norm.sf(limit * s - shift) + stats.norm.cdf(-limit * s - shift)

    density = stats.chi(df, scale=1 / math.sqrt(df)).pdf
    expected = integrate.quad(lambda s: seen(s) * density(s), 0, 6)[0]
    assert difference_power(difference, n) == pytest.approx(expected, rel=1e-8)


def test_power_at_no_difference_is_the_level():
    assert difference_power(0.0, 3) == pytest.approx(0.05, rel=1e-9)


def test_one_beam_alone_has_no_interval():
    with pytest.raises(DataError, match="one beam alone"):
        mean_factor(1)


@pytest.mark.parametrize("value", [0.0, -3.0, math.nan, math.inf])
def test_values_without_logarithm_are_refused(value):
    with pytest.raises(DataError, match=r"upright 40: .* has no logarithm"):
        log_values([10.0, value], "upright 40")


def test_power_far_out_agrees_where_both_ways_work():
    # the noncentral t distribution of scipy against the mean of normal tests over the scatter found
    from validation.statistics.intervals import _power_by_integral

    for df, shift in ((1, 3.0), (1, 20.0), (3, 4.0), (12, 2.5)):
        limit = float(stats.t.ppf(0.975, df))
        exact = stats.nct.sf(limit, df, shift) + stats.nct.cdf(-limit, df, shift)
        assert _power_by_integral(limit, df, shift) == pytest.approx(exact, rel=1e-6)
