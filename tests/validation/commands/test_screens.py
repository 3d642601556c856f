"""Screens of 80 columns: nothing wraps by itself, no number is broken, what finds no room stands below."""

import re
from pathlib import Path

import pytest

from validation import cli
from validation.text.glossary import GLOSSARY
from validation.text.screen import print_lines, print_table

ROOT = Path(__file__).parents[3]
DEMOS = sorted((ROOT / "demos").glob("*/study.toml"))
QUICK = [["patterns"], ["words"], ["keys"], ["cache"]]
STUDY = [
    ["estimate", "--material"], ["reconcile"], ["plan"], ["explain"], ["predict"], ["predict", "--full"],
    ["choose", "--load-N", "60"], ["choose", "--load-N", "60", "--full"], ["compare"],
]  # fmt: skip


@pytest.fixture(autouse=True)
def eighty_columns(monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.chdir(ROOT)


def too_wide(text: str) -> list[str]:
    return [line for line in text.splitlines() if len(line.rstrip()) > 80]


@pytest.mark.parametrize("words", QUICK, ids=" ".join)
def test_a_screen_fits(words, capsys):
    assert cli.main(words) == 0
    assert too_wide(capsys.readouterr().out) == []


@pytest.mark.slow
@pytest.mark.parametrize("study", DEMOS, ids=lambda path: path.parent.name)
@pytest.mark.parametrize("words", STUDY, ids=" ".join)
def test_a_screen_of_a_demo_fits(words, study, capsys):
    assert cli.main([words[0], str(study), *words[1:]]) == 0
    assert too_wide(capsys.readouterr().out) == []


def test_help_of_every_command_fits(capsys):
    for name in cli.COMMANDS:
        assert cli.main([name, "--help"]) == 0
        told, _, example = capsys.readouterr().out.partition("\nexample:")  # commands are copied whole
        assert [line for line in too_wide(told) if not line.startswith(" ")] == [], (name, example)


def test_screens_of_the_readme_fit():
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    for block in re.findall(r"```console\n(.*?)```", text, re.DOTALL):
        assert too_wide(block) == []


COLUMNS = ["setting", *(f"quantity {i} N/mm" for i in range(6)), "what breaks"]
ROWS = [
    [f"set_fill 0.{i}", *(f"{100 + j}.5 (90.1 to {110 + j})" for j in range(6)), "wall, sheared"]
    for i in range(3)
]


@pytest.mark.parametrize("width", [60, 80, 132, 300])
def test_no_number_is_broken_and_every_cell_is_there_at_any_width(width, monkeypatch, capsys):
    monkeypatch.setenv("COLUMNS", str(width))
    print_table("Title", COLUMNS, ROWS, ["note " * 40], words=("what breaks",))
    told = capsys.readouterr().out
    assert all(len(line.rstrip()) <= width for line in told.splitlines())
    for row in ROWS:
        for cell in row[1:-1]:
            assert told.count(cell) >= len(ROWS)
        assert row[0] in told
    tables = told.count("setting")
    assert tables == 1 if width == 300 else tables > 1


def test_long_lines_break_between_words_under_their_beginning(capsys):
    print_lines(["    - evidence " + "word " * 30])
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) > 1
    assert all(len(line) <= 80 for line in lines)
    assert lines[1].startswith("      word")


def test_words_are_told_one_line_each_and_looked_up(capsys):
    assert all("\n" not in meaning and meaning for meaning in GLOSSARY.values())
    assert cli.main(["words", "fill"]) == 0
    assert "set fill" in capsys.readouterr().out
    assert cli.main(["words", "knees"]) == 2
    assert "did you mean knee?" in capsys.readouterr().err
