"""The choose command: the lightest or quickest setting that meets a load and a deflection, or none."""

import json
import math
from dataclasses import dataclass, replace

import numpy as np
import pytest

from tests.validation.laboratory import FLAT, UPRIGHT, laboratory, measure, write_laboratory
from validation import cli
from validation.design.choice_answer import answer_lines
from validation.design.choose import Demand, Judge, choose
from validation.predict.calibrated import CalibratedStudy, calibrate_rows
from validation.text.numbers import rounded_down

TRUTH = {"young_mpa": 3700.0, "weld_tension_mpa": 38.0}


@pytest.fixture(scope="module")
def calibrated():
    """Upright hollow beams, calibrated."""
    rows = measure(UPRIGHT, TRUTH, np.random.default_rng(61))
    study, _ = laboratory(UPRIGHT)
    return CalibratedStudy(study, tuple(rows), tuple(calibrate_rows(rows)), ())


def settings_of(calibrated):
    return [(row.named, row.estimate) for row in calibrated.rows]


def never(setting):
    raise AssertionError("no further estimate is needed here")


def test_the_lightest_setting_that_meets_both_comes_first(calibrated):
    judge = Judge(Demand(18.0, 2.0, 0.95), never, calibrated)
    found = choose(settings_of(calibrated), judge)
    met = [choice for choice in found if choice.meets]
    assert met
    assert [choice.mass for choice in met] == sorted(choice.mass for choice in met)
    for choice in found:
        both = choice.force >= 18.0 and choice.stiffness >= 9.0
        assert choice.meets is both
        assert choice.margin == pytest.approx(min(choice.force / 18.0, choice.stiffness / 9.0))
    # every lighter setting fails
    assert all(choice.mass >= met[0].mass or not choice.meets for choice in found)


def test_quickest_first_by_print_time(calibrated):
    found = choose(settings_of(calibrated), Judge(Demand(10.0, None, 0.95), never, calibrated), quickest=True)
    times = [choice.print_time for choice in found if choice.meets]
    assert times == sorted(times)


def test_what_limits_is_the_smaller_margin(calibrated):
    soft = choose(settings_of(calibrated), Judge(Demand(1.0, 0.001, 0.95), never, calibrated))
    assert {choice.limit for choice in soft} == {"deflection"}
    weak = choose(settings_of(calibrated), Judge(Demand(1e4, 1e6, 0.95), never, calibrated))
    assert {choice.limit for choice in weak} == {"breaking force"}
    assert not any(choice.meets for choice in weak)
    # the nearest comes first where none meets
    assert weak[0].margin == max(choice.margin for choice in weak)


def test_more_confidence_asks_for_more(calibrated):
    bounds = [
        [
            choice.force
            for choice in choose(
                settings_of(calibrated), Judge(Demand(1.0, None, confidence), never, calibrated)
            )
        ]
        for confidence in (0.8, 0.95, 0.99)
    ]
    for low, middle, high in zip(*map(sorted, bounds), strict=True):
        assert low > middle > high


@dataclass(frozen=True)
class Line:
    """Stands for an estimate whose bounds rise in a straight line of fill; counts how often it is asked."""

    calls: list

    def __call__(self, setting):
        self.calls.append(setting.core.set_fill)
        return scaled(setting)


def scaled(setting):
    """Return the lightest flat estimate with force, stiffness, mass and time in proportion to fill."""
    _, estimates = laboratory(FLAT)
    found, fill = estimates[0], setting.core.set_fill
    times = fill / 0.15
    return replace(
        found,
        setting=setting,
        mass=found.mass.scaled(times),
        print_time=found.print_time.scaled(times),
        draws={name: np.full(1000, 100.0 * fill) for name in found.draws},
    )


def test_fills_between_the_studys_own_are_searched_to_a_hundredth():
    study, _ = laboratory(FLAT)
    line = Line([])
    settings = [(named, scaled(named.setting)) for named in study.settings]
    # force is 100 N x fill: 52 N need 0.52, between 0.45 and 0.6
    found = choose(settings, Judge(Demand(52.0, None, 0.95), line, None))
    best = found[0]
    assert best.meets
    assert 0.52 <= best.named.setting.core.set_fill <= 0.52 + 0.015
    assert best.named.keys["core.set_fill"] == best.named.setting.core.set_fill
    assert len(line.calls) <= math.ceil(math.log2(0.15 / 0.01))
    assert all(0.45 < fill < 0.6 for fill in line.calls)


def test_no_fill_is_searched_below_the_lowest_or_where_none_meets():
    study, _ = laboratory(FLAT)
    settings = [(named, scaled(named.setting)) for named in study.settings]
    assert choose(settings, Judge(Demand(1.0, None, 0.95), never, None))[0].named.keys == {
        "core.set_fill": 0.15
    }
    assert not choose(settings, Judge(Demand(500.0, None, 0.95), never, None))[0].meets


def test_json_and_table(tmp_path, capsys):
    study = write_laboratory(tmp_path, UPRIGHT, TRUTH, seed=62)
    words = [str(study), "--load-N", "18", "--deflection-mm", "2", "--quiet"]
    assert cli.main(["choose", *words, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["schema_version"] == 1
    assert (told["load_N"], told["deflection_mm"], told["confidence"], told["coverage"]) == (18, 2, 0.95, 0.9)
    assert told["calibrated"] is True
    assert told["sorted_by"] == "mass_g"
    assert told["choice"] == told["settings"][0]
    assert told["choice"]["breaking_force_lower_bound_N"] >= 18
    assert told["choice"]["stiffness_lower_bound_N_per_mm"] >= 9
    assert told["choice"]["position"]["kind"] == "interpolation"
    assert told["choice"]["limited_by"] in ("breaking force", "deflection")
    assert told["cautions"]


def test_the_answer_tells_measured_beside_predicted_and_what_would_change_it(calibrated):
    settings = settings_of(calibrated)
    one = choose(settings, Judge(Demand(1.0, None, 0.95), never, calibrated))[0]
    lines = answer_lines(Demand(1.0, None, 0.95), [one])
    assert lines[0].startswith(f"Answer: {one.named.label} carries 1 N")
    assert "90 of 100 beams reach" in lines[0]
    assert "measured (n = 3)" in lines[1]
    assert "predicted N" in lines[1]
    assert lines[-1].startswith("  What would change it")
    strongest = max(settings, key=lambda pair: pair[1].breaking_force.best)
    load = 1.02 * Judge(Demand(1.0, None, 0.95), never, calibrated)(*strongest).force
    few = Demand(load, None, 0.95)
    told = answer_lines(few, choose(settings, Judge(few, never, calibrated)))
    assert told[0].startswith("Answer: none carries")
    assert told[-1].endswith("enough.")
    many = Demand(10 * load, None, 0.95)
    assert (
        "another setting is needed"
        in answer_lines(many, choose(settings, Judge(many, never, calibrated)))[-1]
    )


def test_none_is_an_answer_and_works_without_beams(tmp_path, capsys):
    (tmp_path / "study.toml").write_text(UPRIGHT, encoding="utf-8")
    words = ["choose", str(tmp_path / "study.toml"), "--quiet", "--load-N", "100000", "--deflection-mm", "1"]
    assert cli.main(words) == 0
    told = capsys.readouterr()
    assert "Answer: none" in told.out
    assert "no measured beams" in told.out
    assert "eye protection" in told.out
    assert "safe" not in (told.out + told.err).lower()
    assert cli.main([*words, "--json", "--quickest"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["choice"] is None
    assert told["calibrated"] is False
    assert len(told["settings"]) == 6


def test_a_margin_that_falls_short_never_reads_as_enough():
    found = [rounded_down(value, places) for value, places in ((0.9996, 2), (1.0, 2), (1.239, 2), (99.7, 0))]
    assert found == [
        "0.99",
        "1.00",
        "1.23",
        "99",
    ]


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["--load-N", "-5"], "--load-N -5: must be a positive number"),
        (["--load-N", "nan"], "--load-N nan"),
        (["--load-N", "5", "--deflection-mm", "0"], "--deflection-mm 0"),
        (["--load-N", "5", "--confidence", "95"], "must lie from 0.5 to below 1"),
        (["--load-N", "5", "--with", "core.fill=1"], "core.fill"),
    ],
)
def test_bad_demands_are_refused_in_one_line(tmp_path, capsys, words, message):
    (tmp_path / "study.toml").write_text(UPRIGHT, encoding="utf-8")
    assert cli.main(["choose", str(tmp_path / "study.toml"), *words]) == 2
    told = capsys.readouterr()
    assert message in told.err
    assert told.out == ""
