"""The predict command: its JSON, its tables, its notes, and what it refuses."""

import contextlib
import io
import json
from dataclasses import replace

import pytest

from fem.estimation import estimate
from tests.validation.laboratory import FLAT, UPRIGHT, laboratory, write_laboratory
from validation import cli
from validation.predict.answers import Answers
from validation.predict.calibrated import reference_length
from validation.predict.interpolation import position

TRUTH = {"young_mpa": 3700.0, "weld_tension_mpa": 50.0, "root": 3.4, "density_g_cm3": 1.26}


@pytest.fixture(autouse=True)
def own_cache(tmp_path_factory, monkeypatch):
    monkeypatch.setenv("FILLBEND_CACHE", str(tmp_path_factory.getbasetemp() / "cells"))


@pytest.fixture(scope="module")
def study(tmp_path_factory):
    return write_laboratory(tmp_path_factory.mktemp("upright"), UPRIGHT, TRUTH, seed=51)


@pytest.fixture(scope="module")
def told(study):
    """The command's JSON for the study and one more setting."""
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        status = cli.main(
            [
                "predict",
                str(study),
                "--json",
                "--quiet",
                "--with",
                "test.lever_mm=35",
                "--with",
                "print.walls=2",
            ]
        )
    assert status == 0
    return json.loads(out.getvalue())


def test_json_holds_the_contract(told):
    assert told["schema_version"] == 1
    assert told["invented"] is True
    assert told["changes"] == {"test.lever_mm": 35, "print.walls": 2}
    assert len(told["predictions"]) == 6 + 1
    for one in told["predictions"]:
        for quantity in ("breaking_force_N", "stiffness_N_per_mm", "mass_g"):
            found = one[quantity]
            low, high = found["next_beam"]
            assert low < found["mean"][0] < found["best"] < found["mean"][1] < high
            assert found["lower_bound"] < found["mean"][0]
            assert (found["confidence"], found["lower_bound_coverage"]) == (0.95, 0.90)
            assert found["n"] == 18
        assert one["mode"] in one["modes_N"]
        assert one["modes_N"][one["mode"]] == min(
            force for force in one["modes_N"].values() if force is not None
        )
        assert one["uncalibrated"]["stiffness_N_per_mm"]["best"] > 0
        assert one["print_time_min"]["best"] > 0
    parameters = {one["name"]: one for one in told["calibrations"][0]["parameters"]}
    assert parameters["weld_tension_mpa"]["prior"][1] == 39.0
    assert parameters["across_bead_ratio"]["state"] == "left at prior"
    assert told["calibrations"][0]["starts_agree"] is True
    assert len(told["calibrations"][0]["correlation"]["matrix"]) == len(parameters)


def test_left_out_predictions_are_always_shown(told):
    (calibration,) = told["calibrations"]
    assert len(calibration["leave_one_setting_out"]) == 18
    assert {one["left_out"] for one in calibration["leave_one_build_out"]} == {"A", "B", "C"}
    assert calibration["median_error_setting_out"]["stiffness"] < 0.05
    tested, asked = told["predictions"][0], told["predictions"][-1]
    assert tested["breaking_force_N"]["left_out"]["n"] == 3
    assert asked["breaking_force_N"]["left_out"] is None


def test_an_untested_setting_is_met_by_the_truth(told):
    study, _ = laboratory(UPRIGHT)
    setting = next(one.setting for one in study.settings if one.setting.printing.walls == 2)
    setting = replace(setting, test=replace(setting.test, lever=35.0))
    true = Answers(estimate(setting), reference_length([one.setting for one in study.settings]))(TRUTH)
    asked = told["predictions"][-1]
    assert asked["position"]["kind"] == "interpolation"
    # 35 mm against the 30 mm of levers of 20 and 45 mm: (30/35)^(1/15)
    assert any("stressed volume" in note and "0.99 times" in note for note in asked["notes"])
    for quantity, unit in (("breaking_force", "N"), ("stiffness", "N_per_mm"), ("mass", "g")):
        low, high = asked[f"{quantity}_{unit}"]["mean"]
        assert low < true[quantity] < high
        # the card's own best value is far off; the calibrated one is not
        assert asked[f"{quantity}_{unit}"]["best"] == pytest.approx(true[quantity], rel=0.05)
    assert abs(asked["uncalibrated"]["breaking_force_N"]["best"] / true["breaking_force"] - 1) > 0.1


BEYOND = ["--with", "test.lever_mm=90", "--with", "specimen.length_mm=95"]


def test_the_answer_stands_first_on_one_screen(study, capsys, monkeypatch):
    monkeypatch.setenv("COLUMNS", "300")
    assert cli.main(["predict", str(study), "--quiet", "--with", "print.walls=2"]) == 0
    told = capsys.readouterr()
    lines = told.out.splitlines()
    assert lines[0].startswith("Answer: walls 2")
    assert "untested" not in lines[0]  # levers are varied, walls 2 was broken at both
    assert "its own beams" in lines[0]
    assert "What would change it: 3 more beams there narrow" in told.out
    assert "left out in turn is missed (median) by: fillbend" in told.out
    assert "is best here" in told.out
    assert "measured N (n)" in told.out
    assert "--full" in lines[-1]
    assert "prior (95 %)" not in told.out
    assert "safe" not in (told.out + told.err).lower()


def test_without_a_question_the_weakest_and_the_strongest_setting_are_told(study, capsys):
    assert cli.main(["predict", str(study), "--quiet"]) == 0
    answers = [line for line in capsys.readouterr().out.splitlines() if line.startswith("Answer: ")]
    assert ["lever_mm 45" in answers[0], "lever_mm 20" in answers[1]] == [True, True]


def test_full_tables_show_parameters_left_out_settings_bands_and_cautions(study, capsys, monkeypatch):
    monkeypatch.setenv("COLUMNS", "300")
    assert cli.main(["predict", str(study), "--quiet", "--full", *BEYOND]) == 0
    told = capsys.readouterr()
    for words in (
        "prior (95 %)",
        "left at prior",
        "Every setting left out in turn",
        "Every build left out in turn",
        "lower bound N",
        "extrapolation",
        "beyond the measured settings",
        "stale",
        "invented",
        "eye protection",
        "from build to build",
    ):
        assert words in told.out, words
    # the answer first, what speaks for it after
    lines = told.out.splitlines()
    assert lines[0].startswith("Answer: ")
    assert "90" in lines[0]
    assert (
        told.out.index("eye protection")
        < told.out.index("prior (95 %)")
        < told.out.index("left out in turn and")
    )
    # card values by the keys that a person would write, units in them
    assert {"young_mpa", "weld_tension_mpa", "density_g_cm3", "root"} <= {
        line.split(" ")[0] for line in lines if line
    }
    assert any(line.startswith("root: turn of the beam in its clamp") for line in lines)
    assert "safe" not in (told.out + told.err).lower()


def test_a_hobby_series_is_answered_and_its_slip_told(tmp_path, capsys, monkeypatch):
    """One beam per setting, no stiffness, a missing mass, one name twice, one force ten times too large."""
    monkeypatch.setenv("COLUMNS", "300")
    (tmp_path / "study.toml").write_text(FLAT + '[measured]\nspecimens = "specimens.csv"\n', encoding="utf-8")
    rows = ["0.15,A,105,6.1", "0.3,B,112,6.9", "0.45,B,1180,7.7", "0.6,D,118,", "0.9,E,126,10.1"]
    (tmp_path / "specimens.csv").write_text(
        "set_fill,specimen,breaking_force_N,mass_g\n" + "\n".join(rows) + "\n", encoding="utf-8"
    )
    words = ["predict", str(tmp_path / "study.toml"), "--quiet"]
    assert cli.main(words) == 0
    out = capsys.readouterr().out
    assert "Look again at B (line 4): breaking force 1180 is about 10 times" in out
    assert "estimated only, never measured" in out
    assert "no setting's breaking force is repeated" in out
    assert cli.main([*words, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["predictions"][0]["stiffness_N_per_mm"] is None
    assert told["calibrations"][0]["beams"] == {"breaking_force": 5, "mass": 4}
    assert len(told["look_again"]) == 1


def test_another_material_makes_the_calibration_stale(study, capsys):
    assert cli.main(["predict", str(study), "--quiet", "--json", "--with", "material.card=PETG"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert any("stale at card PETG" in note for note in told["predictions"][-1]["notes"])


@pytest.mark.parametrize(
    ("words", "status", "message"),
    [
        (["--with", "core.fill=0.5"], 2, "core.fill"),
        (["--with", "core.set_fill"], 2, "KEY=VALUE"),
        (["--with", "test.lever_mm=10"], 2, "1.5"),
    ],
)
def test_bad_changes_are_refused_in_one_line(study, capsys, words, status, message):
    assert cli.main(["predict", str(study), "--quiet", *words]) == status
    told = capsys.readouterr()
    assert message in told.err
    assert "Traceback" not in told.err
    assert told.out == ""


def test_without_beams_there_is_nothing_to_calibrate_on(tmp_path, capsys):
    (tmp_path / "study.toml").write_text(UPRIGHT, encoding="utf-8")
    assert cli.main(["predict", str(tmp_path / "study.toml")]) == 3
    assert "no measurements" in capsys.readouterr().err


def test_between_and_beyond_are_told_apart():
    study, _ = laboratory(UPRIGHT)
    seen = [named.setting for named in study.settings]

    def at(setting, lever, walls):
        return replace(
            setting, test=replace(setting.test, lever=lever), printing=replace(setting.printing, walls=walls)
        )

    assert position(at(seen[0], 30.0, 2), seen).inside
    assert position(seen[0], seen).inside
    outside = position(at(seen[0], 60.0, 4), seen)
    assert outside.kind == "extrapolation"
    assert outside.reasons == (
        "walls 4 above the largest measured, 3",
        "lever or span mm 60 above the largest measured, 45",
    )
    # without the corner (3 walls, long lever) its neighbourhood lies beyond the others' hull
    corner = [one for one in seen if not (one.printing.walls == 3 and one.test.lever == 45.0)]
    assert "combination" in position(at(seen[0], 44.0, 3), corner).reasons[0]
    other = replace(seen[0], core=replace(seen[0].core, pattern="hexagonal", set_fill=0.3))
    assert any("pattern hexagonal not measured" in reason for reason in position(other, seen).reasons)
