"""Every entry refuses pipes, devices, folders, endless lines, deep nesting and absurd sizes in one line, at once."""

import os
import shutil
from pathlib import Path

import pytest

from tests.validation.rig.torture_files import FOLDER
from validation import cli

PLAIN = str(FOLDER / "plain.csv")
DEMO = Path(__file__).parents[3] / "demos" / "shelf_arm"


@pytest.fixture
def place(tmp_path, monkeypatch):
    """Work in a folder with a good study and one bad file of each kind."""
    for name in ("study.toml", "specimens.csv"):
        shutil.copy(DEMO / name, tmp_path)
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "folder").mkdir()
    (tmp_path / "line").write_text("1" * 2_000_000)
    (tmp_path / "deep").write_text("a = " + "[" * 100_000)
    (tmp_path / "huge").touch()
    os.truncate(tmp_path / "huge", 10**10)
    (tmp_path / "zero").symlink_to("/dev/zero")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def told(capsys, *words):
    """Return the status and the one line of a command that must fail."""
    status = cli.main([*words, "--quiet"])
    lines = capsys.readouterr().err.splitlines()
    assert len(lines) == 1, lines
    assert "unexpected" not in lines[0]
    return status, lines[0]


BAD = ["pipe", "folder", "line", "deep", "huge", "zero"]


@pytest.mark.parametrize("bad", BAD)
def test_studies(place, capsys, bad):
    assert told(capsys, "estimate", bad)[0] == 2


@pytest.mark.parametrize("bad", BAD)
def test_rig_files_and_profiles(place, capsys, bad):
    assert told(capsys, "reduce", bad)[0] == 3
    assert told(capsys, "reduce", PLAIN, "--profile", bad)[0] == 2


@pytest.mark.parametrize("bad", ["pipe", "folder", "line", "huge", "zero"])
def test_tables_of_beams_and_outlines(place, capsys, bad):
    text = (place / "study.toml").read_text()
    (place / "s.toml").write_text(text.replace('specimens = "specimens.csv"', f'specimens = "{bad}"'))
    assert told(capsys, "reconcile", "s.toml")[0] == 3
    named = f"{bad}.csv" if (place / bad).is_symlink() or (place / bad).is_fifo() else bad
    if named != bad:
        (place / bad).rename(place / named)
    rows = [line for line in text.splitlines() if not line.startswith(("width_mm", "depth_mm"))]
    outline = "\n".join(rows).replace('"rectangle"', f'"polygon"\noutline = "{named}"')
    (place / "o.toml").write_text(outline)
    assert told(capsys, "estimate", "o.toml")[0] == 2


@pytest.mark.parametrize("value", ["1e5", "1e308", "inf", "nan", "-3.0", "301"])
@pytest.mark.parametrize("key", ["width_mm = 14.0", "depth_mm = 10.0", "layer_height_mm = 0.25"])
def test_sizes_beyond_any_printed_beam(place, capsys, key, value):
    name = key.partition(" ")[0]
    (place / "s.toml").write_text((place / "study.toml").read_text().replace(key, f"{name} = {value}"))
    status, line = told(capsys, "estimate", "s.toml")
    assert status == 2
    assert name in line
