"""What a release states: one version, its licence, its changes, the passports of its data, its spelling."""

import csv
import importlib.util
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from validation.cli import VERSION

ROOT = Path(__file__).parent.parent.parent
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
DATA = ROOT / "validation" / "data"
PASSPORTS = (DATA / "README.md").read_text(encoding="utf-8")


def test_the_version_has_one_source():
    assert "version" not in PROJECT["project"]
    assert PROJECT["tool"]["setuptools"]["dynamic"]["version"] == {"attr": "validation.cli.VERSION"}
    assert re.fullmatch(r"\d+\.\d+\.\d+", VERSION)


def test_the_change_log_begins_with_the_version():
    changes = DEVELOPERS.partition("\n## Changes\n")[2]
    assert re.search(r"^### (\S+)", changes, re.M)[1] == VERSION


def test_the_licence_text_is_that_of_the_licence_named():
    (name,) = PROJECT["project"]["license-files"]
    text = (ROOT / name).read_text(encoding="utf-8")
    assert PROJECT["project"]["license"] == "GPL-3.0-or-later"
    assert text.split()[:6] == ["GNU", "GENERAL", "PUBLIC", "LICENSE", "Version", "3,"]
    assert "END OF TERMS AND CONDITIONS" in text


# Names to import, or words that stand for a use, where they are not those of the distribution.
USES = {
    "scikit-fem": r"from skfem\b",
    "python-calamine": r"\bpython_calamine\b",
    "dask[distributed]": r"from distributed\b",
    "pytest-xdist": r"\bworker_id\b",
    "pdoc": r'"pdoc"',
    "ruff": "",
    "mypy": "",
}


def test_every_library_asked_for_is_used():
    code = "\n".join(
        path.read_text(encoding="utf-8")
        for room in ("patterns", "fem", "validation", "tests")
        for path in sorted((ROOT / room).rglob("*.py"))
        if path != Path(__file__)
    )
    project = PROJECT["project"]
    extras = project["optional-dependencies"]
    asked = {*project["dependencies"], *extras["test"]}
    names = [re.match(r"[\w\-]+(\[\w+\])?", requirement)[0] for requirement in asked]
    uses = {name: USES.get(name, rf"^\s*(import|from) {name}\b") for name in names}
    assert not [name for name, use in uses.items() if not re.search(use, code, re.M)]


@pytest.mark.parametrize("path", sorted(DATA.glob("*_*.csv")), ids=lambda path: path.name)
def test_every_published_file_has_a_passport(path):
    if path.name == "trend_checks.csv":
        assert "`trend_checks.csv`" in PASSPORTS
        return
    heading = rf"^### [^\n]*{re.escape(path.name)} \((\d+) \w+\)"
    found = re.search(rf"{heading}(.*?)(?=^### |\Z)", PASSPORTS, re.M | re.S)
    assert found, path.name
    with path.open(encoding="utf-8", newline="") as stream:
        assert int(found[1]) == len(list(csv.DictReader(stream)))
    assert re.search(r"\b20\d\d\b|supplier", found[2], re.I)
    assert re.search(r"DOI 10\.|thesis|repository|second hand", found[2], re.I)
    assert re.search(r"licen[cs]e|open access|copyright", found[2], re.I)
    assert re.search(r"came by|second hand", found[2], re.I)


@pytest.mark.skipif(importlib.util.find_spec("codespell_lib") is None, reason="codespell is not installed")
def test_spelling():
    done = subprocess.run(
        [sys.executable, "-m", "codespell_lib"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert not done.stdout
    assert done.returncode == 0
