"""Pulled coupons: stress and modulus by hand, what goes with the test and what does not."""

import json
import math

import pytest

from patterns.errors import InputError
from tests.validation.rig.torture_files import FOLDER, PEAK, SLOPE
from validation import cli
from validation.rig.geometry import Geometry

PLAIN = str(FOLDER / "plain.csv")
COUPON = ["--test", "tension", "--gauge-length-mm", "50"]
SECTION = ["--shape", "rectangle", "--width-mm", "10", "--depth-mm", "4"]


def told(capsys, *words):
    assert cli.main(["reduce", PLAIN, *words, "--json", "--quiet"]) == 0
    (run,) = json.loads(capsys.readouterr().out)["runs"]
    return run


def test_stress_is_force_over_area_and_modulus_slope_times_length_over_area(capsys):
    run = told(capsys, *COUPON, *SECTION)
    assert run["apparent_strength_mpa"] == pytest.approx(PEAK / 40, rel=1e-3)
    assert run["apparent_modulus_mpa"] == pytest.approx(SLOPE * 50 / 40, rel=1e-3)
    assert run["moment_at_peak_N_mm"] is None
    assert run["force_at_conventional_deflection_N"] is None


def test_the_rigs_own_travel_is_doubted_as_that_of_the_grips(capsys, tmp_path):
    assert "travel_of_grips" in told(capsys, *COUPON, *SECTION)["quality"]
    profile = tmp_path / "profile.toml"
    profile.write_text('travel_source = "beam"\n', encoding="utf-8")
    run = told(capsys, *COUPON, *SECTION, "--profile", str(profile))
    assert "travel_of_grips" not in run["quality"]
    assert "large_deflection" not in run["quality"]


def test_a_round_coupon_has_its_own_area():
    coupon = Geometry("tension", 50.0, shape="round", depth=6.0)
    assert coupon.stress(900.0) == pytest.approx(900 / (math.pi * 9))
    assert coupon.modulus(1000.0, at_beam=True) == pytest.approx(1000 * 50 / (math.pi * 9))
    assert coupon.strain_per_travel(at_beam=True) == pytest.approx(1 / 50)


def test_the_strain_window_is_that_of_the_gauge_length(capsys):
    # 0.05 to 0.25 % of 200 mm: 0.1 to 0.5 mm of travel
    run = told(capsys, "--test", "tension", "--gauge-length-mm", "200", *SECTION, "--slope", "strain")
    window = run["slope_window"]
    assert window["method"] == "strain"
    assert 0.1 <= window["from_mm"] < window["to_mm"] <= 0.5


@pytest.mark.parametrize(
    ("words", "problem"),
    [
        (["--test", "tension"], "--test tension needs --gauge-length-mm"),
        ([*COUPON, "--span-mm", "64"], "--span-mm does not go with tension; give --gauge-length-mm"),
        (
            ["--test", "three_point", "--gauge-length-mm", "50"],
            "--gauge-length-mm does not go with three_point",
        ),
        (["--gauge-length-mm", "50"], "--gauge-length-mm without --test"),
    ],
)
def test_lengths_of_other_tests_are_refused(capsys, words, problem):
    assert cli.main(["reduce", PLAIN, *words]) == 2
    assert problem in capsys.readouterr().err


def test_a_gauge_length_is_a_length():
    with pytest.raises(InputError, match="gauge length -1 mm"):
        Geometry("tension", -1.0)
