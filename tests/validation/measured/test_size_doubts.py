"""Beams larger or smaller than the study says are told of."""

from dataclasses import replace

import pytest

from tests.validation.report.invented import invented_results, invented_study
from validation.measured.measured import Measured
from validation.measured.reconcile import reconcile
from validation.measured.size_doubts import size_doubts


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    folder = tmp_path_factory.mktemp("sizes")
    study = invented_study(folder / "study.toml")
    results, measured = invented_results(study, 3, folder / "beams.csv")
    return study, measured, results.estimates


def told(made, **sizes):
    study, measured, estimates = made
    beams = tuple(replace(beam, **sizes) for beam in measured.beams)
    return size_doubts(reconcile(study, Measured(measured.path, beams, ()), estimates))


def test_deeper_beams_are_told_with_what_it_does_to_the_force(made):
    specimen = made[2][0].setting.specimen
    (line,) = told(made, width=specimen.width, depth=1.15 * specimen.depth)
    assert "1.32 times" in line  # 1.15^2
    assert "predict" in line


def test_sizes_near_the_study_and_sizes_not_measured_say_nothing(made):
    specimen = made[2][0].setting.specimen
    assert told(made, width=1.01 * specimen.width, depth=0.99 * specimen.depth) == []
    assert told(made, width=None, depth=None) == []
