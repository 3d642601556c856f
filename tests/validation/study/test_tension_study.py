"""A study of pulled coupons, from its file to measured over estimated; slips told with their key."""

import json

import pytest

from patterns.errors import InputError
from validation import cli
from validation.study.study import load

COUPONS = """
title = "Coupons"
invented = true
[specimen]
width_mm = 8.0
depth_mm = 4.0
length_mm = 60.0
[print]
bead_width_mm = 0.5
layer_height_mm = 0.25
walls = 8
face_layers = { bottom = 0, top = 0 }
[core]
pattern = "square"
set_fill = 0.3
[test]
kind = "tension"
gauge_length_mm = 25.0
[material]
card = "PLA"
young_mpa = 3000.0
tension_along_mpa = 50.0
[vary]
"print.walls" = [2, 8]
"""
BEAMS = """walls,specimen,breaking_force_N,stiffness_N_per_mm
8,a,1500,3800
8,b,1540,3700
8,c,1490,3900
"""


@pytest.fixture(autouse=True)
def own_cache(tmp_path_factory, monkeypatch):
    monkeypatch.setenv("FILLBEND_CACHE", str(tmp_path_factory.getbasetemp() / "cells"))


@pytest.fixture
def study(tmp_path):
    path = tmp_path / "study.toml"
    path.write_text(COUPONS + '[measured]\nspecimens = "coupons.csv"\n', encoding="utf-8")
    (tmp_path / "coupons.csv").write_text(BEAMS, encoding="utf-8")
    return path


def test_a_coupon_of_walls_alone_is_the_bar_of_the_handbook(study, capsys):
    assert cli.main(["reconcile", str(study), "--json", "--quiet"]) == 0
    solid = json.loads(capsys.readouterr().out)["settings"][1]
    assert solid["setting"]["gauge_length_mm"] == 25.0
    assert solid["EA_N"]["best"] == pytest.approx(3000 * 32)
    assert solid["stiffness_N_per_mm"]["best"] == pytest.approx(3000 * 32 / 25)
    assert solid["breaking_force_N"]["best"] == pytest.approx(50 * 32)
    assert solid["mode"] == "wall_tension"
    assert solid["beam_theory"]["solid_bar_force_N"] == pytest.approx(50 * 32)
    assert solid["measured_over_estimated"]["stiffness"] == pytest.approx(3800 / 3840)
    assert solid["measured_over_estimated"]["breaking_force"] == pytest.approx(1510 / 1600)


@pytest.mark.parametrize(
    "words", [["estimate"], ["reconcile"], ["plan", "--repeats", "3"]], ids=lambda one: one[0]
)
def test_every_table_is_printed_for_coupons(study, words, capsys):
    assert cli.main([words[0], str(study), *words[1:]]) == 0
    told = capsys.readouterr()
    assert "safe" not in told.out.lower()
    assert "lever" not in told.out.lower() + told.err.lower()


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("gauge_length_mm = 25.0", "", "a tension test: gauge_length_mm is missing"),
        (
            "gauge_length_mm = 25.0",
            "span_mm = 25.0",
            "gauge_length_mm is missing, span_mm does not belong to it",
        ),
        ("gauge_length_mm = 25.0", "gauge_length_mm = 25.0\nplastic = true", "plastic is no longer taken"),
        (
            "gauge_length_mm = 25.0",
            "gauge_length_mm = 25.0\nload_angle_deg = 30.0",
            "load_angle_deg does not belong",
        ),
        (
            "gauge_length_mm = 25.0",
            "gauge_length_mm = 75.0",
            "test.gauge_length_mm: 75 mm is longer than the beam",
        ),
        ('kind = "tension"', 'kind = "three_point"\nspan_mm = 50.0', "gauge_length_mm does not belong to it"),
    ],
)
def test_slips_are_told_with_their_key(tmp_path, old, new, told):
    path = tmp_path / "study.toml"
    path.write_text(COUPONS.replace(old, new), encoding="utf-8")
    with pytest.raises(InputError, match=told.replace("(", r"\(")):
        load(path)


def test_a_map_over_the_lever_is_refused(study, tmp_path, capsys):
    assert cli.main(["draw", "levers", str(study), "--output", str(tmp_path / "map.svg")]) == 2
    assert "neither lever nor span" in capsys.readouterr().err
