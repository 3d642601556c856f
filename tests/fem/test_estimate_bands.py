"""Bands of the estimate against estimates at the ends of a range."""

from dataclasses import replace

import numpy as np
import pytest

from fem.bending import BendTest
from fem.cards import shipped_card
from fem.estimate import SEED, estimate
from fem.setting import Setting
from patterns.bead import Bead
from patterns.setting import Core, Printing, Specimen


def only_across_ratio_known_badly() -> Setting:
    card = shipped_card("PLA")
    exact = {name: replace(value, low=value.best, high=value.best) for name, value in card.values().items()}
    exact["across_bead_ratio"] = replace(card.across_bead_ratio, low=0.6, best=0.75, high=0.9)
    return Setting(
        Specimen("rectangle", 12.0, 10.0, 120.0),
        Printing("flat", Bead(0.5, 0.25), walls=1, bottom_layers=6, top_layers=6),
        Core("square", 0.0),
        BendTest("three_point", span=100.0),
        replace(card, **exact),
    )


# GA: the slope leaves out how the shear field follows the bending field, see fem.estimate.
@pytest.mark.parametrize(("quantity", "tolerance"), [("EI", 3e-3), ("GJ", 3e-3), ("GA", 1e-2)])
def test_band_over_the_elastic_ratio_meets_estimates_at_its_ends(quantity, tolerance):
    setting = only_across_ratio_known_badly()
    ratio = setting.card.across_bead_ratio
    draws = ratio.sample(np.random.default_rng(SEED), 200_000)
    band = getattr(estimate(setting), quantity)
    for end, share in ((band.low, 0.05), (band.high, 0.95)):
        at_end = replace(ratio, best=float(np.quantile(draws, share)), low=0.1, high=0.99)
        there = estimate(replace(setting, card=replace(setting.card, across_bead_ratio=at_end)))
        assert end == pytest.approx(getattr(there, quantity).best, rel=tolerance)
    assert band.high / band.low > 1.01  # the range does move it
