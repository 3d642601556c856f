"""The table of groove factors: entries solved again, both limits, net section above, the combined formula beside."""

import numpy as np
import pytest

from fem.printed.groove import WELD_CELLS, cracked_weld
from fem.strength.weld_factor import factors_of, weld_factor

NUMBERS = 10.0 ** np.linspace(-3, 2, 11)


@pytest.mark.parametrize(("cell", "height"), [("stacked", 0.5), ("crossing", 0.9)])
def test_entries_solved_again(cell, height):
    found, combined = factors_of(cracked_weld(cell, height), height, NUMBERS)
    assert weld_factor(cell, height, NUMBERS) == pytest.approx(found, rel=0.01)
    # exact in a wide plate; here the groove is between two others and the contact ends: up to a fifth above, 2 % below
    assert (found > 0.98 * combined).all()
    assert (found < 1.2 * combined).all()


@pytest.mark.parametrize("cell", WELD_CELLS)
@pytest.mark.parametrize("height", [0.05, 0.1, 0.37, 0.8, 1.2, 1.26])
def test_limits(cell, height):
    # tough: net section; brittle: Griffith, load with the root of the toughness
    assert weld_factor(cell, height, 1e6) == 1.0
    few = weld_factor(cell, height, np.array([1e-7, 1e-5]))
    assert few[1] / few[0] == pytest.approx(10, rel=1e-6)
    rising = weld_factor(cell, height, 10.0 ** np.linspace(-6, 3, 200))
    assert (np.diff(rising) >= -1e-12).all()
    assert rising.max() <= 1.0


def test_toughness_is_a_guard():
    # PLA, 0.45 x 0.2 mm: from 1 N/mm up the groove costs next to nothing; 0.3 N/mm costs less than a fifth
    for strength in (30.0, 56.0):
        number = 3400.0 * np.array([0.3, 1.0, 3.0]) / (strength**2 * 0.45)
        for cell in WELD_CELLS:
            little, some, much = weld_factor(cell, 0.2 / 0.45, number)
            assert 0.82 < little < 1
            assert some > 0.98
            assert much > 0.99


def test_a_crossing_weld_costs_no_more_than_one_of_a_stack():
    # every second weld of the crossing cell gives way, which relieves its neighbours; one of the stack does
    for height in (0.2, 0.5, 1.0):
        both = [weld_factor(cell, height, NUMBERS) for cell in ("stacked", "crossing")]
        assert (both[1] >= both[0] * 0.99).all()
