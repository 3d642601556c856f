"""The scoring on made-up numbers with results by hand, and the ceiling against simulated replicates."""

import math

import numpy as np
import pytest

from tests.scoreboard.ask import Answer
from tests.scoreboard.board import score_series
from tests.scoreboard.ceiling import ceiling, ceilings
from tests.scoreboard.rivals import constant, in_proportion, neighbours, regression
from tests.scoreboard.scoring import after_one_scale, rank_correlation, score
from tests.scoreboard.series import Reading, Row, Series
from tests.scoreboard.table import markdown, percent, plain, span

E = math.e
GRID = [{"wall": w, "fill": f} for w in (1.0, 2.0) for f in (0.2, 0.4, 0.8)]


def test_errors_are_those_worked_by_hand():
    # ln(told/measured) = 1, 0, -1: each less the mean of the two others leaves 1.5, 0, -1.5
    found = score(np.array([E, 2.0, 3 / E]), np.array([1.0, 2.0, 3.0]))
    assert found.level == pytest.approx(1)
    assert found.absolute == pytest.approx(2 / 3)
    assert found.scaled == pytest.approx(1)
    assert found.worst == pytest.approx(1.5)
    assert found.rank == pytest.approx(-1)  # 2.72, 2, 1.10 against 1, 2, 3
    assert found.settings == 3


def test_rank_correlation_is_spearmans():
    # 1 - 6 sum d^2/(n (n^2 - 1)) with d = 1, 1, 0, 0
    assert rank_correlation(np.array([2.0, 1, 3, 4]), np.array([1.0, 2, 3, 4])) == pytest.approx(1 - 12 / 60)
    assert math.isnan(rank_correlation(np.full(3, 2.0), np.array([1.0, 2, 3])))


def test_a_perfect_estimator_scores_nothing_and_a_wrong_level_goes_with_the_scale():
    measured = np.array([3.0, 5.0, 11.0, 2.0])
    perfect, doubled = score(measured, measured), score(2 * measured, measured)
    assert (perfect.level, perfect.absolute, perfect.scaled, perfect.worst) == (1, 0, 0, 0)
    assert perfect.rank == pytest.approx(1)
    assert doubled.level == pytest.approx(2)
    assert doubled.absolute == pytest.approx(math.log(2))
    assert doubled.scaled == pytest.approx(0, abs=1e-15)


def test_what_is_not_told_is_left_out_and_counted():
    found = score(np.array([2.0, np.nan, 4.0]), np.array([1.0, 7.0, 2.0]))
    assert found.settings == 2
    assert found.absolute == pytest.approx(math.log(2))
    assert score(np.full(2, np.nan), np.ones(2)).settings == 0


def test_the_scale_never_sees_the_setting_it_is_used_for():
    logs = np.array([0.3, -0.1, 0.4, 0.9])
    for i in range(4):
        others = np.delete(logs, i)
        assert after_one_scale(logs)[i] == pytest.approx(logs[i] - others.mean())


def test_constant_and_proportion_by_hand():
    assert constant(np.array([1.0, 4.0, 16.0])) == pytest.approx([8, 4, 2])
    mass = np.array([1.0, 2.0, 4.0])
    assert in_proportion(mass, 3 * mass) == pytest.approx(3 * mass)
    # scales 1, 2, 1: the others' geometric means are sqrt 2, 1, sqrt 2
    assert in_proportion(mass, np.array([1.0, 4, 4])) == pytest.approx([math.sqrt(2), 2, 4 * math.sqrt(2)])


def test_regression_is_exact_on_a_line_and_stays_positive():
    x = np.array([0.0, 1.0, 2.0, 5.0])
    assert regression(x, 4 + 3 * x) == pytest.approx(4 + 3 * x)
    steep = regression(np.array([0.0, 1.0, 2.0]), np.array([4.0, 2.0, 1.0]))
    assert steep[2] == pytest.approx(0.02)  # the line through the others gives 0: held at 0.01 of the least
    assert np.isnan(regression(np.ones(3), np.ones(3))).all()


def test_neighbours_interpolate_between_and_stand_in_at_the_ends():
    measured = np.exp([one["wall"] + one["fill"] for one in GRID])
    told = np.log(neighbours(GRID, measured))
    assert told[1] == pytest.approx(1.4)  # between 0.2 and 0.8 along fill, which is exact on logarithms
    assert told[4] == pytest.approx(2.4)
    # at an end: mean of the nearest along fill (1.4) and along wall (2.2)
    assert told[0] == pytest.approx((1.4 + 2.2) / 2)
    assert np.isnan(neighbours([{}, {}], np.ones(2))).all()


def test_the_ceiling_by_hand():
    rows = [Row({}, 1.0, 0.2, 4), Row({}, 1.0, 0.3, 9), Row({}, 1.0, 0.1, 1)]  # standard errors 0.1
    as_is, scaled = ceiling(rows)
    assert as_is == pytest.approx(0.1 * math.sqrt(2 / math.pi))
    assert scaled == pytest.approx(0.1 * math.sqrt(1.5) * math.sqrt(2 / math.pi))
    assert math.isnan(ceiling([*rows, Row({}, 1.0)])[1])
    unknown = [Row({}, 1.0, 0.3) for _ in range(3)]
    assert ceilings(unknown)[1] / ceilings(unknown)[0] == pytest.approx(math.sqrt(10 / 3))


def test_a_perfect_estimator_meets_the_ceiling_on_scattering_means():
    rng = np.random.default_rng(5)
    true = np.array([3.0, 5.0, 8.0, 4.0, 9.0])
    rows = [
        Row({}, value, sd, n)
        for value, sd, n in zip(true, (0.05, 0.1, 0.2, 0.1, 0.05), (3, 5, 3, 4, 2), strict=True)
    ]
    errors = np.array([row.standard_error(0) for row in rows])
    scores = [score(true, true * np.exp(errors * rng.standard_normal(5))) for _ in range(4000)]
    for name, expected in zip(("absolute", "scaled"), ceiling(rows), strict=True):
        values = [getattr(one, name) for one in scores]
        assert np.mean(values) == pytest.approx(expected, abs=4 * np.std(values) / math.sqrt(len(values)))


def invented(told):
    """Return one line of an invented series of which the estimator tells ``told``."""
    rows = tuple(Row(one, 10 * one["wall"] * one["fill"] ** 0.5, 0.03, 3) for one in GRID)
    readings = tuple(Reading(f"reading {k}", ((),) * 6) for k in range(len(told)))
    series = Series("invented", "nowhere", "breaking force, N", rows, readings, "how it was read")
    answers = [
        [
            Answer(value, 50.0, mass)
            for value, mass in zip(values, (0.3, 0.5, 0.9, 0.4, 0.6, 0.95), strict=True)
        ]
        for values in told
    ]
    return score_series(series, answers)


def test_the_board_keeps_every_reading_and_says_where_all_rivals_are_beaten():
    perfect = [10 * one["wall"] * one["fill"] ** 0.5 for one in GRID]
    line = invented([perfect, [20.0] * 6])
    assert [one.beaten for one in line.results] == [True, False]
    # a constant told by nobody's choice is the constant rival, exactly
    assert line.results[1].estimate.scaled == pytest.approx(line.results[1].rivals["constant"].scaled)
    row = markdown([line]).splitlines()[2]
    assert "invented: breaking force, N | 6 |" in row
    assert "| 1 of 2 | how it was read |" in row
    assert f"0.0 to {percent(line.results[1].estimate.scaled):.0f}" in row
    data = plain([line])["series"][0]
    assert data["readings"][0]["estimate"]["scaled"] == pytest.approx(0, abs=1e-12)
    assert set(data["readings"][0]["rivals"]) == {"constant", "mass", "neighbours", "regression"}


def test_ranges_are_printed_as_such():
    assert percent(math.log(1.1)) == pytest.approx(10)
    assert span([12.0, 34.4]) == "12 to 34"
    assert span([12.1, 12.2]) == "12"
    assert span([math.nan, 2.0], 2) == "2.00"
    assert span([]) == "-"
