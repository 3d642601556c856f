"""Two segments on published data, and how well the place of a break is known."""

import numpy as np
import pytest

from patterns.errors import DataError
from tests.closed_forms.certified import stagnant_band
from validation.statistics import fit_two_segments


def test_two_segments_reproduce_the_stagnant_band():
    fit = fit_two_segments(stagnant_band.X, stagnant_band.Y)
    assert fit.place.best == pytest.approx(stagnant_band.BREAK, abs=5e-9)
    assert fit.place_error == pytest.approx(stagnant_band.BREAK_ERROR, abs=5e-9)
    assert fit.intercept == pytest.approx(stagnant_band.INTERCEPT, abs=5e-9)
    assert fit.slopes == pytest.approx(stagnant_band.SLOPES, abs=6e-9)
    assert fit.sse == pytest.approx(stagnant_band.SSE, rel=1e-8)
    assert fit.residual_sd == pytest.approx(stagnant_band.RESIDUAL_SD, rel=1e-8)
    assert fit.single_line_sse == pytest.approx(stagnant_band.SINGLE_LINE_SSE, rel=1e-8)


def test_the_break_is_the_best_of_a_fine_scan():
    rng = np.random.default_rng(41)
    x = np.repeat(np.linspace(0.2, 1.0, 8), 3)
    for _ in range(20):
        y = 1 + x + 2 * np.maximum(x - rng.uniform(0.4, 0.8), 0) + 0.05 * rng.standard_normal(x.size)
        fit = fit_two_segments(x, y)
        scan = []
        for place in np.linspace(0.32, 0.88, 500):
            design = np.column_stack([np.ones_like(x), x, np.maximum(x - place, 0)])
            scan.append(np.sum((y - design @ np.linalg.lstsq(design, y, rcond=None)[0]) ** 2))
        assert fit.sse <= min(scan) * (1 + 1e-12)


@pytest.mark.slow
def test_interval_of_the_place_holds_the_truth_and_narrows_with_less_scatter():
    rng, x = np.random.default_rng(42), np.repeat(np.linspace(0.0, 1.0, 9), 3)
    held, widths = [], {}
    for sd in (0.05, 0.02):
        spans = []
        for _ in range(80):
            y = 1 + x + 2 * np.maximum(x - 0.57, 0) + sd * rng.standard_normal(x.size)
            place = fit_two_segments(x, y).place
            held.append(place.low <= 0.57 <= place.high)
            spans.append(place.high - place.low)
        widths[sd] = np.mean(spans)
    assert np.mean(held) == pytest.approx(0.95, abs=0.05)
    assert widths[0.02] < 0.6 * widths[0.05]


def test_a_straight_line_has_no_place_of_a_break():
    x = np.linspace(0, 1, 8)
    fit = fit_two_segments(x, 1 + 2 * x)
    assert fit.sse == pytest.approx(fit.single_line_sse, abs=1e-20)
    assert fit.slopes == pytest.approx((2, 2))


def test_too_few_places_are_refused():
    with pytest.raises(DataError, match="four places, not 6 at 3"):
        fit_two_segments([1, 1, 2, 2, 3, 3], [1, 1, 2, 2, 3, 3])
