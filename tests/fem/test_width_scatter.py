"""Force where neighbouring beads begin to touch: smooth in fill, and the mean of estimates at drawn widths."""

from dataclasses import replace

import numpy as np
import pytest

from fem.bending.bending import BendTest
from fem.estimation import Estimate, estimate
from fem.material.cards import shipped_card
from fem.printed.cell_store import CellStore, default_folder
from fem.setting import Setting
from patterns.bead import Bead
from patterns.setting import Core, Printing, Specimen
from tests.fem.printed.test_neighbours import widths

BEAD = Bead(0.45, 0.2)  # full width 0.4929 mm: equal beads touch from set fill 0.9129


def upright(pattern: str, fill: float, bead: Bead = BEAD, walls: int = 2, scatter: float = 0.03) -> Estimate:
    setting = Setting(
        Specimen("rectangle", 12.0, 12.0, 100.0),
        Printing("upright", bead, walls, width_scatter=scatter),
        Core(pattern, fill),
        BendTest("cantilever", lever=60.0),
        shipped_card("PLA"),
    )
    return estimate(setting, store=CellStore(default_folder()))


@pytest.mark.slow
@pytest.mark.parametrize(("low", "high"), [(0.90, 0.93), (0.905, 0.9205)])
def test_halving_the_fill_step_halves_the_change_of_the_best_force(low, high):
    fills = np.linspace(low, high, 5)
    force = np.log([upright("alternating", float(fill)).breaking_force.best for fill in fills])
    change = np.abs(np.diff(force[::2])).max()
    assert np.all(np.diff(force) > 0)
    # exact halves but for the curvature of the whole piece
    assert np.abs(np.diff(force)).max() < 0.65 * change
    assert change / (fills[2] - fills[0]) * fills[2] < 5  # log slope


@pytest.mark.slow
@pytest.mark.parametrize("fill", [0.89, 0.92])
def test_the_best_force_is_the_mean_of_estimates_at_drawn_widths(fill):
    # Beams of beads all equally wide, lines where they were: nine widths at the middles of equal shares. The mean over
    # widths of squared flats is that of one width in both layers, which adds their variance, about 1 %.
    drawn = [
        upright("alternating", fill * ratio, replace(BEAD, width=BEAD.width * ratio), walls=0, scatter=0.0)
        for ratio in widths(n=9)
    ]
    found = upright("alternating", fill, walls=0)
    mean = np.mean([one.modes["weld_tension"].best for one in drawn])
    assert found.modes["weld_tension"].best == pytest.approx(mean, rel=0.03)
    assert found.EI.best == pytest.approx(np.mean([one.EI.best for one in drawn]), rel=0.02)
