"""Estimates, comparisons, beams and pictures as a notebook gets them: the numbers of the commands, escaped."""

import json
from pathlib import Path

import pytest

from fem import estimate
from patterns.errors import DataError, InputError
from validation import beam, calibrate, compare, draw, estimates, load, plan, reconcile, reduce_file
from validation.cli import main

BAR = {"width_mm": 10.0, "depth_mm": 4.0, "pattern": "square", "set_fill": 0.3}
STUDY = """
title = "<b>bars</b>"
invented = true
[specimen]
width_mm = 10.0
depth_mm = 4.0
length_mm = 80.0
[core]
pattern = "square"
set_fill = 0.3
[test]
kind = "three_point"
span_mm = 64.0
[vary]
core.set_fill = [0.3, 0.6]
[measured]
specimens = "beams.csv"
"""
# invented beams
BEAMS = """set_fill,specimen,breaking_force_N,stiffness_N_per_mm,mass_g
0.3,<i>a</i>,61,14.5,2.9
0.3,b,64,14.9,2.9
0.6,c,70,15.8,3.4
0.6,d,73,16.1,3.4
"""


@pytest.fixture
def study(tmp_path) -> Path:
    (tmp_path / "beams.csv").write_text(BEAMS, encoding="utf-8")
    path = tmp_path / "study.toml"
    path.write_text(STUDY, encoding="utf-8")
    return path


def test_a_study_and_its_settings_in_python_give_the_same_numbers(study):
    bars = [beam(**{**BAR, "set_fill": fill}) for fill in (0.3, 0.6)]
    here, there = estimates(bars).to_rows(), estimates(load(study)).to_rows()
    for one, other in zip(here, there, strict=True):
        assert one["breaking_force_N"] == other["breaking_force_N"]
    (alone,) = estimate(bars[0]).to_rows()
    assert alone["EI_N_mm2"] == there[0]["EI_N_mm2"]
    assert alone["mass_low_g"] < alone["mass_g"] < alone["mass_high_g"]


def test_reconciled_beams_are_those_of_the_command(study, capsys):
    assert main(["reconcile", str(study), "--json", "--quiet"]) == 0
    told = json.loads(capsys.readouterr().out)["settings"]
    for row, setting in zip(reconcile(study).to_rows(), told, strict=True):
        assert row["breaking_force_ratio"] == setting["measured_over_estimated"]["breaking_force"]
        assert row["measured_mass_g"] == setting["measured"]["mass_g"]["mean"]
    page = reconcile(study)._repr_html_()
    assert "&lt;b&gt;bars" in page
    assert "<b>" not in page
    assert "invented" in page


def test_beams_typed_in_are_those_of_a_table(tmp_path):
    table = tmp_path / "beams.csv"
    table.write_text("breaking_force_N,mass_g\n61,2.9\n64,3.0\n", encoding="utf-8")
    bar = beam(**BAR)
    (typed,) = reconcile(bar, breaking_force_N=[61, 64], mass_g=[2.9, 3.0]).to_rows()
    (read,) = reconcile(bar, table).to_rows()
    assert typed == read


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"breaking_force_N": []}, "0 numbers for 0 beams"),
        ({"breaking_force_N": [1.0], "mass_g": [1.0, 2.0]}, "mass_g: 2 numbers for 1 beams"),
        ({"breaking_force_N": [float("nan")]}, "breaking_force_N: nan is no measured value"),
        ({"breaking_force_N": [1.0], "beams": "beams.csv"}, "keep one"),
    ],
)
def test_typed_beams_are_checked(given, told):
    with pytest.raises(InputError, match=told):
        reconcile(beam(**BAR), **given)


def test_without_beams_one_line_says_so():
    with pytest.raises(DataError, match="name a table of beams, or give their breaking_force_N"):
        reconcile(beam(**BAR))
    with pytest.raises(DataError, match="no measurements"):
        calibrate(beam(**BAR))


@pytest.mark.slow
def test_a_comparison_is_that_of_the_command(study, capsys):
    words = ["--patterns", "square", "triangular", "--load-angle-deg", "0"]
    assert main(["compare", str(study), "--json", "--quiet", *words]) == 0
    (told,) = json.loads(capsys.readouterr().out)["load_directions"]
    found = compare(study, patterns=["square", "triangular"], load_angles_deg=[0.0])
    assert [row["pattern"] for row in found.to_rows()] == [item["pattern"] for item in told["ranking"]]
    assert [row["mass_g"] for row in found.to_rows()] == [item["mass_g"] for item in told["ranking"]]
    page = found._repr_html_()
    assert page.count("<table>") == 1
    assert "Largest stiffness" in page


@pytest.mark.slow
def test_a_prediction_is_that_of_the_command(study, capsys):
    assert main(["predict", str(study), "--with", "core.set_fill=0.45", "--json", "--quiet"]) == 0
    told = json.loads(capsys.readouterr().out)["predictions"][-1]
    found = calibrate(study).predict(beam(**{**BAR, "set_fill": 0.45}))
    (row,) = found.to_rows()
    assert row["breaking_force_N"] == pytest.approx(told["breaking_force_N"]["best"])
    assert row["breaking_force_lower_bound_N"] == pytest.approx(told["breaking_force_N"]["lower_bound"])
    assert "next beam" in found._repr_html_()


def test_pictures_show_themselves_and_are_written(study, tmp_path):
    for picture in (draw(beam(**BAR)), draw(study, "force"), draw(estimates(study)), draw(study, number=1)):
        assert picture._repr_svg_().startswith("<svg")
    draw(study, "stiffness").save(tmp_path / "stiffness.png")
    assert (tmp_path / "stiffness.png").read_bytes().startswith(b"\x89PNG")
    with pytest.raises(InputError, match="did you mean 'stiffness'"):
        draw(study, "stifness")
    with pytest.raises(InputError, match="settings 0 to 1"):
        draw(study, number=2)


def test_a_cell_tells_its_errors_and_draws_itself():
    from validation import cell

    found = cell("hexagonal", set_fill=0.3, bead_width_mm=0.45, tolerance=0.01)
    (row,) = found.to_rows()
    assert 0 <= row["E1_relative_error"] < 0.01
    assert "E1" in found._repr_html_()
    assert draw(found)._repr_svg_().startswith("<svg")


def test_a_plan_and_a_run_are_tables(tmp_path):
    series = plan([beam(**BAR), beam(**{**BAR, "walls": 3})], repeats=2)
    assert [row["test_order"] for row in series.to_rows()] == [1, 2, 3, 4, 5, 6]
    assert series.to_rows()[0]["expected_force_N"] > 0
    assert "eye protection" in series._repr_html_()
    record = tmp_path / "<b>.csv"
    lines = [f"{0.02 * k:.2f},{0.16 * k:.2f}" for k in range(251)]
    record.write_text("\n".join(["travel_mm,force_N", *lines, "5.02,0.5"]), encoding="utf-8")
    (run,) = reduce_file(record)
    assert run.to_rows()[0]["peak_force_N"] == 40.0
    assert "<b>" not in run._repr_html_()
