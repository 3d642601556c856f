"""The plain rivals by hand, and fillbend against them in simulated laboratories."""

import math
from dataclasses import replace

import numpy as np
import pytest

from tests.validation.laboratory import FLAT, UPRIGHT, measure
from validation.gaussian import Place
from validation.predict.calibrated import calibrate_rows
from validation.predict.rivals import NAMES, contest_lines, contests, neighbours, power


def places(points, categories=None):
    return [
        Place({}, {}, tuple(map(float, point)), (category,))
        for point, category in zip(points, categories or ["a"] * len(points), strict=True)
    ]


def test_interpolation_is_a_straight_line_between_neighbours_and_the_nearest_at_the_ends():
    y = np.log([10.0, 99.0, 40.0, 50.0])
    at = places([(0.2,), (0.4,), (0.8,), (1.0,)])
    assert math.exp(neighbours(at, y, 1)) == pytest.approx(10 + 30 / 3)
    assert math.exp(neighbours(at, y, 0)) == pytest.approx(99.0)
    assert math.exp(neighbours(at, y, 3)) == pytest.approx(40.0)


def test_interpolation_stays_within_its_category_and_takes_every_line_through_the_setting():
    points = [(0.2, 1), (0.2, 2), (0.2, 3), (0.1, 2), (0.3, 2), (0.2, 2)]
    y = np.log([10.0, 1.0, 20.0, 12.0, 14.0, 500.0])
    at = places(points, ["a"] * 5 + ["b"])
    # walls 1 to 3: 15; fill 0.1 to 0.3: 13
    assert math.exp(neighbours(at, y, 1)) == pytest.approx(14.0)
    # the only one of its category: the nearest of all
    assert math.exp(neighbours(at, y, 5)) == pytest.approx(1.0)


def test_two_parameters_are_a_power_law():
    x = np.log([1.0, 2.0, 4.0, 8.0])
    assert power(x, 3 + 0.7 * x, 2) == pytest.approx(3 + 0.7 * x[2])
    assert power(x[:3], x[:3], 0) is None  # two points are met by any line
    assert power(np.zeros(4), x, 0) is None


def test_all_ways_are_told_and_the_best_is_named():
    as_estimated = measure(UPRIGHT, {}, np.random.default_rng(81), quantities=("breaking_force", "mass"))
    # every beam a third weaker than the card has it
    rows = [
        replace(row, beams=tuple(replace(b, breaking_force=b.breaking_force / 1.5) for b in row.beams))
        for row in as_estimated
    ]
    found = contests(calibrate_rows(rows)[0])
    assert set(found) == {"breaking_force", "mass"}
    force = found["breaking_force"]
    assert tuple(force.median) == NAMES
    # two levers and three walls: far from a straight line between neighbours, near to the estimate's shape
    assert force.best == "fillbend"
    assert force.median["untuned estimate"] > 0.15 > force.median["fillbend"]
    line = contest_lines(found)[0]
    assert line.startswith("Breaking force of 6 settings left out in turn")
    assert line.endswith("fillbend is best here.")


def test_too_few_settings_are_no_contest():
    assert contests(calibrate_rows(measure(FLAT, {}, np.random.default_rng(82))[:2])[0]) == {}
