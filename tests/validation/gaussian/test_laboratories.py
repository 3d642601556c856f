"""Bands cover what they say, left-out settings are met: a quick sample of laboratories and 1,000 of them."""

import numpy as np
import pytest

from tests.validation.gaussian.laboratories import (
    FILLS,
    KINDS,
    WALLS,
    Design,
    Raced,
    Seen,
    coverage_cells,
    interval_score,
    paired,
    run,
)


def break_beams(
    labs: int, repeats: int = 3, settings: int = 99, seed: int = 5
) -> tuple[list[Seen], list[Raced]]:
    found = []
    for number, kind in enumerate(KINDS):
        design = Design.of(WALLS if kind == "trend" else FILLS, slice(settings))
        rng = np.random.default_rng([seed, number])
        for _ in range(labs):
            found += list(run(design, kind, rng, repeats))
    return tuple([one for one in found if isinstance(one, kind)] for kind in (Seen, Raced))


def test_interval_score_by_hand():
    """Gneiting and Raftery 2007, equation 43, at 95 %: width, and forty times what lies outside."""
    assert interval_score(1.0, 3.0, 2.0) == pytest.approx(2.0)
    assert interval_score(1.0, 3.0, 0.9) == pytest.approx(2.0 + 40 * 0.1)
    assert interval_score(1.0, 3.0, 3.5) == pytest.approx(2.0 + 40 * 0.5)


def test_a_few_laboratories_are_covered_and_met():
    """Pooled over all kinds but a step between left-out neighbours, which no smooth model can foresee."""
    seen, raced = break_beams(3)
    kept = [one.held for one in seen if (one.kind, one.where) != ("step", "inner")]
    # 3 laboratories of each kind: binomial limits are wide, the shares of one laboratory being alike
    assert 0.90 <= np.mean(kept) <= 1.0
    medians = {
        q: np.median([one.error["fillbend"] for one in raced if one.quantity == q])
        for q in ("stiffness", "breaking_force")
    }
    assert medians["stiffness"] <= 0.04
    assert medians["breaking_force"] <= 0.05
    less, half = paired(raced)
    assert less <= half


@pytest.mark.slow
def test_a_thousand_laboratories():
    """250 of each kind; numbers and what misses its aim stand in the table of `tests.benchmarks.laboratories`."""
    seen, raced = break_beams(250, seed=6)
    for (kind, where), shares in coverage_cells(seen).items():
        if (kind, where) == ("step", "inner"):
            continue  # told as a miss, not covered
        assert min(shares) >= 0.90, (kind, where, shares)
        assert np.mean(shares) >= 0.93, (kind, where, shares)
    for quantity, most in (("stiffness", 0.03), ("breaking_force", 0.05)):
        mine = [one for one in raced if one.quantity == quantity]
        assert np.median([one.error["fillbend"] for one in mine]) <= most
        less, half = paired(mine)
        assert less + half <= 0.0
        for rival in ("interpolation", "two-parameter fit"):
            assert np.mean([one.score["fillbend"] for one in mine]) <= np.mean(
                [one.score[rival] for one in mine]
            )


@pytest.mark.slow
@pytest.mark.parametrize(("repeats", "settings"), [(1, 99), (3, 4)])
def test_few_beams_are_covered_at_least(repeats, settings):
    seen, _ = break_beams(60, repeats, settings, seed=7)
    held = [one.held for one in seen if (one.kind, one.where) != ("step", "inner")]
    assert np.mean(held) >= 0.93
