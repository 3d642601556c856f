"""Demos: scenarios of our own, marked invented in file and output, that load and read without remarks."""

from pathlib import Path

import pytest

from validation.measured.measured import read_specimens
from validation.study.study import load

STUDIES = sorted((Path(__file__).parent.parent / "demos").glob("*/study.toml"))


@pytest.mark.parametrize("path", STUDIES, ids=lambda path: path.parent.name)
def test_a_demo_is_whole_and_marked_invented(path):
    study = load(path)
    assert study.table.invented
    assert "invented" in study.table.note.lower()
    measured = read_specimens(study)
    assert measured.path.read_text(encoding="utf-8").startswith("# Invented")
    assert measured.remarks == ()
    assert all(measured.of(number) for number in range(len(study.settings)))


def test_there_is_a_flat_and_an_upright_demo():
    assert {load(path).settings[0].setting.printing.orientation for path in STUDIES} == {"flat", "upright"}
