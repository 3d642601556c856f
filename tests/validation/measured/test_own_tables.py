"""Tables of beams as people have them: the same beams in many dresses are read as the same numbers."""

import sys
from pathlib import Path

import pytest

from patterns.errors import DataError
from tests.validation.measured.workbook import write_workbook
from tests.validation.study.test_study import GOOD
from validation.measured.manifest import read_manifest, write_manifest
from validation.measured.measured import NoBeamYetError, read_specimens
from validation.study.study import load
from validation.text.output import guarded, unguarded

VARIED = GOOD + '[vary]\n"core.set_fill" = [0.2, 0.4]\n[measured]\nspecimens = "{}"\n'
# what all dresses below say: fill, force in N, mass in g, name
BEAMS = [(0.2, 1234.5, 12.25, "A1"), (0.4, 1410.0, 14.5, "B1")]


def read(tmp_path: Path, table: bytes | str, more: str = "", name: str = "beams.csv"):
    (tmp_path / "study.toml").write_text(VARIED.format(name) + more, encoding="utf-8")
    if table:
        (tmp_path / name).write_bytes(table if isinstance(table, bytes) else table.encode())
    return read_specimens(load(tmp_path / "study.toml"))


def told(measured):
    fills = (0.2, 0.4)
    return [(fills[one.setting], one.breaking_force, one.mass, one.specimen) for one in measured.beams]


GERMAN = "Füllung [%];Bruchkraft (N);Masse [g];Prüfkörper\r\n20;1.234,5;12,25;A1\r\n40;1.410;14,5;B1\r\n"
DRESSES = {
    "cp1252, semicolons, decimal comma, thousands points": GERMAN.encode("cp1252"),
    "UTF-16 with a mark": GERMAN.encode("utf-16"),
    "UTF-16 without a mark": GERMAN.encode("utf-16-le"),
    "tabs": GERMAN.replace(";", "\t").encode(),
    "a separator that the spreadsheet declares": ("sep=;\r\n" + GERMAN).encode("utf-8-sig"),
    "bars": GERMAN.replace(";", "|").encode(),
    "thousands commas in quotes": b'fill %,load N,weight (g),sample\n20,"1,234.5",12.25,A1\n40,"1,410",14.5,B1\n',
    "other order and units": b"sample,mass (kg),Fmax [kN],infill\nA1,0.01225,1.2345,0.2\nB1,0.0145,1.41,0.4\n",
    "percent without a sign": b"sample,mass g,force N,infill\nA1,12.25,1234.5,20\nB1,14.5,1410,40\n",
    "units in the cells": b"fill,max load,mass,id\n20 %,1234.5 N,12.25 g,A1\n40 %,1.41 kN,14.5 g,B1\n",
    "units in a row of their own": b"fill,force,mass,id\n%,kN,g,\n20,1.2345,12.25,A1\n40,1.41,14.5,B1\n",
    "titles above": b"Bending tests,,,\nspring,,,\nfill,force N,mass g,id\n0.2,1234.5,12.25,A1\n0.4,1410,14.5,B1\n",
    "shown as percent": b"F\xc3\xbcllung [%],Kraft/N,Masse g,Nr.\n0.2,1234.5,12.25,A1\n0.4,1410,14.5,B1\n",
    "French": "remplissage (%);charge (N);masse (g);éprouvette\n20;1234,5;12,25;A1\n40;1410;14,5;B1\n".encode("cp1252"),
}  # fmt: skip


@pytest.mark.parametrize("dress", DRESSES)
def test_the_same_beams_are_read_from_every_dress(dress, tmp_path):
    for found, beam in zip(told(read(tmp_path, DRESSES[dress])), BEAMS, strict=True):
        assert found[0] == beam[0]
        assert found[1:3] == pytest.approx(beam[1:3], rel=1e-12)
        assert found[3] == beam[3]


def test_a_load_in_kilograms_is_the_weight_of_that_mass_and_says_so(tmp_path):
    measured = read(tmp_path, "Füllung [%],load kg,weight g\n20,10,12\n40,11,14\n")
    assert measured.beams[0].breaking_force == pytest.approx(98.0665)  # standard gravity, exact by definition
    assert measured.beams[0].mass == pytest.approx(12, rel=1e-12)
    assert any(
        "'load kg': a unit of mass is read as the weight of that mass" in one for one in measured.remarks
    )


def test_stiffness_in_other_units_is_turned(tmp_path):
    table = "fill %,force N,Steifigkeit (N/m)\n20,98,46000\n"
    assert read(tmp_path, table).beams[0].stiffness == pytest.approx(46.0)


@pytest.mark.parametrize(
    ("table", "more", "asked"),
    [
        ("fill,force\n0.2,98\n", "", "column 'force': name its unit, breaking_force_N or _kN"),
        ("fill,load (stone)\n0.2,98\n", "", "'stone' is no known unit"),
        ("fill,weight kg\n0.2,9.8\n", "", "column 'weight kg': the beam's mass or the force on it?"),
        ("fill,force N,load N\n0.2,98,97\n", "", "columns 'force N' and 'load N' say the same; keep one"),
        ("fill,force mm\n0.2,98\n", "", "mm is no unit of breaking force"),
        ("fill,yield load N\n0.2,98\n", "", "no column breaking_force_N"),
        ("fill,force N\n0.2,98\n", 'columns = { "Load" = "" }', "names 'Load', which is no heading"),
        ("fill,force N\n0.2,98\n", 'columns = { "force N" = "braking_force_N" }', "did you mean 'breaking_force_N'?"),
    ],
)  # fmt: skip
def test_what_is_ambiguous_is_asked_with_the_headings_found_and_the_way_to_answer(
    table, more, asked, tmp_path
):
    with pytest.raises(DataError) as caught:
        read(tmp_path, table, more)
    text = str(caught.value)
    assert asked in text
    assert "headings found: 'fill', '" in text
    assert 'columns = { "HEADING" = "breaking_force_N" }' in text


def test_the_study_answers_what_is_asked(tmp_path):
    answer = 'columns = { "weight kg" = "breaking_force_kgf", "Load 2" = "" }\n'
    (beam,) = read(tmp_path, "fill,weight kg,Load 2\n0.2,10,3\n", answer).beams
    assert beam.breaking_force == pytest.approx(98.0665)
    table = "fill;force N\n0,2;1.234\n"
    assert read(tmp_path, table, 'decimal = "."').beams[0].breaking_force == 1.234
    assert read(tmp_path, table, 'decimal = ","').beams[0].breaking_force == 1234


def test_a_table_without_beams_is_told_apart_from_a_wrong_one(tmp_path):
    with pytest.raises(NoBeamYetError):
        read(tmp_path, "set_fill,breaking_force_N,mass_g\n")
    with pytest.raises(DataError) as caught:
        read(tmp_path, "set_fill,mass\n0.2,\n")
    assert not isinstance(caught.value, NoBeamYetError)


SHEET = [
    ["Füllung [%]", "Kraft (N)", "Masse [g]", "Prüfkörper"],
    [20, 1234.5, 12.25, "A1"],
    [40, 1410, 14.5, "B1"],
]


def test_a_workbook_is_read_by_the_sheet_that_holds_beams(tmp_path):
    pytest.importorskip("python_calamine", reason="workbooks are an optional extra")
    write_workbook(tmp_path / "beams.xlsx", {"notes": [["spring", "series"]], "beams": SHEET})
    measured = read(tmp_path, "", name="beams.xlsx")
    assert told(measured) == BEAMS
    assert any("sheet 'beams' of 2" in remark for remark in measured.remarks)


def test_without_its_reader_a_workbook_is_one_line_that_says_how_to_get_it(tmp_path, monkeypatch):
    monkeypatch.setitem(sys.modules, "python_calamine", None)
    write_workbook(tmp_path / "beams.xlsx", {"beams": SHEET})
    with pytest.raises(DataError) as caught:
        read(tmp_path, "", name="beams.xlsx")
    assert "`pip install python-calamine` lets fillbend read it, or save the table as CSV" in str(
        caught.value
    )
    assert "\n" not in str(caught.value)


def test_a_broken_workbook_is_one_line(tmp_path):
    pytest.importorskip("python_calamine", reason="workbooks are an optional extra")
    with pytest.raises(DataError, match="is no readable spreadsheet") as caught:
        read(tmp_path, b"PK\x03\x04 and no more", name="beams.xlsx")
    assert "\n" not in str(caught.value)


# what spreadsheets run as a formula by the first sign of a cell (OWASP, CSV injection, from memory)
FORMULAS = ["=1+1", "+cmd", "-2+3", "@sum", "\tx", "'=x", "'s", "''"]


@pytest.mark.parametrize("text", [*FORMULAS, "plain", "-4.5", "", "90's"])
def test_cells_that_a_spreadsheet_would_run_are_written_as_text_and_read_back_the_same(text, tmp_path):
    assert unguarded(guarded(text)) == text
    assert not guarded(text).startswith(("=", "+", "@", "\t")) or guarded(text) == ""
    columns = ["setting_id", "breaking_force_N", "note"]
    table = write_manifest([{"setting_id": "S1", "breaking_force_N": 98, "note": text}], columns)
    path = tmp_path / "runs.csv"
    path.write_text(table, encoding="utf-8")
    assert read_manifest(path).runs[0].note == text
