"""One-way analysis on certified numbers; blocks on textbook data, by simulation and at their limits."""

import math

import numpy as np
import pytest

from patterns.errors import DataError
from validation.statistics import block_effects

# Hardness of four tips on four coupons (randomised blocks), D. C. Montgomery, Design and Analysis of Experiments;
# data from memory; sums of squares as printed in public lecture notes: tips 0.385, coupons 0.825, error 0.080 (9 df)
HARDNESS = np.array(
    [[9.3, 9.4, 9.6, 10.0], [9.4, 9.3, 9.8, 9.9], [9.2, 9.4, 9.5, 9.7], [9.7, 9.6, 10.0, 10.2]]
)


def test_blocks_reproduce_the_textbook_sums_of_squares():
    tips = [f"tip {i}" for i in range(4) for _ in range(4)]
    coupons = [f"coupon {j}" for _ in range(4) for j in range(4)]
    found = block_effects(np.exp(HARDNESS.ravel()), tips, coupons)
    assert found.df == (3, 9)
    assert found.residual.log_sd**2 == pytest.approx(0.080 / 9, rel=1e-9)
    assert found.F == pytest.approx(30.938, abs=1e-3)
    assert found.p == pytest.approx(4.523e-05, rel=1e-3)
    # balanced blocks: component by moments is (mean square of blocks - mean square of error) / settings
    assert found.block_log_sd**2 == pytest.approx((0.825 / 3 - 0.080 / 9) / 4, rel=1e-9)
    tip_means = HARDNESS.mean(axis=1)
    ratios = [math.log(found.setting_ratios[f"tip {i}"].best) for i in range(4)]
    assert ratios == pytest.approx(tip_means - tip_means[0], abs=1e-12)


def simulated(rng, block_sd, sd=0.04, drop=()):
    """Return values, settings and blocks of a 6 x 3 design with random builds, some beams missing."""
    builds = block_sd * rng.standard_normal(3)
    rows = [(s, b) for s in range(6) for b in range(3) if (s, b) not in drop]
    logs = [3 + 0.1 * s + builds[b] + sd * rng.standard_normal() for s, b in rows]
    return np.exp(logs), [f"s{s}" for s, _ in rows], [f"b{b}" for _, b in rows]


def test_random_block_scatter_is_unbiased_with_missing_beams():
    rng = np.random.default_rng(21)
    missing = ((0, 0), (2, 1), (5, 2))
    blocks, residuals = [], []
    for _ in range(1500):
        found = block_effects(*simulated(rng, 0.10, drop=missing))
        blocks.append(found.block_log_sd**2)
        residuals.append(found.residual.log_sd**2)
    assert np.mean(residuals) == pytest.approx(0.04**2, rel=0.05)
    assert np.mean(blocks) == pytest.approx(0.10**2, rel=0.08)
    assert found.next_beam_log_sd == pytest.approx(math.hypot(found.residual.log_sd, found.block_log_sd))


def test_blocks_without_effect_are_called_so_in_5_of_100_series():
    rng = np.random.default_rng(22)
    alarms = [block_effects(*simulated(rng, 0.0)).p < 0.05 for _ in range(1000)]
    assert np.mean(alarms) == pytest.approx(0.05, abs=0.025)


def test_interval_of_a_setting_holds_the_truth_in_spite_of_builds():
    rng, held = np.random.default_rng(23), []
    for _ in range(800):
        found = block_effects(*simulated(rng, 0.10, drop=((0, 0), (2, 1))))
        held.append(found.setting_ratios["s3"].low <= math.exp(0.3) <= found.setting_ratios["s3"].high)
    assert np.mean(held) == pytest.approx(0.95, abs=0.025)


def test_settings_printed_in_one_build_each_are_refused():
    values, settings = [10.0, 10.4, 12.0, 12.3], ["a", "a", "b", "b"]
    with pytest.raises(DataError, match="mixed up"):
        block_effects(values, settings, ["p1", "p1", "p2", "p2"])
    with pytest.raises(DataError, match="needs two blocks"):
        block_effects(values, settings, ["p1"] * 4)
    with pytest.raises(DataError, match="leave no scatter"):
        block_effects(values[:3], settings[:3], ["p1", "p2", "p1"])
