"""The command line as a stranger meets it: help, exit statuses, one-line errors, nothing written half."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from patterns.catalogue import CATALOGUE
from patterns.errors import InputError
from validation import cli
from validation.text.numbers import significant
from validation.text.output import to_json, write_atomically
from validation.text.screen import print_table

ROOT = Path(__file__).parents[3]
PRESENT = [name for name in cli.COMMANDS if (ROOT / "validation" / "commands" / f"{name}.py").exists()]


@pytest.mark.parametrize("name", PRESENT)
def test_every_command_shows_help_with_an_example(name, capsys):
    assert cli.main([name, "--help"]) == 0
    told = capsys.readouterr().out
    assert f"fillbend {name}" in told
    assert "example" in told


def test_every_command_file_is_listed():
    files = (ROOT / "validation" / "commands").glob("*.py")
    commands = {path.stem for path in files if "\ndef run(" in path.read_text(encoding="utf-8")}
    assert commands == set(cli.COMMANDS)


@pytest.mark.parametrize("words", [["--version"], ["--help"]])
def test_help_and_version_are_fine(words):
    assert cli.main(words) == 0


@pytest.mark.parametrize("words", [[], ["nothing"], ["estimate"], ["estimate", "none.toml"]])
def test_wrong_usage_is_status_2_without_traceback(words, capsys):
    assert cli.main(words) == 2
    assert "Traceback" not in capsys.readouterr().err


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ([], "fillbend: the following arguments are required: COMMAND (see fillbend --help)"),
        (
            ["estimte", "s.toml"],
            "fillbend: 'estimte' is no command; did you mean estimate? (see fillbend --help)",
        ),
        (["estimate"], "the following arguments are required: STUDY.toml (see fillbend estimate --help)"),
        (["estimate", "s.toml", "--jsn"], "fillbend estimate: --jsn is not known here; did you mean --json?"),
        (
            ["estimate", "s.toml", "--jsn=1"],
            "fillbend estimate: --jsn is not known here; did you mean --json?",
        ),
        (
            ["estimate", "s.toml", "-o"],
            "fillbend estimate: -o is not known here (see fillbend estimate --help)",
        ),
        (
            ["estimate", "s.toml", "t.toml"],
            "fillbend estimate: t.toml is not known here (see fillbend estimate --help)",
        ),
        (["draw", "cels", "s.toml", "-o", "a.svg"], "fillbend draw: 'cels' is no what; did you mean cell?"),
        (["reduce", "a.csv", "--test", "bending"], "known are three_point, cantilever, four_point, tension"),
        (
            ["sweep", "s.toml", "-o", "s.csv", "--workers", "two"],
            "--workers takes a whole number in digits, not 'two' (see fillbend sweep --help)",
        ),
        (["choose", "s.toml", "--load-N", "120N"], "--load-N takes a plain number, as 120, not '120N'"),
        (["choose", "s.toml", "--load-N", "1,5"], "--load-N takes a plain number, as 1.5, not '1,5'"),
        (
            ["report", "s.toml", "-o", "r.html", "--check", "10%"],
            "--check takes a plain number, as 0.1, not '10%'",
        ),
        (["plan", "s.toml", "--repeats", "2.5"], "--repeats takes a whole number, as 2, not '2.5'"),
    ],
)
def test_a_slip_of_usage_is_one_line_with_the_nearest_word_and_the_help(words, told, capsys):
    assert cli.main(words) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert told in line


def test_a_shadowing_package_is_told_in_one_line(tmp_path):
    (tmp_path / "patterns").mkdir()
    (tmp_path / "patterns" / "__init__.py").write_text("", encoding="utf-8")
    code = f"import sys; sys.path.append({str(ROOT)!r}); from validation.cli import main; sys.exit(main(['--version']))"
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=tmp_path, capture_output=True, text=True, check=False,
        env={"PYTHONPATH": str(tmp_path)},
    )  # fmt: skip
    assert done.returncode == 2
    assert len(done.stderr.splitlines()) == 1
    assert "is not fillbend's" in done.stderr


def test_interrupt_is_status_130(monkeypatch, capsys):
    import validation.commands.init as command

    def interrupted(args):
        raise KeyboardInterrupt

    monkeypatch.setattr(command, "run", interrupted)
    assert cli.main(["init"]) == 130
    assert capsys.readouterr().err == "fillbend: interrupted\n"


def test_every_problem_of_a_study_is_a_line_of_its_own_with_the_programs_name(tmp_path, capsys):
    path = tmp_path / "study.toml"
    assert cli.main(["init", "-o", str(tmp_path)]) == 0
    text = (
        path.read_text(encoding="utf-8").replace("width_mm = 16.0", "width_mm = -1").replace("walls", "wals")
    )
    path.write_text(text, encoding="utf-8")
    capsys.readouterr()
    assert cli.main(["estimate", str(path)]) == 2
    lines = capsys.readouterr().err.splitlines()
    assert len(lines) == 2
    assert all(line.startswith(f"fillbend: {path}: ") for line in lines)


def test_an_unexpected_error_is_one_line_and_a_trace_only_for_debug(monkeypatch, capsys):
    import validation.commands.init as command

    def broken(args):
        raise KeyError("one\ntwo")

    monkeypatch.setattr(command, "run", broken)
    assert cli.main(["init"]) == 4
    told = capsys.readouterr().err
    assert told == "fillbend: unexpected KeyError: 'one\\ntwo'; run again with --debug for the trace\n"
    assert cli.main(["init", "--debug"]) == 4
    told = capsys.readouterr().err
    assert told.startswith("Traceback")
    assert told.endswith("\nfillbend: unexpected KeyError: 'one\\ntwo'\n")


@pytest.mark.parametrize("shape", ["rectangle", "round", "tube", "polygon"])
@pytest.mark.parametrize("test", ["three_point", "four_point", "cantilever", "tension"])
def test_init_writes_a_study_that_loads_for_every_shape_and_test(shape, test, tmp_path, capsys):
    from validation.study.study import load

    folder = tmp_path / "mine"
    assert cli.main(["init", "--shape", shape, "--test", test, "-o", str(folder)]) == 0
    told = capsys.readouterr().err.splitlines()
    study = load(folder / "study.toml")
    assert (study.table.specimen.shape, study.table.test.kind, len(study.settings)) == (shape, test, 4)
    # nothing to remark on a study that nobody has changed
    assert [text for named in study.settings for text in named.setting.test.check(10.0)] == []
    assert [line.split()[:2] for line in told[1:]] == [
        ["fillbend", "estimate"], ["fillbend", "report"], ["fillbend", "plan"],
    ]  # fmt: skip
    mine = (folder / "study.toml").read_bytes()
    assert cli.main(["init", "-o", str(folder)]) == 2
    assert (folder / "study.toml").read_bytes() == mine
    assert "is there already" in capsys.readouterr().err


@pytest.mark.parametrize("pattern", sorted(CATALOGUE))
def test_init_writes_a_study_and_a_table_for_every_pattern(pattern, tmp_path):
    from validation.measured.manifest import survey
    from validation.study.study import load

    assert cli.main(["init", "--pattern", pattern, "-o", str(tmp_path), "--quiet"]) == 0
    study = load(tmp_path / "study.toml")
    assert {named.setting.core.pattern for named in study.settings} == {pattern}
    varied = [key.split(".")[-1] for key in study.settings[0].keys]
    manifest, _ = survey(study.specimens_path, varied)
    assert set(varied) | {"breaking_force", "stiffness", "mass", "mode"} <= set(manifest.columns.values())


def test_keys_tell_unit_default_and_meaning_of_every_key(capsys):
    from validation.study.study_keys import study_keys

    keys = {key.name: key for key in study_keys()}
    assert (keys["print.bead_width_mm"].unit, keys["print.bead_width_mm"].default) == ("mm", "0.45")
    assert [key.name for key in keys.values() if not key.meaning] == []
    assert cli.main(["keys", "core"]) == 0
    told = capsys.readouterr().out
    assert told.startswith("[core]\n")
    assert "set_fill" in told
    assert "specimen" not in told
    assert cli.main(["keys", "cor"]) == 2
    assert "did you mean core?" in capsys.readouterr().err


def test_files_are_written_whole_or_not_at_all(tmp_path):
    path = tmp_path / "result.txt"
    write_atomically(path, "one")
    with pytest.raises(TypeError):
        write_atomically(path, object())  # type: ignore[arg-type]
    with pytest.raises(InputError, match=f"there is no folder '{tmp_path / 'none'}'; make it first"):
        write_atomically(tmp_path / "none" / "result.txt", "two")
    with pytest.raises(InputError, match="it is a folder; name a file in it"):
        write_atomically(tmp_path, "two")
    with pytest.raises(InputError, match=r"/sys/result\.txt: cannot be written: [A-Z]"):
        write_atomically(Path("/sys/result.txt"), "two")
    assert path.read_text(encoding="utf-8") == "one"
    assert [item.name for item in tmp_path.iterdir()] == ["result.txt"]


@pytest.mark.parametrize(
    "words",
    [
        ["sweep", "study.toml", "-o", "no/such.csv"],
        ["report", "study.toml", "-o", "no/such.html"],
        ["draw", "section", "study.toml", "-o", "no/such.svg"],
        ["cell", "square", "--set-fill", "0.3", "--bead-width", "0.45", "--picture", "no/such.svg"],
        ["reduce", "run.csv", "--figure", "no/such.svg"],
    ],
)
def test_a_missing_folder_is_told_in_one_line_before_any_work(words, capsys):
    assert cli.main(words) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert line.startswith("fillbend: no/such.")
    assert "there is no folder 'no'; make it first" in line


def test_a_plan_wants_a_folder(tmp_path, capsys):
    study, taken = tmp_path / "study.toml", tmp_path / "plan.txt"
    taken.write_text("mine", encoding="utf-8")
    assert cli.main(["init", "-o", str(tmp_path), "--quiet"]) == 0
    assert cli.main(["plan", str(study), "-o", str(taken)]) == 2
    told = capsys.readouterr().err
    assert told == f"fillbend: -o {taken}: is a file; give a folder for the sheet and the table\n"


def test_undefined_numbers_become_null():
    assert json.loads(to_json({"a": float("nan"), "b": (1.5, None)})) == {
        "schema_version": 1,
        "a": None,
        "b": [1.5, None],
    }


def test_columns_of_words_stand_to_the_left(capsys):
    print_table(
        "", ["value", "best", "evidence"], [["a", "1", "x"], ["b", "10", "a long reason"]], words=["evidence"]
    )
    rows = [line.rstrip() for line in capsys.readouterr().out.splitlines()][-2:]
    assert rows == ["a         1  x", "b        10  a long reason"]


@pytest.mark.parametrize(
    ("value", "told"),
    [(1234.5, "1230"), (0.01234, "0.0123"), (99.96, "100"), (0.0, "0"), (None, "-"), (1e9, "1.00e+09")],
)
def test_numbers_keep_three_digits(value, told):
    assert significant(value) == told
