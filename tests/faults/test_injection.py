"""Text that a user writes stays text: on a terminal, in JSON, tables, drawings and pages, whatever signs it holds."""

import csv
import io
import json
import os
import re
import subprocess
import sys
import time
from xml.etree import ElementTree

import pytest

from tests.fuzz.test_kept import RUN
from tests.validation.report.invented import invented_results, invented_study
from tests.validation.small_studies import HOME
from validation import cli
from validation.report.page import build_page
from validation.report.style import figure, head, to_svg
from validation.results.csv_table import read_rows, to_csv
from validation.text.output import remark, to_json
from validation.text.screen import in_markup, print_lines, print_table, shown

# clear a screen, set its title, by seven and by eight bits; ring; go back; turn the line; end it; bytes of no text
STEERS = "\x1b[2J\x1b]0;owned\x07\x9b31m\r\b\x00\x7f\u202e\u2066\u2028\udcff"
STEERING = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u200e\u200f\u2028\u2029\u202a-\u202e\u2066-\u2069\ud800-\udfff]"
)
FORMULAS = ["=1+1", "+cmd|'/c x'!A1", "-2+3", "@SUM(A1)", "\t=1", "\r=1", "'=1"]
EVIL = "</title></svg><script>hit()</script>--><!-- ]]>&\"'"
STUDY = """\
title = "Bars"
specimen = { width_mm = 6.0, depth_mm = 5.0, length_mm = 60.0 }
core = { pattern = "square", set_fill = 0.3 }
test = { kind = "three_point", span_mm = 50.0 }
"""


def test_nothing_that_steers_reaches_a_screen(capsys):
    print_table(f"t{STEERS}", [f"a{STEERS}", "b"], [[f"c{STEERS}", "1"]], [f"n{STEERS}"])
    print_lines([f"l{STEERS}"])
    remark(f"r{STEERS}")
    print(to_json({f"k{STEERS}": f"v{STEERS}"}))
    out, err = capsys.readouterr()
    assert not STEERING.search(out + err)
    assert "owned" in out
    assert json.loads(out.splitlines()[-1])[f"k{STEERS}"] == f"v{STEERS}"


@pytest.mark.parametrize(
    "words",
    [
        ["estimate", f"no{STEERS}.toml"],
        ["reduce", f"no{STEERS}"],
        ["words", STEERS],
        [f"x{STEERS}"],
        ["draw", "x", STEERS],
    ],
)
def test_errors_about_such_names_are_told_in_plain_signs(capsys, words):
    assert cli.main([word.replace("\x00", "") for word in words]) in (2, 3)
    err = capsys.readouterr().err
    assert not STEERING.search(err)
    assert len(err.splitlines()) == 1


def test_values_of_a_study_are_told_in_plain_signs(tmp_path, capsys):
    (tmp_path / "s.toml").write_text(
        STUDY.replace("square", "a\\u001b[2J").replace("6.0", '"\\u009b31m"'), encoding="utf-8"
    )
    assert cli.main(["estimate", str(tmp_path / "s.toml")]) == 2
    assert not STEERING.search(capsys.readouterr().err)


@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "utf-8"])
def test_a_screen_of_an_old_encoding_gets_what_it_lacks_written_out(encoding):
    done = subprocess.run(
        [sys.executable, "-m", "validation.cli", "keys"],
        cwd=HOME,
        env={**os.environ, "PYTHONIOENCODING": encoding},
        capture_output=True,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, b"")
    done.stdout.decode(encoding)


@pytest.mark.parametrize("text", [*FORMULAS, EVIL, "a,b", 'a"b', "a\nb"])
def test_cells_of_a_table_are_no_formulas_and_come_back_as_they_were(text):
    row = {"setting": text, "pattern": text, "set_fill": 0.2, "mass_g": 3.0}
    written = to_csv([row])
    assert "\r" not in written
    (_, cells) = csv.reader(io.StringIO(written, newline=""))
    assert not cells[0].startswith(("=", "+", "-", "@", "\t"))
    assert read_rows(written)[0]["setting"] == text.replace("\r", "\n")


@pytest.mark.parametrize("title", [EVIL, f"a{STEERS[:-1]}", "$\\frac$ $x", "%s {0} \\u0041"])
def test_drawings_hold_a_title_as_text_and_stay_whole(title):
    with figure() as (fig, _):
        head(fig, title)
        root = ElementTree.fromstring(to_svg(fig, "a", title, title))
    tags = [element.tag.rpartition("}")[2] for element in root.iter()]
    assert "script" not in tags
    assert root[tags.index("title") - 1].text.split() == in_markup(title).split()


def test_a_rig_file_whose_name_is_no_text_is_read_told_and_drawn(tmp_path, capsys):
    path = tmp_path / "a\x1b[2J\udcff.csv"
    path.write_text(RUN, encoding="utf-8")
    for more in (["--json"], ["--figure", str(tmp_path / "a.svg")]):
        assert cli.main(["reduce", str(path), *more]) == 0
        out, err = capsys.readouterr()
        assert not STEERING.search(out + err)
    ElementTree.fromstring((tmp_path / "a.svg").read_text(encoding="utf-8"))


def test_a_page_holds_no_sign_that_steers(tmp_path):
    evil = STEERS[:-1]
    study = invented_study(tmp_path / "s.toml", title=evil, note=evil, vary={"core.set_fill": [0.2, 0.4]})
    results, measured = invented_results(study, 2, tmp_path / "beams.csv", evil, evil, evil, evil)
    page = build_page(study, results, measured, time.perf_counter())
    assert not re.search("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f]", page)


def test_plain_text_is_left_alone():
    text = "Füllung 30 % · 日本 – “±”\n\tx"
    assert shown(text) == in_markup(text) == text
