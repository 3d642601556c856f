"""Every series loads, stands on a table with a passport, and asks for what its source states."""

import re

import numpy as np
import pytest

from fem.printed.cell_store import CellStore
from tests.scoreboard import tubes, utah
from tests.scoreboard.__main__ import main
from tests.scoreboard.ask import QUANTITIES, Asker
from tests.scoreboard.board import all_series, score_all
from tests.scoreboard.series import read
from validation.published import DATA

SERIES = all_series()
PASSPORTS = (DATA / "README.md").read_text(encoding="utf-8")


def named(one):
    return f"{one.name}, {one.quantity}"


@pytest.mark.parametrize("series", SERIES, ids=named)
def test_every_series_loads(series):
    assert len(series.rows) >= 3
    assert (series.measured > 0).all()
    assert series.quantity in QUANTITIES
    assert series.unstated
    assert all(len(reading.settings) == len(series.rows) for reading in series.readings)
    assert len({reading.name for reading in series.readings}) == len(series.readings)
    assert series.regressor in ("", "mass", *series.rows[0].factors)


@pytest.mark.parametrize("source", sorted({one.source for one in SERIES}))
def test_every_table_has_a_passport_with_its_licence(source):
    (passport,) = re.findall(rf"^### [^\n]*{source}\.csv.*?(?=^### |\Z)", PASSPORTS, re.M | re.S)
    assert re.search("licen[cs]e|open access|copyright", passport, re.I)
    assert re.search("came by|page|csv|full text", passport, re.I)


def test_the_names_are_distinct():
    assert len({named(one) for one in SERIES}) == len(SERIES)


def test_utahs_means_follow_from_his_pulls():
    pulls = read("utah_2013_tension_specimens")
    keys = ("material", "wall_thickness_mm", "face_layers_each_side", "set_fill")
    for row in read("utah_2013_tension_settings"):
        own = [one for one in pulls if all(one[key] == row[key] for key in keys)]
        loads = [float(one["max_load_N"]) for one in own if one["used_load"] == "yes"]
        moduli = [float(one["modulus_gross_mpa"]) for one in own if one["used_modulus"] == "yes"]
        assert (len(loads), len(moduli)) == (int(row["n_load"]), int(row["n_modulus"]))
        assert np.mean(loads) == pytest.approx(float(row["max_load_N"]), abs=0.06)
        assert np.std(loads, ddof=1) == pytest.approx(float(row["max_load_sd_N"]), abs=0.06)
        assert np.mean(moduli) == pytest.approx(float(row["modulus_gross_mpa"]), abs=0.6)


def test_utahs_bars_are_asked_for_as_stated_in_both_readings():
    series = utah.series()
    assert [len(one.rows) for one in series] == [8, 8, 8, 8, 6, 6] * 2  # HIPS less its two doubted settings
    assert {one.readings[0].settings[0][0].core.pattern for one in series} == {"square", "alternating"}
    for one in series:
        for reading in one.readings:
            for row, (bar,) in zip(one.rows, reading.settings, strict=True):
                assert bar.printing.walls * bar.printing.bead.width == pytest.approx(row.factors["wall"])
                assert bar.core.set_fill == row.factors["fill"]
                assert bar.test.is_pulled


def test_the_tubes_force_over_stress_is_one_tube_for_all():
    ratios = [
        float(one["fracture_force_n"]) / float(one["flexural_strength_mpa"])
        for one in read("kuznetsov_2018_interlayer_bend")
    ]
    assert len(ratios) == 20
    assert np.ptp(ratios) < 0.02 * np.mean(ratios)


def test_the_size_of_the_tube_does_not_enter_its_strength(tmp_path, monkeypatch):
    """Outer-fibre stresses are compared, so a tube half as large again is told alike; beads and wall kept."""
    values = []
    for outer in (12.0, 18.0):
        monkeypatch.setattr(tubes, "_OUTER", outer)
        monkeypatch.setattr(tubes, "_SPAN", 5 * outer)
        (one,) = tubes.series()
        asker = Asker(CellStore(tmp_path))
        (reading,) = [each for each in one.readings if each.name == "bead 1 nozzles wide, wall of 2 beads"]
        settings = reading.settings[12:13]
        (answer,) = asker.reading(type(reading)(reading.name, settings), one.quantity)
        values.append(answer.value)
    assert values[0] == pytest.approx(values[1], rel=0.03)


def test_one_short_series_runs_from_estimates_to_a_line(tmp_path):
    series = [one for one in SERIES if one.source.startswith("main_2025")]
    asker = Asker(CellStore(tmp_path))
    lines = score_all(series, asker)
    assert [one.results[0].estimate.settings for one in lines] == [3, 3]
    assert asker.refusals == {}
    # along the beads the bar is stiffest and strongest, across them softest and weakest, and so it is told
    assert all(one.results[0].estimate.rank == 1 for one in lines)


@pytest.mark.slow
def test_the_command_prints_the_ratios(capsys):
    assert main(["--only", "published ratios"]) == 0
    table = capsys.readouterr().out.splitlines()
    assert table[2].startswith("| published ratios: ratio | 14 |")
