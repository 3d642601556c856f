"""Measured beside estimated: the statistics of a row, the commands' contract, and what happens without measurements."""

import json
import shutil
from pathlib import Path

import pytest

from validation import cli
from validation.measured.reconcile import Sample

STUDY = Path(__file__).parents[3] / "demos" / "shelf_arm" / "study.toml"


@pytest.fixture(autouse=True)
def own_cache(tmp_path_factory, monkeypatch):
    monkeypatch.setenv("FILLBEND_CACHE", str(tmp_path_factory.getbasetemp() / "cells"))


@pytest.fixture
def small(tmp_path):
    """Two settings with a few beams of the demo, to be quick."""
    text = STUDY.read_text(encoding="utf-8").replace("[0.12, 0.20, 0.35, 0.50, 0.70, 0.90]", "[0.35, 0.50]")
    (tmp_path / "study.toml").write_text(text, encoding="utf-8")
    rows = (STUDY.parent / "specimens.csv").read_text(encoding="utf-8").splitlines()
    kept = [row for row in rows if row.startswith(("#", "set_fill", "0.35", "0.50"))]
    (tmp_path / "specimens.csv").write_text("\n".join(kept) + "\n", encoding="utf-8")
    return tmp_path / "study.toml"


def test_mean_sd_and_interval_of_three_repeats():
    # ISO 2602: mean +- t(0.975, n - 1) s/sqrt(n); t(0.975, 2) = 4.3027.
    sample = Sample.of([100.0, 104.0, 96.0])
    assert (sample.n, sample.mean, sample.sd) == (3, 100.0, 4.0)
    assert sample.interval.high - 100 == pytest.approx(4.3027 * 4 / 3**0.5, rel=1e-4)


def test_one_beam_has_no_interval_and_none_is_none():
    assert Sample.of([5.0]).interval is None
    assert Sample.of([]) is None


def test_reconcile_json_holds_the_contract(small, capsys):
    assert cli.main(["reconcile", str(small), "--json", "--quiet"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["schema_version"] == 1
    assert told["invented"] is True
    first, second = told["settings"]
    assert second["measured"]["breaking_force_N"]["n"] == 4  # five beams, one excluded
    assert [row["specimen"] for row in told["excluded"]] == ["D4"]
    ratio = first["measured"]["breaking_force_N"]["mean"] / first["breaking_force_N"]["best"]
    assert first["measured_over_estimated"]["breaking_force"] == pytest.approx(ratio)
    for key in (
        "stiffness_N_per_mm",
        "EI_N_mm2",
        "GA_N",
        "GJ_N_mm2",
        "breaking_force_N",
        "mass_g",
        "print_time_min",
    ):
        band = first[key]
        assert 0 < band["low"] <= band["best"] <= band["high"]
    assert set(first["modes_N"]) == {
        "face_tension", "wall_tension", "weld_tension", "strut_tension", "core_shear", "wrinkling", "dimpling", "crush",
    }  # fmt: skip
    assert first["fill"]["geometric"] < first["fill"]["set"]


def test_forces_of_another_unit_are_remarked(small, capsys):
    table = small.parent / "specimens.csv"
    table.write_text(
        table.read_text(encoding="utf-8").replace("breaking_force_N", "breaking_force_kN"), "utf-8"
    )
    assert cli.main(["reconcile", str(small)]) == 0
    told = capsys.readouterr().err
    assert "note: measured breaking force is" in told
    assert "N and kN taken for each other" in told


def test_reconcile_table_shows_cautions_and_never_promises(small, capsys):
    assert cli.main(["reconcile", str(small)]) == 0
    told = capsys.readouterr().out
    assert "eye protection" in told
    assert "invented" in told
    assert "safe" not in told.lower()


@pytest.mark.parametrize(("share", "status"), [("0.9", 0), ("0.0001", 1)])
def test_check_sets_the_status(small, share, status):
    assert cli.main(["reconcile", str(small), "--quiet", "--check", share]) == status


def test_without_measurements_estimate_works_and_reconcile_says_what_is_missing(small, capsys):
    text = small.read_text(encoding="utf-8").split("[measured]")[0]
    small.write_text(text, encoding="utf-8")
    assert cli.main(["estimate", str(small), "--json", "--quiet"]) == 0
    assert len(json.loads(capsys.readouterr().out)["estimates"]) == 2
    assert cli.main(["reconcile", str(small)]) == 3
    assert "add [measured]" in capsys.readouterr().err


def test_a_bad_table_is_status_3_and_a_bad_study_status_2(small, capsys):
    (small.parent / "specimens.csv").write_text("set_fill,breaking_force_N\n0.35,-4\n", encoding="utf-8")
    assert cli.main(["reconcile", str(small)]) == 3
    assert "specimens.csv:2: breaking_force_N: -4 must be positive" in capsys.readouterr().err
    small.write_text(small.read_text(encoding="utf-8").replace("walls = 2", "walls = 40"), encoding="utf-8")
    assert cli.main(["estimate", str(small)]) == 2
    told = capsys.readouterr().err
    assert "Traceback" not in told
    assert "wall" in told


def test_a_report_is_written_whole_or_not_at_all(small, tmp_path, capsys):
    target = tmp_path / "none" / "report.html"
    assert cli.main(["report", str(small), "-o", str(target), "--quiet"]) == 2
    assert "there is no folder" in capsys.readouterr().err
    page = tmp_path / "report.html"
    assert cli.main(["report", str(small), "-o", str(page), "--quiet"]) == 0
    text = page.read_text(encoding="utf-8")
    assert text.count("<svg") >= 3
    assert "Invented" in text
    assert [path.name for path in tmp_path.glob("*.tmp")] == []


def test_values_set_on_the_command_line(small, capsys):
    assert cli.main(["estimate", str(small), "--json", "--quiet", "--with", "core.set_fill=0.4"]) == 0
    (row,) = json.loads(capsys.readouterr().out)["estimates"]
    assert row["setting"]["set_fill"] == 0.4
    assert cli.main(["estimate", str(small), "--with", "core.set_fil=0.4"]) == 2


def test_the_demo_stands_alone(tmp_path):
    copy = shutil.copytree(STUDY.parent, tmp_path / "copy")
    assert {path.name for path in copy.iterdir()} >= {"study.toml", "specimens.csv"}
    assert "invented" in (copy / "specimens.csv").read_text(encoding="utf-8").splitlines()[0].lower()


def test_the_page_explains_a_series_that_is_long_enough(tmp_path):
    page = tmp_path / "report.html"
    assert cli.main(["report", str(STUDY), "-o", str(page), "--quiet"]) == 0
    text = page.read_text(encoding="utf-8")
    assert "Steps and their causes" in text
    assert "no step or kink found" in text  # the invented force rises smoothly
