"""The table of broken beams: units, settings, and every wrong row named."""

from pathlib import Path

import pytest

from patterns.errors import DataError
from tests.validation.study.test_study import GOOD
from validation.measured.file_kinds import no_table
from validation.measured.measured import read_specimens
from validation.study.study import load

VARIED = GOOD + '[vary]\n"core.set_fill" = [0.2, 0.4]\n[measured]\nspecimens = "beams.csv"\n'


def read(tmp_path: Path, table: str):
    (tmp_path / "study.toml").write_text(VARIED, encoding="utf-8")
    (tmp_path / "beams.csv").write_text(table, encoding="utf-8")
    return read_specimens(load(tmp_path / "study.toml"))


def refused(tmp_path: Path, table: str) -> str:
    with pytest.raises(DataError) as caught:
        read(tmp_path, table)
    return str(caught.value)


def test_rows_find_their_setting_and_units_are_turned(tmp_path):
    measured = read(
        tmp_path,
        "set_fill,specimen,breaking_force_kgf,mass_g,depth_mm,valid,exclude_reason\n"
        "0.2,A1,10,12.5,12.1,1,\n"
        "0.40,B1,20,14.5,,,\n"
        "0.4,B2,19,14.4,,0,slipped in the supports\n",
    )
    assert measured.of(0)[0].breaking_force == pytest.approx(98.0665)  # 10 kgf, standard gravity
    assert measured.of(0)[0].depth == 12.1
    assert [beam.specimen for beam in measured.of(1)] == ["B1"]
    assert measured.beams[2].exclude_reason == "slipped in the supports"


def test_rows_may_name_their_setting_by_number(tmp_path):
    measured = read(tmp_path, "setting_id,breaking_force_N\nS2,200\n")
    assert measured.of(1)[0].breaking_force == 200


@pytest.mark.parametrize(
    ("table", "told"),
    [
        ("set_fill,breaking_force_N\n0.2,-5\n", "beams.csv:2: breaking_force_N: -5 must be positive"),
        ("set_fill,breaking_force_N\n0.2,nan\n", "must be positive"),
        ("set_fill,breaking_force_N\n0.2,strong\n", "'strong' is not a number"),
        ("set_fill,breaking_force_N,mass_g\n0.2,,12\n", "breaking_force is empty"),
        ("set_fill,breaking_force_N\n0.2,\n", "no row with a broken beam (1 rows not filled in)"),
        ("set_fill,breaking_force_N\n0.3,98\n", "no setting of the study has core.set_fill = 0.3"),
        ("set_fill,breaking_force_N\n0.2,98,7\n", "3 cells under 2 columns"),
        ("set_fill,breaking_force\n0.2,98\n", "name its unit, breaking_force_N or _kN"),
        ("set_fill,braking_force_N\n0.2,98\n", "did you mean 'breaking_force_N'?"),
        ("breaking_force_N\n98\n", "no column core.set_fill"),
        ("set_fill,breaking_force_N,valid\n0.2,98,0\n", "without an exclude_reason"),
        ("set_fill,breaking_force_N,depth_mm\n0.2,98,1.2\n", "a slip of unit or column?"),
        ("set_fill,breaking_force_N\n", "no row with a broken beam"),
        ("", "beams.csv: is empty; a table of broken beams is wanted here"),
        ("%PDF-1.7\n", "beams.csv: is a PDF document; a table"),
        ('<?xml version="1.0"?>\n<svg>', "beams.csv: is a picture; a table"),
        (
            "set_fill,breaking_force_N\n25,98\n",
            "has core.set_fill = 25; a fill is a fraction from 0 to 1; for 25 percent",
        ),
        ("set_fill,breaking_force_N\n25%,98\n", "no setting of the study has core.set_fill = 0.25"),
        ("set_fill,breaking_force_N\n0.3,98\n", "; the study has core.set_fill 0.2, 0.4"),
        (
            "setting_id,breaking_force_N\nS9,98\n",
            "setting_id S9; add it to [vary] or mend the row; the study has S1 to S",
        ),
    ],
)
def test_wrong_rows_are_named(tmp_path, table, told):
    assert told in refused(tmp_path, table)


@pytest.mark.parametrize(
    ("raw", "ending", "told"),
    [
        (b"\x89PNG\r\n\x1a\n", ".csv", "is a picture"),
        (b"\xff\xd8\xff\xe0", ".csv", "is a picture"),
        (b"title = 'x'", ".toml", "is a study, not a table"),
        (b"\xef\xbb\xbf \n", ".csv", "is empty"),
        (b"\xff\xfes\x00e\x00t\x00", ".csv", ""),
        (b"\xef\xbb\xbfset_fill,mass_g\n", ".csv", ""),
    ],
)
def test_what_is_no_table_is_known_by_its_first_bytes(raw, ending, told):
    assert no_table(raw, ending).endswith(told)
    assert bool(no_table(raw, ending)) == bool(told)


def test_every_wrong_row_is_told_at_once(tmp_path):
    text = refused(tmp_path, "set_fill,breaking_force_N\n0.2,x\n0.4,100\n0.9,100\n")
    assert ":2:" in text
    assert ":4:" in text
    assert ":3:" not in text


def test_missing_and_unreadable_files(tmp_path):
    (tmp_path / "study.toml").write_text(VARIED, encoding="utf-8")
    with pytest.raises(DataError, match="no such file"):
        read_specimens(load(tmp_path / "study.toml"))
    (tmp_path / "beams.csv").write_bytes(b"set_fill,breaking_force_N\n0.2,98\xff\n")
    with pytest.raises(DataError, match="is not a number"):
        read_specimens(load(tmp_path / "study.toml"))


def test_comments_and_unknown_columns_are_passed_over_and_told(tmp_path):
    measured = read(tmp_path, "set_fill,breaking_force_N,weather\n# invented\n0.2,98,rain\n")
    assert len(measured.beams) == 1
    assert any("weather" in remark for remark in measured.remarks)


def rig_file(path: Path, peak: float, slope: float) -> None:
    """Write a plain record that rises in a straight line and breaks; travel in mm, force in N."""
    travel = [0.01 * k for k in range(int(peak / slope / 0.01) + 1)]
    rows = [f"{x:.3f},{slope * x:.4f}" for x in travel] + [f"{travel[-1] + 0.01:.3f},0.0"]
    path.write_text("\n".join(["travel_mm,force_N", *rows]) + "\n", encoding="utf-8")


def test_forces_not_in_the_table_are_read_from_the_rig_files(tmp_path):
    rig_file(tmp_path / "a.csv", 150.0, 40.0)
    measured = read(
        tmp_path,
        "set_fill,specimen,file,breaking_force_N,stiffness_N_per_mm\n0.2,A1,a.csv,,\n0.4,B1,,98,31\n",
    )
    first, second = measured.beams
    assert first.breaking_force == pytest.approx(150.0, abs=0.5)
    assert first.stiffness == pytest.approx(40.0, rel=1e-3)
    assert (second.breaking_force, second.stiffness) == (98.0, 31.0)


def test_rig_files_that_cannot_be_read_are_told_with_their_row(tmp_path):
    (tmp_path / "a.csv").write_text("no numbers here\n", encoding="utf-8")
    rig_file(tmp_path / "b.csv", 150.0, 40.0)
    text = refused(tmp_path, "set_fill,file,run\n0.2,a.csv,\n0.4,b.csv,second\n")
    assert "beams.csv:2: " in text
    assert "beams.csv:3: file 'b.csv' holds the runs" in text
