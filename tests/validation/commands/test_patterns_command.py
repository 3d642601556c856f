import json

import pytest

from patterns.catalogue import CATALOGUE
from validation.cli import main
from validation.commands.pattern_options import flag_of


def test_json_is_one_object_with_every_pattern(capsys):
    assert main(["patterns", "--json"]) == 0
    listed = json.loads(capsys.readouterr().out)
    assert listed["schema_version"] == 1
    assert {row["slug"] for row in listed["patterns"]} == set(CATALOGUE)
    kagome = next(row for row in listed["patterns"] if row["slug"] == "kagome")
    # Triangle inradius pitch/6 >= w/2 + w/4 and F = 3 w/pitch, so F <= 2/3.
    assert kagome["set_fill_range"] == pytest.approx([0.01, 2 / 3])
    rhombic = next(row for row in listed["patterns"] if row["slug"] == "rhombic")
    assert rhombic["options"][0]["flag"] == "--opening-angle"


def test_table_names_every_pattern_and_option(capsys, monkeypatch):
    monkeypatch.setenv("NO_COLOR", "1")
    assert main(["patterns"]) == 0
    output = capsys.readouterr()
    assert output.err == ""
    assert "\x1b" not in output.out
    for slug, pattern in CATALOGUE.items():
        assert slug in output.out
        assert all(flag_of(option) in output.out for option in pattern.options)
