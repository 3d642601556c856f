"""Where to read next: variances by hand, and fewer misses than as many readings spread evenly, in laboratories."""

import numpy as np
import pytest

from tests.validation.gaussian.laboratories import SCATTER, WALLS, Design, miss
from validation.gaussian import Place, Reading, fit
from validation.gaussian.next_readings import after, next_readings, posterior_covariance
from validation.predict.places import SCALES


def test_a_reading_adds_its_precision():
    """Variance after = 1 / (1/v + 1/s^2) at the place, conditional normal elsewhere."""
    covariance = np.array([[0.04, 0.02], [0.02, 0.09]])
    found = after(covariance, 0.1, [0])
    assert found[0, 0] == pytest.approx(1 / (1 / 0.04 + 1 / 0.01))
    assert found[1, 1] == pytest.approx(0.09 - 0.02**2 / 0.05)
    # twice is as one of half the variance
    assert after(covariance, 0.1, [1, 1]) == pytest.approx(after(covariance, 0.1 / np.sqrt(2), [1]))


def test_the_first_place_removes_most_per_cost():
    covariance, weights = np.diag([0.01, 0.04]), np.ones(2) / 2
    assert next_readings(covariance, 0.05, weights, np.ones(2), 1) == [1]
    assert next_readings(covariance, 0.05, weights, np.array([1.0, 100.0]), 1) == [0]
    assert next_readings(covariance, 0.05, np.array([1.0, 0.0]), np.ones(2), 2) == [0, 0]
    # a place that was read is worth less
    assert sorted(next_readings(np.diag([0.04, 0.03]), 0.05, weights, np.ones(2), 2)) == [0, 1]


def test_the_posterior_covariance_is_that_of_the_prediction():
    rng = np.random.default_rng(11)
    places = [Place({"force": 0.0}, {"force": np.array([0.2, 0.05 * k])}, (float(k),)) for k in range(5)]
    readings = [Reading(p, "force", 0.02 * rng.standard_normal()) for p in places[:3] for _ in range(20)]
    told = fit(readings, {"force": SCALES["stiffness"]}).quantities["force"]
    found = np.sqrt(np.diag(posterior_covariance(told, places)))
    assert found[:3] == pytest.approx([told.predict(p).log_sd for p in places[:3]], rel=0.1)
    assert found[4] > 2 * found[0]


def errors(design: Design, seed: int, how: str) -> float:
    """Return the mean square error over all settings after three more beams, chosen or evenly spread."""
    rng = np.random.default_rng(seed)
    draw, q = int(rng.integers(2000)), "breaking_force"
    truth = np.log([one.draws[q][draw] for one in design.estimates]) + miss(
        ("smooth", "trend")[seed % 2], design, rng
    )
    noise = np.random.default_rng(1000 + seed)

    def read(k: int) -> Reading:
        return Reading(design.places[k], q, truth[k] + SCATTER * noise.standard_normal())

    readings = [read(k) for k in (0, 1, 3) for _ in range(3)]
    told = fit(readings, {q: SCALES[q]}).quantities[q]
    covariance = posterior_covariance(told, design.places)
    m = len(design.places)
    chosen = next_readings(covariance, told.middle()[3], np.ones(m) / m, np.ones(m), 3)
    after_all = fit([*readings, *map(read, chosen if how == "chosen" else (1, 4, 7))], {q: SCALES[q]})
    return float(
        np.mean([(after_all.predict(p, q).best - t) ** 2 for p, t in zip(design.places, truth, strict=True)])
    )


@pytest.mark.slow
def test_chosen_readings_leave_smaller_errors_than_evenly_spread_ones():
    design = Design.of(WALLS)
    less = np.array([errors(design, seed, "chosen") - errors(design, seed, "even") for seed in range(60)])
    assert less.mean() < 0
    assert less.mean() + 1.96 * less.std(ddof=1) / np.sqrt(less.size) < 0
