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


def reconciled(labels, **more):
    """What `reconcile` prints of settings as its JSON output has them, numbers as wide as they get."""
    from validation.text.reconciliation import print_reconciliation

    mean = {"n": 3, "mean": 52.4, "mean_interval_95": [40.0, 64.8]}
    band = {"best": 52.7, "low": 44.6, "high": 60.1}
    rows = [
        {
            "setting": {"label": label, "made": "printed"},
            "share_of_bulk": None,
            "measured": {
                "breaking_force_N": mean,
                "stiffness_N_per_mm": mean,
                "mass_g": {"n": 3, "mean": 17.6, "mean_interval_95": [17.537, 17.663]},
                "strength_to_mass_N_per_g": 23.2,
            },
            "breaking_force_N": band,
            "stiffness_N_per_mm": band,
            "mass_g": {"best": 17.4},
            "measured_over_estimated": {"breaking_force": 0.994, "stiffness": 0.987},
            "beam_theory": {"solid_bar_force_N": 407.0},
            "mode": "weld_tension",
        }
        for label in labels
    ]
    errors = dict.fromkeys(("breaking_force", "stiffness", "mass", "solid_bar_force"), 0.07)
    print_reconciliation(
        {"study": "T", "settings": rows, "mean_error": errors, "excluded": [], "invented": True, **more}, []
    )


def test_reconcile_says_the_one_varied_key_once_and_needs_two_tables(capsys):
    reconciled([f"set_fill 0.{i}5" for i in range(1, 7)])
    told = capsys.readouterr().out
    assert too_wide(told) == []
    assert told.count("set_fill") == 2
    assert re.search(r"^0\.15 .* 17\.6 ±0\.1 +17\.4 +23\.2$", told, re.MULTILINE)


def test_reconcile_names_every_setting_in_full_where_two_keys_vary(capsys):
    reconciled(["walls 2, set_fill 0.3", "walls 3, set_fill 0.3"])
    told = capsys.readouterr().out
    assert too_wide(told) == []
    assert "walls 2, set_fill 0.3" in told
