"""The plan: a balanced random order, honest small numbers, a table that reads back, cautions on top."""

import csv
import io
import json
from pathlib import Path

import numpy as np
import pytest

from validation import cli
from validation.design.plan import held_back, letters
from validation.measured.measured import read_specimens
from validation.study.study import load
from validation.text.mode_words import FAILURE_CODES

DEMO = Path(__file__).parents[3] / "demos" / "shelf_arm" / "study.toml"


@pytest.fixture
def study(tmp_path):
    text = DEMO.read_text(encoding="utf-8").replace(
        "[0.12, 0.20, 0.35, 0.50, 0.70, 0.90]", "[0.2, 0.3, 0.4, 0.5, 0.6]"
    )
    text = text.replace(
        "[measured]", "[rig]\ncapacity_N = 200.0\nresolution_N = 5.0\ntravel_mm = 2.0\n[measured]"
    )
    (tmp_path / "study.toml").write_text(text, encoding="utf-8")
    return tmp_path / "study.toml"


def planned(study, capsys, *words):
    assert cli.main(["plan", str(study), "--json", "--quiet", *words]) == 0
    return json.loads(capsys.readouterr().out)


def test_every_build_holds_every_setting_once_and_one_control(study, capsys):
    told = planned(study, capsys, "--repeats", "4")
    assert len(told["beams"]) == 4 * 6
    for build in range(1, 5):
        here = [beam for beam in told["beams"] if beam["build"] == build]
        assert sorted(beam["setting_id"] for beam in here if beam["role"] != "control") == [
            "S1",
            "S2",
            "S3",
            "S4",
            "S5",
        ]
        assert sum(beam["role"] == "control" for beam in here) == 1
    assert [beam["test_order"] for beam in told["beams"]] == list(range(1, 25))
    assert {beam["setting_id"] for beam in told["beams"] if beam["role"] == "held back"} == {"S3"}
    assert {beam["setting_id"] for beam in told["beams"] if beam["role"] == "control"} == {"S2"}


def test_the_order_is_random_but_repeats_with_its_seed(study, capsys):
    one, same, other = (planned(study, capsys, "--seed", seed) for seed in ("1", "1", "2"))
    assert one["beams"] == same["beams"]
    assert one["beams"] != other["beams"]


def test_detectable_differences_are_those_of_the_noncentral_t(study, capsys):
    # Two means of n beams, two-sided 5 %, power 80 %: 3.07, 2.38, 2.02, 1.80 standard deviations for n = 3 to 6
    # (noncentral t, own table); here times a scatter of 5 %.
    found = planned(study, capsys)["detectable_difference"]
    for n, factor in {"3": 3.07, "4": 2.38, "5": 2.02, "6": 1.80}.items():
        assert found[n] == pytest.approx(0.05 * factor, abs=0.0003)


def test_the_rig_is_checked_against_each_setting(study, capsys):
    first = planned(study, capsys)["settings"][0]
    told = " ".join(first["warnings"])
    assert "exceed the rig's 200 N" in told
    assert "steps of 5 N" in told
    assert "mm of travel" in told


def test_sheet_and_table_are_written_and_read_back(study, capsys):
    folder = study.parent / "plan"
    assert cli.main(["plan", str(study), "-o", str(folder), "--quiet"]) == 0
    page = (folder / "sheet.html").read_text(encoding="utf-8")
    assert page.index("eye protection") < page.index("Order of testing")
    assert "safe" not in page.lower()
    comment, _, table = (folder / "specimens.csv").read_text(encoding="utf-8").partition("\n")
    assert comment.startswith("# mode: T face tension | ")
    assert all(f"{code} {meaning}" in comment for code, meaning in FAILURE_CODES.items())
    assert not set(",;\t") & set(comment)
    rows = list(csv.DictReader(io.StringIO(table)))
    assert len(rows) == 18
    for row in rows[:4]:
        row["breaking_force_N"] = "250"
    text = io.StringIO()
    text.write(comment + "\n")
    writer = csv.DictWriter(text, rows[0], lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    (study.parent / "specimens.csv").write_text(text.getvalue(), encoding="utf-8")
    measured = read_specimens(load(study))
    assert len(measured.beams) == 4
    assert any("14 rows are not filled in" in remark for remark in measured.remarks)


def test_a_table_that_may_hold_measurements_is_never_overwritten(study, capsys):
    folder = study.parent / "plan"
    folder.mkdir()
    (folder / "specimens.csv").write_text("mine", encoding="utf-8")
    assert cli.main(["plan", str(study), "-o", str(folder)]) == 2
    assert (folder / "specimens.csv").read_text(encoding="utf-8") == "mine"
    assert "nothing was written" in capsys.readouterr().err
    assert not (folder / "sheet.html").exists()


@pytest.mark.parametrize(
    ("words", "told"), [(["--repeats", "1"], "fewer than 2"), (["--scatter", "5"], "between 0 and 1")]
)
def test_impossible_numbers_are_refused(study, capsys, words, told):
    assert cli.main(["plan", str(study), *words]) == 2
    assert told in capsys.readouterr().err


def test_why_no_setting_is_held_back_is_told(study, capsys):
    assert not any("held back" in line for line in planned(study, capsys)["advice"])
    few = study.read_text(encoding="utf-8").replace("[0.2, 0.3, 0.4, 0.5, 0.6]", "[0.2, 0.4, 0.6]")
    study.write_text(few, encoding="utf-8")
    assert planned(study, capsys)["advice"][0] == (
        "No setting is held back to judge the prediction by: that needs 5 settings, the study has 3."
    )
    assert not any("held back" in line for line in planned(study, capsys, "--no-hold-back")["advice"])


def test_names_and_held_back_settings():
    assert [letters(n) for n in (0, 25, 26, 27, 701, 702)] == ["A", "Z", "AA", "AB", "ZZ", "AAA"]
    assert [held_back(n) for n in (3, 4, 5, 7)] == [None, None, 2, 3]
    assert np.all([0 < held_back(n) < n - 1 for n in range(5, 40)])
