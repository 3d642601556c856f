"""The gallery: twelve numbered scripts, short, told by their opening words, each with a picture that it draws."""

import importlib.util
import re
import xml.etree.ElementTree as ET
from pathlib import Path
from types import ModuleType

import pytest

GALLERY = Path(__file__).parents[1] / "demos" / "gallery"
SCRIPTS = sorted(GALLERY.glob("*.py"))
# Start a scheduler, or estimate a whole study and build its page.
LONG = ("08", "09", "10", "11")


def imported(script: Path) -> ModuleType:
    spec = importlib.util.spec_from_file_location(f"gallery_{script.stem}", script)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_there_are_twelve_in_order():
    assert [script.name[:2] for script in SCRIPTS] == [f"{number:02}" for number in range(1, 13)]


@pytest.mark.parametrize("script", SCRIPTS, ids=lambda script: script.stem)
def test_each_is_short_tells_its_purpose_and_has_a_picture(script):
    text = script.read_text(encoding="utf-8")
    assert len(text.splitlines()) <= 60
    title, blank, told = (imported(script).__doc__ or "").partition("\n\n")
    assert title.endswith(".")
    assert blank
    assert len(told.split()) >= 30
    assert ET.parse(script.with_suffix(".svg")).getroot().tag.endswith("svg")
    assert f"demos/gallery/{script.stem}.svg" in (GALLERY.parents[1] / "README.md").read_text(
        encoding="utf-8"
    )


@pytest.mark.parametrize(
    "script",
    [
        pytest.param(script, marks=[pytest.mark.slow] if script.name[:2] in LONG else [], id=script.stem)
        for script in SCRIPTS
    ],
)
def test_each_runs_and_draws_its_picture_anew(script, tmp_path, capsys):
    imported(script).main(tmp_path)
    drawn = tmp_path / f"{script.stem}.svg"
    assert ET.parse(drawn).getroot().tag.endswith("svg")
    said = capsys.readouterr().out
    assert re.search(r"\d", said)
    for left in tmp_path.iterdir():
        assert left.suffix in {".svg", ".html"}, left.name
