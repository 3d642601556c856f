"""Neighbours that touch and that do not, where bead widths scatter: against quadrature and draws."""

import math
from dataclasses import replace

import numpy as np
import pytest

from fem.material.cards import shipped_card
from fem.printed.contact import FLOWS, flat_at, mean_flat, zone_contacts
from fem.printed.core import core_cell
from fem.printed.neighbours import neighbours
from patterns.bead import Bead
from patterns.infill import infill_of
from patterns.outlines.layout import lay_out
from patterns.setting import Core, Printing, Specimen

BEAD = Bead(0.5, 0.2)
SCATTER = 0.03


def widths(scatter=SCATTER, n=200_000):
    """Return ratios of width (n,) at the middles of equal shares of a raised cosine, by its inverse table."""
    x = np.linspace(-1, 1, 20_001)
    below = (1 + x + np.sin(math.pi * x) / math.pi) / 2
    return 1 + scatter / math.sqrt(1 / 3 - 2 / math.pi**2) * np.interp((np.arange(n) + 0.5) / n, below, x)


def test_the_density_has_the_mean_and_scatter_asked_for():
    assert widths().mean() == pytest.approx(1, abs=1e-9)
    assert widths().std() == pytest.approx(SCATTER, rel=1e-4)


@pytest.mark.parametrize("fill", [0.87, 0.9, 0.92, 0.95, 0.98])
def test_groups_are_those_of_drawn_widths(fill):
    pitch = BEAD.width / fill
    drawn = BEAD.width * widths()
    touch = drawn + BEAD.full_width - BEAD.width >= pitch
    two = neighbours(BEAD, pitch, SCATTER)
    assert two.share == pytest.approx(touch.mean(), abs=1e-4)
    assert two.touching.width == pytest.approx(drawn[touch].mean(), rel=1e-4)
    assert two.apart.width == pytest.approx(drawn[~touch].mean(), rel=1e-4)
    # no volume is lost
    mean = two.share * two.touching.width + (1 - two.share) * two.apart.width
    assert mean == pytest.approx(BEAD.width, rel=1e-9)


@pytest.mark.parametrize("bead", [BEAD, Bead(0.45, 0.1), Bead(0.45, 0.52)])
def test_all_touch_in_a_full_raster_and_none_far_apart(bead):
    assert neighbours(bead, bead.width, 0.1).share == 1
    assert neighbours(bead, 1.5 * bead.width, 0.1).share == 0
    assert mean_flat(bead, bead.width, 1.0, 0.1) == bead.width
    between = neighbours(bead, bead.full_width * 1.0001, 0.1)
    assert 0 < between.share < 0.5
    assert between.apart.flat_width > 0


def test_the_mean_flat_is_about_that_of_beads_drawn_one_by_one():
    # Drawn, each bead keeps its own volume; in a group it is shared: flats differ by a few per cent at most.
    for fill in (0.86, 0.9, 0.92, 0.94):
        pitch = BEAD.width / fill
        drawn = [flat_at(replace(BEAD, width=BEAD.width * ratio), pitch, 1.0) for ratio in widths(n=400)]
        assert mean_flat(BEAD, pitch, 1.0, SCATTER) == pytest.approx(np.mean(drawn), rel=0.04)


def test_flats_have_no_corner_where_equal_beads_would_touch():
    at = BEAD.width / BEAD.full_width

    def bend(scatter, step):
        low, middle, high = (
            mean_flat(BEAD, BEAD.width / fill, 1.0, scatter) for fill in (at - step, at, at + step)
        )
        return abs(high - 2 * middle + low) / step

    # the second difference over the step falls with it only where the slope does not jump
    assert bend(SCATTER, 0.0005) < 0.6 * bend(SCATTER, 0.001)
    assert bend(0.0, 0.0005) > 0.8 * bend(0.0, 0.001)


@pytest.mark.parametrize("orientation", ["flat", "upright"])
def test_contact_at_a_flow_is_that_of_as_much_wider_beads(orientation):
    specimen = Specimen("rectangle", 12.0, 12.0, 60.0)
    core = Core("alternating", 0.93)
    card = shipped_card("PLA")
    layout = lay_out(specimen, Printing(orientation, BEAD), core)
    cell = core_cell(infill_of(Core("square", 0.3), BEAD), 0.33)  # its stiffness is not asked
    walls, inside = zone_contacts(layout, cell, card)
    closing = card.groove_closing.best
    for flow in (0.9, 1.0, 1.05):
        wider = replace(BEAD, width=BEAD.width * flow)
        flats = wider.flat_width / BEAD.flat_width
        assert walls.over_set(flow, 0.0) == pytest.approx(flats, rel=1e-9)
        pitch = layout.infill.pitch
        ratio = mean_flat(wider, pitch, closing, SCATTER) / mean_flat(BEAD, pitch, closing, SCATTER)
        assert inside.over_set(flow, closing) == pytest.approx(ratio**2, rel=1e-9)
    assert inside.over_set(1.0, np.array([0.0, 0.5])) == pytest.approx(1.0, abs=2e-3)
    assert FLOWS[0] < 1 < FLOWS[-1]
