"""The verdict: planted rises are placed in their interval, the trade's between 0.8 and 1.0, and doubt is told."""

import numpy as np
import pytest

from tests.validation.explain.test_explain import SMOOTH, rods, rows_of, store, trade, trade_rows
from tests.validation.laboratory import FLAT, laboratory
from validation.explain.explain import explain
from validation.explain.series import series_of
from validation.explain.verdict import place_rise, verdict

__all__ = ["rods", "store", "trade"]  # fixtures


def placed(rows):
    (series,) = series_of(rows)
    return place_rise(series)


@pytest.mark.parametrize("base", SMOOTH)
@pytest.mark.parametrize(("low", "high", "ratio"), [(0.45, 0.6, 1.4), (0.75, 1.0, 1.8), (0.9, 1.0, 1.5)])
def test_a_planted_rise_is_placed_in_its_interval(base, low, high, ratio):
    study, estimates = laboratory(FLAT)
    fill = np.array([found.set_fill for found in estimates])
    force = SMOOTH[base](fill) * ratio ** np.clip((fill - low) / (high - low), 0, 1)
    found = [
        placed(rows_of(study, estimates, list(force), np.random.default_rng(seed))) for seed in range(10)
    ]
    assert sum(one.between == (low, high) for one in found) >= 9
    # walls and core side by side are none of the trends tried, so the size itself is good to a tenth
    assert np.mean([one.size.best for one in found]) == pytest.approx(ratio, rel=0.1)


def test_the_trades_rise_is_placed_between_80_and_100_percent(rods):
    found = [placed(trade_rows(rods, np.random.default_rng(seed))) for seed in range(12)]
    assert sum(one.between == (0.8, 1.0) for one in found) >= 10


def test_the_verdict_names_interval_size_shares_cause_and_test(trade):
    told = verdict(trade)
    assert told.startswith("Verdict: ")
    assert "between set fill 0.8 and 1," in told
    for words in ("times its trend", "shares: section", "best supported: ", "test next: "):
        assert words in told, words
    assert told.count("\n") == 0


def test_a_smooth_series_is_no_jump_or_cannot_tell():
    study, estimates = laboratory(FLAT)
    fill = np.array([found.set_fill for found in estimates])
    sharp, rough = (
        explain(
            rows_of(study, estimates, list(SMOOTH["proportional"](fill)), np.random.default_rng(3), scatter)
        )[0]
        for scatter in (0.01, 0.10)
    )
    assert verdict(sharp).startswith("Verdict: no jump")
    assert verdict(rough).startswith("Verdict: cannot tell: no jump is resolved")
    assert "could hide" in verdict(rough)


def test_four_settings_are_too_few_to_place_a_rise():
    study, estimates = laboratory(FLAT)
    rows = rows_of(study, estimates, [100.0] * 7, np.random.default_rng(4))[:4]
    assert placed(rows) is None
