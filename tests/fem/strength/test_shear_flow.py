"""Shear at collapse: rectangles, webs side by side and sandwiches by hand, and a general solver of linear programs."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import linprog

from fem.bending.bending import BendTest
from fem.estimation import estimate
from fem.material.cards import shipped_card
from fem.setting import Setting
from fem.strength.fibres import Fibres, Laws
from fem.strength.webs import flow_force, largest_shear, sheared
from patterns.bead import Bead
from patterns.setting import Core, Printing, Specimen

EDGE = Setting(
    Specimen("rectangle", 10.0, 8.0, 80.0),
    Printing("on_edge", Bead(0.45, 0.2)),
    Core("square", 0.2),
    BendTest("three_point", span=45.0),
    shipped_card("PLA"),
)


def force(heights, widths, bending, shear, lever, pressed=None):
    """Force of strips whose kinds have these plateaus, MPa."""
    tension, compression, plateau = (
        np.array(values, dtype=float)[:, None] for values in (bending, pressed or bending, shear)
    )
    fibres = Fibres(np.asarray(heights), np.atleast_2d(widths), np.ones(len(bending)))
    laws = Laws(tension, compression, np.full_like(tension, np.inf), np.ones(1))
    return float(flow_force(fibres, laws, plateau, lever)[0])


def test_a_rectangle_yields_in_shear_but_for_the_depth_that_bends():
    # q rises from the edges by s b/L per mm until it is k b: V = k b (h - k L/s); a long beam: s b h^2/4 = V L
    b, h, s, k = 5.0, 8.0, 50.0, 20.0
    heights = np.linspace(-h / 2, h / 2, 2001)
    widths = np.full(2000, b)
    for lever in (1.0, 5.0):
        assert force(heights, widths, [s], [k], lever) == pytest.approx(k * b * (h - k * lever / s), rel=1e-3)
    assert force(heights, widths, [s], [k], 400.0) == pytest.approx(s * b * h**2 / 4 / 400.0, rel=1e-3)


def test_ductile_webs_side_by_side_carry_the_sum_of_their_yields():
    heights = np.linspace(-4.0, 4.0, 2001)
    widths = np.array([np.full(2000, 2.0), np.full(2000, 3.0)])
    both = force(heights, widths, [50.0, 50.0], [20.0, 5.0], 1e-3)
    assert both == pytest.approx((2.0 * 20.0 + 3.0 * 5.0) * 8.0, rel=1e-3)


@pytest.mark.parametrize("lever", [10.0, 25.0])
def test_faces_bend_by_themselves_once_the_core_has_yielded(lever):
    # V = k b d for faces d apart, and each face as a beam of its own under N = k b L: s b t^2/4 (1 - (N/s b t)^2)
    b, t, c, s, k = 6.0, 2.0, 6.0, 50.0, 1.5
    heights = np.linspace(-5.0, 5.0, 2001)
    middle = np.abs((heights[1:] + heights[:-1]) / 2) < c / 2
    widths = np.array([np.where(middle, 0.0, b), np.where(middle, b, 0.0)])
    own = s * b * t**2 / 4 * (1 - (k * b * lever / (s * b * t)) ** 2)
    by_hand = k * b * (c + t) + 2 * own / lever
    assert force(heights, widths, [s, 0.0], [20.0, k], lever) == pytest.approx(by_hand, rel=2e-3)


def test_no_other_flow_carries_more_than_a_general_solver_finds():
    random = np.random.default_rng(3)
    heights = np.concatenate([[0.0], np.cumsum(random.uniform(0.1, 0.5, 30))])
    widths = random.uniform(0.0, 4.0, (2, 30))
    tension, pressed, shear, lever = [50.0, 30.0], [60.0, 20.0], [12.0, 3.0], 15.0
    depths = np.diff(heights)
    most = shear @ widths
    bounds = [(0, 0), *((0, limit) for limit in np.minimum(most[1:], most[:-1])), (0, 0)]
    step = np.eye(31)[1:] - np.eye(31)[:-1]  # upwards, towards tension
    rows, limits = (
        np.vstack([step, -step]),
        [pressed @ widths * depths / lever, tension @ widths * depths / lever],
    )
    weight = (np.append(depths, 0) + np.append(0, depths)) / 2
    best = linprog(-weight, A_ub=rows, b_ub=np.concatenate(limits), bounds=bounds)
    assert force(heights, widths, tension, shear, lever, pressed) == pytest.approx(-best.fun, rel=1e-9)


def test_one_more_wall_is_never_weaker_on_edge():
    forces = [
        estimate(replace(EDGE, printing=replace(EDGE.printing, walls=walls))).breaking_force.best
        for walls in (3, 4, 5, 6, 8)
    ]
    assert np.diff(forces).min() > 0
    assert np.diff(forces).max() < 0.2 * forces[0]


def test_what_breaks_at_its_welds_does_not_wait_for_the_rest():
    response = estimate(replace(EDGE, printing=replace(EDGE.printing, orientation="upright"))).response
    draws = response.at({})
    assert all(web.brittle for web in response.webs)
    found = largest_shear(response.webs, response.bent, draws, response.growth(draws), 5.0)
    assert np.array_equal(found, sheared(response.webs, draws))
