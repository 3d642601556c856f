"""The table of runs: what is accepted, what is refused with its line, what stays visible."""

import hashlib
from pathlib import Path

import pytest

from patterns.errors import DataError
from validation.measured.manifest import read_manifest, write_manifest
from validation.measured.manifest_columns import column_of


def read(tmp_path: Path, table: str | bytes, keys=()):
    path = tmp_path / "runs.csv"
    path.write_bytes(table.encode() if isinstance(table, str) else table)
    return read_manifest(path, keys)


def refused(tmp_path: Path, table: str | bytes) -> str:
    with pytest.raises(DataError) as caught:
        read(tmp_path, table)
    return str(caught.value)


PRACTICE = (
    "series,setting_id,plate_id,replicate,specimen_id,test_order,file,b_mm,h_mm,lever_mm,mass_g,valid,exclude_reason,"
    "failure_mode,note\n"
    "rods,S1,P1,1,A1,4,a1.txt,19.9,20.1,40,31.2,1,,D,\n"
    "rods,S1,P2,2,A2,2,a2.txt,20.0,20.0,40,31.0,0,slipped in the clamp,K/D,loud\n"
)


def test_the_columns_of_the_trade_are_taken(tmp_path):
    for name in ("a1.txt", "a2.txt"):
        (tmp_path / name).write_text("0 0\n")
    found = read(tmp_path, PRACTICE)
    first, second = found.runs
    assert (first.setting_id, first.build, first.replicate, first.specimen) == ("S1", "P1", "1", "A1")
    assert (first.width, first.depth, first.lever, first.mass) == (19.9, 20.1, 40.0, 31.2)
    assert (first.mode, second.mode) == ("D", "K+D")
    assert found.excluded == (second,)
    assert second.exclude_reason == "slipped in the clamp"
    assert found.sha256 == hashlib.sha256(PRACTICE.encode()).hexdigest()
    assert found.columns["b_mm"] == "width"


# standard gravity 9.80665 m/s2 and the inch of 25.4 mm are exact by definition; pound-force = 0.45359237 kgf
@pytest.mark.parametrize(
    ("column", "cell", "field", "value"),
    [
        ("breaking_force_kgf", "10", "breaking_force", 98.0665),
        ("force_lbf", "100", "breaking_force", 100 * 0.45359237 * 9.80665),
        ("force_kN", "0.3", "breaking_force", 300.0),
        ("width_in", "1", "width", 25.4),
        ("depth_cm", "1.2", "depth", 12.0),
        ("load_span_m", "0.03", "load_span", 30.0),
        ("mass_kg", "0.012", "mass", 12.0),
        ("stiffness_kN_per_mm", "0.05", "stiffness", 50.0),
    ],
)
def test_units_in_names_are_turned_into_ours(tmp_path, column, cell, field, value):
    (run,) = read(tmp_path, f"setting_id,note,{column}\nS1,x,{cell}\n").runs
    assert getattr(run, field) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize("delimiter", [";", "\t"])
def test_spreadsheets_with_decimal_commas_are_read(tmp_path, delimiter):
    rows = [["setting_id", "breaking_force_N", "mass_g"], ["S1", "98,5", "12,25"]]
    (run,) = read(tmp_path, "\r\n".join(delimiter.join(row) for row in rows) + "\r\n").runs
    assert (run.breaking_force, run.mass) == (98.5, 12.25)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_encodings_that_say_what_they_are_are_read(tmp_path, encoding):
    (run,) = read(tmp_path, "setting_id,breaking_force_N,note\nS1,98,zäh\n".encode(encoding)).runs
    assert run.note == "zäh"


@pytest.mark.parametrize(
    ("table", "told"),
    [
        ("setting_id,b\nS1,3\n", "runs.csv:1: column 'b': name its unit, width_mm or _cm or _m or _in"),
        ("setting_id,mass\nS1,3\n", "name its unit, mass_g or _kg or _mg"),
        ("setting_id,widht_mm\nS1,3\n", "did you mean 'width_mm'?"),
        ("setting_id,b_mm,width_mm\nS1,3,3\n", "columns 'b_mm' and 'width_mm' say the same"),
        ("setting_id,force_N\nS1,98,7\n", "runs.csv:2: 3 cells under 2 columns"),
        ("setting_id,force_N\nS1\n", "runs.csv:2: 1 cells under 2 columns"),
        ("setting_id,force_N\nS1,-4\n", "runs.csv:2: force_N: -4 must be positive"),
        ("setting_id,force_N\nS1,inf\n", "must be positive"),
        (
            'setting_id,force_N\nS1,"1,5"\nS1,1.5\nS1,2.5\n',
            "'1,5' is not a number; the decimal sign of this table is",
        ),
        ('setting_id,force_N\nS1,"1,234"\n', "'1,234': thousands or a decimal sign? no other number tells"),
        ("setting_id;force_N\nS1;1.234\n", "'1.234': thousands or a decimal sign? no other number tells"),
        ("setting_id,force_N,valid\nS1,9,0\n", "excluded (valid = 0) without an exclude_reason; say why"),
        (
            "setting_id,force_N,valid,exclude_reason\nS1,9,1,slip\n",
            "valid = 1 and yet an exclude_reason, 'slip'",
        ),
        ("setting_id,force_N,valid\nS1,9,perhaps\n", "valid must be 1 or 0, not 'perhaps'"),
        ("setting_id,file\nS1,gone.txt\n", "runs.csv:2: file 'gone.txt' is not beside the table"),
        ("setting_id,force_N\nS1,\n", "no row with a broken beam (1 rows not filled in)"),
        ("setting_id,force_N\n", "no row with a broken beam"),
    ],
)
def test_what_is_wrong_is_told_with_its_place(tmp_path, table, told):
    assert told in refused(tmp_path, table)


def test_all_problems_are_told_at_once(tmp_path):
    text = refused(tmp_path, "setting_id,force_N,mass_g\nS1,x,1\nS1,5,2\nS1,6,-1\nS1,7\n")
    assert [line.split(":")[1] for line in text.replace(str(tmp_path), "").splitlines()] == ["2", "4", "5"]


def test_a_rig_file_used_twice_needs_the_name_of_the_run(tmp_path):
    (tmp_path / "a.txt").write_text("0 0\n")
    twice = "setting_id,file,run\nS1,a.txt,{}\nS1,a.txt,{}\n"
    assert "stands in line 2 already" in refused(tmp_path, twice.format("", ""))
    assert [run.run for run in read(tmp_path, twice.format("1", "2")).runs] == ["1", "2"]


def test_a_reason_alone_excludes_and_the_row_stays(tmp_path):
    found = read(tmp_path, "setting_id,force_N,exclude_reason\nS1,9,nose slipped\nS1,8,\n")
    assert [run.valid for run in found.runs] == [False, True]


def test_rows_not_filled_in_are_kept_apart_and_told(tmp_path):
    found = read(tmp_path, "setting_id,specimen,force_N,lever_mm,valid\nS1,A1,9,40,1\nS1,A2,,40,1\n")
    assert [run.specimen for run in found.planned] == ["A2"]
    assert any("1 rows are not filled in yet" in remark for remark in found.remarks)


def test_other_columns_travel_along_and_are_told(tmp_path):
    text = "set_fill,force_N,nozzle_C,operator\n0.2,9,215,K\n"
    (run,) = (found := read(tmp_path, text, ["set_fill"])).runs
    # what is recorded of a build has a name of its own
    assert run.keys == {"set_fill": "0.2", "temperature_C": "215", "operator": "K"}
    assert [remark for remark in found.remarks if "not used" in remark] == [
        f"{tmp_path / 'runs.csv'}:1: column 'operator' is not used"
    ]


def test_failure_codes_are_kept_in_order_and_other_words_are_told(tmp_path):
    found = read(
        tmp_path, "setting_id,force_N,mode\nS1,9,t + d\nS1,9,snapped\nS1,9,weld_tension\nS1,9,snapped\n"
    )
    assert [run.mode for run in found.runs] == ["T+D", "snapped", "D", "snapped"]
    (told,) = (remark for remark in found.remarks if "mode" in remark)
    assert (
        "runs.csv: modes kept as they are written: 'snapped' (line 3, 5); codes that can be compared are T "
        in told
    )


def test_comments_blank_lines_and_quoted_newlines_do_not_shift_lines(tmp_path):
    table = '# invented\n\nsetting_id,force_N,note\nS1,9,"two\nlines"\n# more\nS1,x,\n'
    assert "runs.csv:7: force_N: 'x' is not a number" in refused(tmp_path, table)


def test_specimens_named_twice_are_remarked(tmp_path):
    found = read(tmp_path, "setting_id,specimen,force_N\nS1,A1,9\nS1,A1,8\n")
    assert any("'A1' stands in more than one row" in remark for remark in found.remarks)


def test_a_written_table_reads_back(tmp_path):
    columns = ["test_order", "setting_id", "breaking_force_N", "valid", "exclude_reason"]
    text = write_manifest([{"test_order": 1, "setting_id": "S1", "valid": 1}], columns)
    assert text.splitlines() == [",".join(columns), "1,S1,,1,"]
    filled = text.replace("1,S1,,1,", "1,S1,98,1,")
    assert read(tmp_path, filled).runs[0].breaking_force == 98.0


def test_study_keys_win_over_the_tables_own_names():
    assert column_of("width_mm", ["width_mm"]).kind == "key"
    assert column_of("width_mm").kind == "number"


def test_unreadable_files_are_refused(tmp_path):
    with pytest.raises(DataError, match="no such file"):
        read_manifest(tmp_path / "none.csv")
    assert "is a binary file, not text" in refused(tmp_path, bytes(range(32)) * 40)
