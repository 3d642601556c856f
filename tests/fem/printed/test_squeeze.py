"""The welded share between layers over the range of the squeeze tolerance."""

from dataclasses import replace

import numpy as np
import pytest

from fem.material.cards import shipped_card
from fem.printed.core import core_cell
from fem.printed.squeeze import Welded, tolerances, welded
from fem.printed.weld_plane import weld_plane
from fem.strength.kinds import Layers, Notch
from patterns.bead import Bead
from patterns.outlines.layout import lay_out
from patterns.setting import Core, Printing, Specimen

CARD = shipped_card("PLA")
BEAD = Bead(0.5, 0.2)


def test_the_logarithm_is_linear_between_tolerances_and_the_ends_hold():
    share = Welded((0.0, 0.05, 0.1), (0.25, 1.0, 2.0))
    np.testing.assert_allclose(
        share.at(np.array([-1.0, 0.0, 0.025, 0.05, 0.1, 9.0])), [0.25, 0.25, 0.5, 1, 2, 2]
    )


def test_the_card_says_where_contact_is_solved():
    assert tolerances(CARD) == (0.0, 0.05, 0.1)
    assert tolerances(replace(CARD, squeeze_mm=None)) == (0.0,)
    assert welded(CARD, [0.4, 0.4, 0.4]) is None
    assert welded(CARD, [0.2, 0.4, 0.8]).ratios == pytest.approx((0.5, 1.0, 2.0))
    # nothing welded at the low end: as good as nothing carries, and the logarithm stays finite
    assert welded(CARD, [0.0, 0.4, 0.4]).at(0.0) == pytest.approx(1e-3)


def test_half_the_weld_breaks_at_half_the_force():
    layers = Layers(Notch(2.0, welded=Welded((0.0, 0.1), (0.5, 1.0))), pressed=0.5)
    draws = {"weld_tension_mpa": np.full(2, 40.0), "squeeze_mm": np.array([0.0, 0.1])}
    np.testing.assert_allclose(layers.law(draws, np.full(2, 3000.0)).tension, [10.0, 20.0])
    # where no tolerance is asked for, the best one holds
    alone = {"weld_tension_mpa": np.array([40.0])}
    np.testing.assert_allclose(layers.law(alone, np.full(1, 3000.0)).tension, [20.0])


@pytest.mark.parametrize("orientation", ["flat", "upright"])
def test_crossing_beads_close_their_gap_in_a_step(orientation):
    """Pitch 0.568 mm, beads 0.543 mm wide in full: a gap of 0.025 mm, open at tolerance 0, closed at 0.05 and 0.1."""
    layout = lay_out(
        Specimen("rectangle", 12.0, 12.0, 60.0),
        Printing(orientation, BEAD, walls=2),
        Core("alternating", 0.88, wall_overlap=0.0),
    )
    pitch = BEAD.width / 0.88
    gap = pitch - BEAD.full_width
    assert 0 < gap < 0.05
    core = core_cell(layout.infill, CARD.poisson.best)
    plane = weld_plane(layout, core, CARD)
    opened = plane.core_contact * float(plane.core_squeezed.at(0.0))
    assert float(plane.core_squeezed.at(0.1)) == pytest.approx(1.0, rel=0.01)
    if orientation == "flat":  # one cell: flats over pitch, squared; closing widens them by the gap
        assert opened == pytest.approx((BEAD.flat_width / pitch) ** 2)
        assert plane.core_contact == pytest.approx(((BEAD.flat_width + gap) / pitch) ** 2)
    else:  # drawn lines, cut by the border of a core 10 mm wide; closed they are one plane but for that border
        assert opened == pytest.approx((BEAD.flat_width / pitch) ** 2, rel=0.03)
        assert 0.9 < plane.core_contact < 1.0
