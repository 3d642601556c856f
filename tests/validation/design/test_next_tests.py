"""`plan --next`: proposals beside the plain design, for a map and for a load, and what it refuses."""

import json
from dataclasses import replace

import numpy as np
import pytest

from patterns.errors import DataError, InputError
from tests.validation.laboratory import FLAT, UPRIGHT, laboratory, measure, write_laboratory
from validation import cli
from validation.design.next_tests import next_tests
from validation.predict.calibrated import CalibratedStudy, calibrate_rows
from validation.predict.prediction import foretell


@pytest.fixture(scope="module")
def half_broken():
    """Seven fills, of which the three lowest were broken."""
    rows = measure(FLAT, {}, np.random.default_rng(95))
    rows = [
        row if k < 3 else replace(row, beams=(), force=None, stiffness=None, mass=None)
        for k, row in enumerate(rows)
    ]
    return CalibratedStudy(laboratory(FLAT)[0], tuple(rows), tuple(calibrate_rows(rows)), ())


def test_untested_settings_come_first_and_beat_the_plain_design(half_broken):
    found = next_tests(half_broken, 4, "map")
    assert found.repeats.sum() == found.plain.sum() == 4
    assert found.repeats[:3].sum() <= 1
    assert np.all(found.proposed <= found.before + 1e-12)
    assert found.weights @ found.proposed < found.weights @ found.evenly < found.weights @ found.before


def test_for_a_load_the_settings_count_of_which_it_is_open(half_broken):
    calibrated = half_broken.calibrations[0]
    answers = calibrated.answers_of(half_broken.rows[6].estimate)
    bound = foretell(calibrated, answers)["breaking_force"].lower_bound
    found = next_tests(half_broken, 3, "load", load=bound)
    # the untested ones are the open ones
    assert found.weights[3:].sum() > found.weights[:3].sum()
    # a gram saved counts where grams are scarce
    by_gram = next_tests(half_broken, 3, "load", "gram", bound)
    assert by_gram.cost["gram"][0] <= found.cost["gram"][0]


def test_what_cannot_be_planned_is_refused(half_broken):
    with pytest.raises(InputError, match="--next 0"):
        next_tests(half_broken, 0, "map")
    with pytest.raises(InputError, match="--load-N"):
        next_tests(half_broken, 2, "load")
    with pytest.raises(InputError, match="--load-N"):
        next_tests(half_broken, 2, "map", load=5.0)
    rows = measure(FLAT, {}, np.random.default_rng(96))[:1]
    only_mass = [
        replace(row, beams=tuple(replace(beam, breaking_force=0.0, stiffness=None) for beam in row.beams))
        for row in rows
    ]
    study = CalibratedStudy(laboratory(FLAT)[0], tuple(only_mass), tuple(calibrate_rows(only_mass)), ())
    with pytest.raises(DataError, match="no measured breaking force"):
        next_tests(study, 2, "map")


def test_the_command_answers_first(tmp_path, capsys, monkeypatch):
    monkeypatch.setenv("FILLBEND_CACHE", str(tmp_path / "cells"))
    study = write_laboratory(tmp_path, UPRIGHT, {}, seed=97)
    assert cli.main(["plan", str(study), "--next", "3", "--quiet"]) == 0
    out = capsys.readouterr().out
    assert out.startswith("Answer: break ")
    assert "spread evenly" in out
    assert (
        cli.main(["plan", str(study), "--next", "3", "--for", "load", "--load-N", "15", "--json", "--quiet"])
        == 0
    )
    told = json.loads(capsys.readouterr().out)
    assert sum(one["repeats"] for one in told["settings"]) == 3
    assert cli.main(["plan", str(study), "--next", "3", "--for", "load", "--quiet"]) == 2
