"""Scatter on the log scale: pooling, range, coverage of the intervals made from it."""

import math

import numpy as np
import pytest

from patterns.errors import DataError
from validation.statistics import Scatter, pooled_scatter, setting_scatter, summarise


def test_pooled_scatter_is_the_root_of_the_within_mean_square():
    groups = {"a": [100.0, 110.0, 121.0], "b": [50.0, 55.0]}
    step = math.log(1.1)
    pooled = pooled_scatter(groups)
    assert pooled.df == 3
    assert pooled.log_sd == pytest.approx(math.sqrt((2 * step**2 + step**2 / 2) / 3))
    assert pooled.per_setting["b"] == Scatter(pytest.approx(step / math.sqrt(2)), 1)


def test_single_beams_add_nothing_but_stay_visible():
    pooled = pooled_scatter({"a": [100.0, 110.0], "b": [50.0]})
    assert pooled.df == 1
    assert pooled.per_setting["b"] is None
    assert pooled.equal_p is None


@pytest.mark.parametrize("unit", [1.0, 9.80665, 1e-3])
def test_scatter_does_not_depend_on_the_unit(unit):
    groups = {"a": [100.0, 104.0, 97.0], "b": [50.0, 53.0, 49.0]}
    scaled = {name: [unit * value for value in values] for name, values in groups.items()}
    assert pooled_scatter(scaled).log_sd == pytest.approx(pooled_scatter(groups).log_sd, rel=1e-12)


def test_percent_is_the_lognormal_coefficient_of_variation():
    values = np.exp(np.random.default_rng(3).normal(4.0, 0.3, 200_000))
    assert Scatter(0.3, 10).percent == pytest.approx(100 * values.std() / values.mean(), rel=0.01)


def test_true_scatter_lies_in_its_range_in_95_of_100_studies():
    rng, held = np.random.default_rng(4), []
    for _ in range(500):
        groups = {str(k): np.exp(0.05 * rng.standard_normal(3)) for k in range(6)}
        span = pooled_scatter(groups).true_range()
        held.append(span.low <= 0.05 <= span.high)
    assert np.mean(held) == pytest.approx(0.95, abs=0.035)


def test_bartlett_on_three_beams_sees_a_tenfold_scatter_but_hardly_a_threefold_one():
    rng = np.random.default_rng(5)

    def share_seen(factor):
        seen = 0
        for _ in range(200):
            logs = 0.02 * rng.standard_normal((6, 3)) * np.array([[factor], [1], [1], [1], [1], [1]])
            seen += pooled_scatter({str(k): np.exp(row) for k, row in enumerate(logs)}).equal_p < 0.05
        return seen / 200

    shares = [share_seen(factor) for factor in (1, 3, 10)]
    assert shares[0] < 0.10
    assert shares[1] < 0.40
    assert shares[2] > 0.70


def test_summary_with_pooled_scatter_covers_mean_and_next_beam():
    rng, mean_in, next_in, above = np.random.default_rng(6), [], [], []
    for _ in range(600):
        logs = {str(k): 3 + 0.05 * rng.standard_normal(3) for k in range(6)}
        groups = {name: np.exp(values) for name, values in logs.items()}
        summary = summarise(groups["0"], pooled_scatter(groups))
        mean_in.append(summary.mean.low <= math.exp(3) <= summary.mean.high)
        following = math.exp(3 + 0.05 * rng.standard_normal())
        next_in.append(summary.next_beam.low <= following <= summary.next_beam.high)
        # nine beams of ten lie above exp(3 - 1.2816 x 0.05)
        above.append(summary.lower_bound <= math.exp(3 - 1.2815516 * 0.05))
    assert [np.mean(found) for found in (mean_in, next_in, above)] == pytest.approx([0.95] * 3, abs=0.03)


def test_scatter_of_single_beams_is_refused():
    assert setting_scatter([5.0]) is None
    with pytest.raises(DataError, match="no setting has two beams"):
        pooled_scatter({"a": [1.0], "b": [2.0]})
    with pytest.raises(DataError, match=r"1 beam\(s\) give no interval"):
        summarise([5.0])
