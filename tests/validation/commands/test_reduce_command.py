"""``fillbend reduce`` as its users meet it: the JSON contract, tables, refusals one by one, profiles, figure."""

import hashlib
import json
import subprocess
import sys

import numpy as np
import pytest

from patterns.errors import DataError, InputError
from tests.validation.rig.torture_files import FOLDER, PEAK, SLOPE, record
from validation import cli
from validation.report.run_overlay import MOST_POINTS, run_overlay, thinned
from validation.rig.profile import load_profile
from validation.rig.reduce import reduce_file

PLAIN = str(FOLDER / "plain.csv")
SERVO = str(FOLDER / "servo_metadata_negative_tail.txt")
UNCLEAR = str(FOLDER / "ambiguous_1_234.csv")
BAR = [
    "--test",
    "three_point",
    "--span-mm",
    "64",
    "--shape",
    "rectangle",
    "--width-mm",
    "10",
    "--depth-mm",
    "4",
]
CONTRACT = {
    "file", "sha256", "points", "dropped", "units", "peak_force_N", "travel_at_peak_mm", "first_drop_force_N",
    "slope_N_per_mm", "slope_window", "energy_J", "apparent_strength_mpa", "apparent_modulus_mpa", "quality",
}  # fmt: skip


def told(capsys, *words: str) -> tuple[int, dict, str]:
    """Return status, JSON object and standard error of a run."""
    status = cli.main(["reduce", *words, "--json"])
    out, err = capsys.readouterr()
    return status, json.loads(out), err


def test_json_keeps_the_contract(capsys):
    status, data, _ = told(capsys, PLAIN, SERVO, *BAR)
    assert status == 0
    assert data["schema_version"] == 1
    for run, path in zip(data["runs"], (PLAIN, SERVO), strict=True):
        assert run.keys() >= CONTRACT
        assert run["file"] == path
        with open(path, "rb") as stream:
            assert run["sha256"] == hashlib.sha256(stream.read()).hexdigest()
        assert isinstance(run["points"], int)
        assert run["dropped"] == []
        assert run["peak_force_N"] == pytest.approx(PEAK, rel=1e-3)
        assert run["travel_at_peak_mm"] == pytest.approx(PEAK / SLOPE, rel=1e-3)
        # ISO 178: 3 F L/2 b h^2 and L^3 k/4 b h^3.
        assert run["apparent_strength_mpa"] == pytest.approx(1.5 * PEAK * 64 / 160, rel=1e-3)
        assert run["apparent_modulus_mpa"] == pytest.approx(64**3 * SLOPE / (4 * 10 * 4**3), rel=1e-3)
        assert run["moment_at_peak_N_mm"] == pytest.approx(PEAK * 16, rel=1e-3)
        # The triangle under the straight line.
        assert run["energy_J"] == pytest.approx(0.5 * PEAK**2 / SLOPE / 1000, rel=1e-3)
    assert [run["units"] for run in data["runs"]] == [
        {"force": "N", "travel": "mm"},
        {"force": "kN", "travel": "mm"},
    ]


def test_without_geometry_stresses_are_null(capsys):
    _, data, _ = told(capsys, PLAIN)
    (run,) = data["runs"]
    assert run["apparent_strength_mpa"] is None
    assert run["apparent_modulus_mpa"] is None
    assert run["moment_at_peak_N_mm"] is None
    assert run["slope_N_per_mm"] == pytest.approx(SLOPE, rel=1e-6)


def test_dropped_lines_have_line_and_reason(capsys):
    _, data, _ = told(capsys, str(FOLDER / "placeholders.csv"))
    dropped = data["runs"][0]["dropped"]
    assert [one["line"] for one in dropped] == [12, 16, 20, 24, 28]
    assert "---" in dropped[0]["reason"]
    assert dropped[0].keys() == {"line", "reason"}


def test_a_refused_file_is_one_line_and_the_others_go_on(capsys):
    status, data, err = told(capsys, UNCLEAR, PLAIN, str(FOLDER / "missing.csv"), str(FOLDER), "--quiet")
    assert status == 3
    assert [run["file"] for run in data["runs"]] == [PLAIN]
    assert [one["file"] for one in data["refused"]] == [UNCLEAR, str(FOLDER / "missing.csv"), str(FOLDER)]
    assert len(err.splitlines()) == 3
    assert "more than one way" in err
    assert "missing.csv: no such file; " in err
    assert "is a folder" in err


def test_table_shows_results_and_what_was_understood(capsys, monkeypatch):
    monkeypatch.setenv("COLUMNS", "300")
    assert cli.main(["reduce", SERVO, *BAR]) == 0
    out, err = capsys.readouterr()
    assert "200" in out
    assert "'Axial Force' in kN" in out
    assert "sign of force turned" in out
    assert "no material property" in out
    assert "safe" not in out + err
    assert "warning:" in err
    assert "crosshead_without_compliance" in err


def test_steps_are_shown_in_full_for_one_run_and_in_short_for_several(capsys, monkeypatch):
    monkeypatch.setenv("COLUMNS", "300")

    def steps(*files):
        assert cli.main(["reduce", *files, "--quiet"]) == 0
        out = capsys.readouterr().out
        return [line.split(":")[0].strip() for line in out.splitlines() if line.startswith("    ")], out

    one, text = steps(PLAIN)
    assert {"units", "contact", "toe", "slope", "peak"} <= set(one)
    assert "--json" not in text
    several, text = steps(PLAIN, PLAIN)
    assert several == 2 * ["sign", "end", "compliance", "slope"]
    assert text.rstrip().endswith("All steps of each run: --json, or one file at a time.")
    assert not set(steps(*5 * [PLAIN])[0]) & set(one)


def test_strict_refuses_guesses(capsys):
    status, data, err = told(capsys, SERVO, "--strict")
    assert status == 3
    assert data["runs"] == []
    assert "sign of force turned" in err
    assert told(capsys, PLAIN, "--strict")[0] == 0


def test_profile_settles_what_is_unclear(tmp_path, capsys):
    path = tmp_path / "run.txt"
    path.write_text(
        "".join(f"{u:.3f};{f / 1000:.5f}\n".replace(".", ",") for _, u, f in record()), encoding="utf-8"
    )
    assert told(capsys, str(path))[0] == 3
    profile = tmp_path / "rig.toml"
    profile.write_text(
        'name = "shop rig"\ncompliance_mm_per_N = 1e-3\n[columns]\nforce = 2\ntravel = 1\n'
        '[units]\nforce = "kN"\ntravel = "mm"\n[sign]\nforce = 1\ntravel = 1\n',
        encoding="utf-8",
    )
    status, data, _ = told(capsys, str(path), "--profile", str(profile), "--strict")
    assert status == 0
    (run,) = data["runs"]
    assert run["peak_force_N"] == pytest.approx(PEAK, rel=1e-6)
    # Springs in series.
    assert run["slope_N_per_mm"] == pytest.approx(1 / (1 / SLOPE - 1e-3), rel=1e-6)
    assert run["quality"] == ["undersampled_break"]


def test_profile_scales_counts_and_skips_lines(tmp_path, capsys):
    path = tmp_path / "counts.csv"
    rows = "".join(f"{round(f / 0.05)},{-round(u * 400)}\n" for _, u, f in record())
    path.write_text("9,9\n8,8\n" + rows, encoding="utf-8")
    profile = tmp_path / "rig.toml"
    profile.write_text(
        'skip = 2\ntravel_source = "beam"\n[columns]\nforce = 1\ntravel = 2\n[units]\nforce = "N"\ntravel = "mm"\n'
        "[scale]\nforce = 0.05\ntravel = 0.0025\n",
        encoding="utf-8",
    )
    _, data, _ = told(capsys, str(path), "--profile", str(profile))
    (run,) = data["runs"]
    assert run["points"] == len(record())
    assert run["peak_force_N"] == pytest.approx(PEAK, rel=1e-6)
    assert run["slope_N_per_mm"] == pytest.approx(SLOPE, rel=1e-6)
    assert "crosshead_without_compliance" not in run["quality"]


def test_profile_names_columns(tmp_path, capsys):
    path = tmp_path / "two.csv"
    path.write_bytes((FOLDER / "two_forces_unclear.csv").read_bytes())
    profile = tmp_path / "rig.toml"
    profile.write_text('[columns]\nforce = "load left"\n', encoding="utf-8")
    _, data, _ = told(capsys, str(path), "--profile", str(profile))
    assert data["runs"][0]["peak_force_N"] == pytest.approx(PEAK, rel=1e-6)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[column]\nforce = 1\n", "column: unknown key; did you mean columns?"),
        ('[units]\nforce = "kilo"\ntravel = "mm"\n', "'kilo' is no known unit of force"),
        ("[sign]\nforce = 2\n", "sign.force"),
        ("[scale]\nforce = -1.0\n", "scale.force: a scale is positive"),
        ('delimiter = "dash"\nskip = -1\n', "skip: "),
        ("[columns]\nforce = 0\n", "columns are counted from 1"),
        ("name = \n", "no valid TOML"),
    ],
)
def test_bad_profile_is_status_2_with_key_and_remedy(tmp_path, capsys, text, words):
    profile = tmp_path / "rig.toml"
    profile.write_text(text, encoding="utf-8")
    assert cli.main(["reduce", PLAIN, "--profile", str(profile)]) == 2
    err = capsys.readouterr().err
    assert words in err
    assert len(err.splitlines()) == 1


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["--span-mm", "64"], "--span-mm without --test"),
        (["--test", "three_point"], "needs --span-mm"),
        (["--test", "cantilever", "--span-mm", "64"], "does not go with cantilever"),
        (["--test", "four_point", "--span-mm", "64"], "needs --load-span-mm"),
        (["--test", "three_point", "--span-mm", "-5"], "span -5 mm"),
        (["--test", "three_point", "--span-mm", "64,80,96"], "3 values for 1 file:"),
        (["--test", "three_point", "--span-mm", "wide"], "no length in mm"),
        (["--compliance-mm-per-N", "-1"], "not between 0 and 1"),
        (["--figure", "runs.doc"], ".svg or .png"),
        (["--figure", "no/such/runs.svg"], "there is no folder 'no/such'"),
    ],
)
def test_wrong_usage_is_status_2(capsys, words, message):
    assert cli.main(["reduce", PLAIN, *words]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert message in err


def test_two_spans_take_bending_and_shear_apart(tmp_path, capsys):
    # Timoshenko: 1/k = L^3/48 EI + L/4 GA.
    EI, GA = 3e5, 2e4
    files = []
    for span in (60.0, 120.0):
        k = 1 / (span**3 / (48 * EI) + span / (4 * GA))
        path = tmp_path / f"span_{span:.0f}.csv"
        rows = (
            "".join(f"{0.02 * i:.4f},{max(0.0, k * 0.02 * (i - 20)):.5f}\n" for i in range(200)) + "4.0,0.1\n"
        )
        path.write_text("Deflection (mm),Load (N)\n" + rows, encoding="utf-8")
        files.append(str(path))
    words = [*files, "--test", "three_point", "--span-mm", "60,120"]
    _, data, _ = told(capsys, *words)
    assert data["split"]["EI_N_mm2"] == pytest.approx(EI, rel=1e-3)
    assert data["split"]["GA_N"] == pytest.approx(GA, rel=5e-3)
    assert data["split"]["condition"] > 1
    assert cli.main(["reduce", *words]) == 0
    assert "EI 3.000e+05" in capsys.readouterr().out.replace("300000", "3.000e+05").replace(
        "300,000", "3.000e+05"
    )


def test_figure_says_what_it_shows_and_keeps_its_bytes(tmp_path, capsys):
    written = []
    for folder in ("a", "b"):
        (tmp_path / folder).mkdir()
        path = tmp_path / folder / "runs.svg"
        assert cli.main(["reduce", PLAIN, SERVO, "--figure", str(path), "--quiet"]) == 0
        written.append(path.read_bytes())
    assert b"2 runs, peaks 200 to 200 N" in written[0]
    assert written[0] == written[1]


def test_overlay_thins_long_runs_without_losing_the_peak():
    picture = run_overlay(reduce_file(FOLDER / "first_crack_before_peak.csv"))
    assert picture is not None
    assert "first drop" in picture.description
    force = np.zeros(1_000_000)
    force[654_321] = 7.0
    kept = thinned(force, slice(0, len(force)))
    assert len(kept) <= MOST_POINTS
    assert 654_321 in kept


def test_force_only_runs_draw_nothing():
    assert run_overlay(reduce_file(FOLDER / "force_only_hanging_masses.csv")) is None


def test_help_imports_no_numbers():
    code = "import sys; from validation.cli import main; main(['reduce', '--help']); print('numpy' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "False"


def test_a_missing_file_is_told_with_the_nearest_name(tmp_path, capsys):
    (tmp_path / "run_1.csv").write_text("", encoding="utf-8")
    assert cli.main(["reduce", str(tmp_path / "run1.csv"), str(tmp_path / "run_1.csv")]) == 3
    missing, empty = capsys.readouterr().err.splitlines()
    assert missing.endswith(f"no such file; did you mean {tmp_path / 'run_1.csv'}?")
    assert empty.endswith("is empty; export the record from the rig again")


def test_unknown_unit_of_a_profile_lists_the_known_ones(tmp_path):
    profile = tmp_path / "rig.toml"
    profile.write_text('[units]\nforce = "stone"\n')
    with pytest.raises(InputError, match=r"'stone' is no known unit of force \(N, kN, "):
        load_profile(profile)


def test_one_of_two_forces_in_proportion_is_told_as_a_guess(tmp_path):
    rows = "".join(f"{0.02 * k:.2f},{2.0 * k:.1f},{3.0 * k:.1f}\n" for k in range(60))
    table = tmp_path / "two.csv"
    table.write_text("Travel (mm),Force A (N),Force B (N)\n" + rows)
    (run,) = reduce_file(table)
    assert any("force is 'Force A" in guess and "Force B" in guess for guess in run.guesses)
    with pytest.raises(DataError, match="strict"):
        reduce_file(table, strict=True)


def test_three_rows_of_one_sense_are_not_told_as_both_ways(tmp_path):
    table = tmp_path / "three.csv"
    table.write_text("Travel (mm),Force (N)\n0,0\n1,30\n2,60\n")
    (run,) = reduce_file(table)
    assert "force_both_ways" not in [doubt.flag for doubt in run.warnings]


def test_width_and_depth_without_a_shape_are_taken_as_a_rectangle_and_told(capsys):
    sizes = ["--test", "three_point", "--span-mm", "64", "--width-mm", "10", "--depth-mm", "4"]
    _, data, err = told(capsys, PLAIN, *sizes)
    assert data["runs"][0]["apparent_strength_mpa"] == pytest.approx(1.5 * PEAK * 64 / 160, rel=1e-3)
    assert "without --shape: taken as a rectangle" in err
    _, data, err = told(capsys, PLAIN, *sizes[:-2])
    assert data["runs"][0]["apparent_strength_mpa"] is None
    assert "no apparent stress or modulus without --depth-mm" in err


def test_a_blank_run_is_taken_off(tmp_path, capsys):
    # A rig of 1e-3 mm/N, straight: springs in series.
    blank = tmp_path / "blank.csv"
    rows = "".join(f"{1e-3 * f:.5f},{f:.2f}\n" for f in np.linspace(0, 250, 400))
    blank.write_text("Travel (mm),Load (N)\n" + rows, encoding="utf-8")
    status, data, _ = told(capsys, PLAIN, "--blank", str(blank))
    assert status == 0
    assert data["runs"][0]["slope_N_per_mm"] == pytest.approx(1 / (1 / SLOPE - 1e-3), rel=2e-3)
    assert "crosshead_without_compliance" not in data["runs"][0]["quality"]
    assert cli.main(["reduce", PLAIN, "--blank", str(blank), "--compliance-mm-per-N", "0.001"]) == 2
    assert "keep one" in capsys.readouterr().err
    assert cli.main(["reduce", PLAIN, "--blank", str(tmp_path / "none.csv")]) == 3


def test_a_refusal_shows_an_example_of_the_file_itself(tmp_path, capsys):
    path = tmp_path / "one.csv"
    path.write_text("".join(f"{k * 1.5:.2f}\n" for k in range(40)), encoding="utf-8")
    assert "[columns] force = 1 and" in told(capsys, str(path))[2]
    path.write_text("Stress (MPa),Strain (%)\n" + "1.5,0.1\n" * 40, encoding="utf-8")
    assert '[columns] force = "Stress (MPa)"' in told(capsys, str(path))[2]
