"""A slip of unit in a column is told as a doubt and changes nothing."""

from dataclasses import replace

import pytest

from tests.validation.report.invented import invented_results, invented_study
from validation.measured.measured import Measured
from validation.measured.reconcile import reconcile
from validation.measured.unit_doubts import unit_doubts


@pytest.fixture(scope="module")
def beams(tmp_path_factory):
    """A study with its invented beams and estimates; measured values are within 10 % of the estimate."""
    folder = tmp_path_factory.mktemp("doubts")
    study = invented_study(folder / "study.toml")
    results, measured = invented_results(study, 3, folder / "beams.csv")
    return study, measured, results.estimates


def doubts(beams, **factors):
    study, measured, estimates = beams
    scaled = tuple(
        replace(beam, **{name: factor * getattr(beam, name) for name, factor in factors.items()})
        for beam in measured.beams
    )
    return unit_doubts(reconcile(study, Measured(measured.path, scaled, ()), estimates))


# kgf: standard gravity 9.80665 m/s2, exact by definition
@pytest.mark.parametrize(
    ("factor", "about", "units"),
    [
        (1000, "1000", "N and kN"),
        (1e-3, "1/1000", "N and kN"),
        (9.80665, "9.807", "N and kgf"),
        (1 / 9.80665, "1/9.807", "N and kgf"),
    ],
)
def test_a_ratio_of_two_units_is_told(beams, factor, about, units):
    (told,) = doubts(beams, breaking_force=factor)
    assert f"near the {about} of two units: are {units} taken" in told
    assert told.endswith("Nothing was changed")


def test_stiffness_and_mass_are_told_apart(beams):
    stiffness, mass = doubts(beams, stiffness=1e-3, mass=1e-3)
    assert "measured stiffness is 0.00" in stiffness
    assert "N/mm and N/m" in stiffness
    assert "measured mass is 0.00" in mass
    assert "g and kg" in mass


@pytest.mark.parametrize("factor", [0.25, 0.5, 1.0, 2.0, 4.0])
def test_a_model_that_errs_is_no_slip_of_unit(beams, factor):
    assert doubts(beams, breaking_force=factor, stiffness=factor, mass=factor) == []
