"""Figures of results drawn alone: every kind is known to the command and can be drawn from a study or its rows."""

from pathlib import Path

import pytest

from validation import cli
from validation.commands.draw import RESULTS
from validation.report.figures import FIGURES

DEMO = Path(__file__).parents[3] / "demos" / "shelf_arm" / "study.toml"


def test_the_command_names_every_figure():
    assert set(RESULTS) == set(FIGURES)


FILLED = "# mode: T tension | C crush\nset_fill,specimen,breaking_force_N,mode\n0.2,A1,120,T\n"


@pytest.mark.parametrize(
    ("name", "text", "told"),
    [
        ("filled.csv", FILLED, "a table of measured beams, not of a sweep or report; give the study"),
        ("odd.csv", "a,b\n1,2,3\n", "not a table of settings: more cells than columns at line 2"),
        ("odd.csv", "a,b\n1,2\n", "not a table of settings: no column setting, pattern, set_fill, mass_g"),
        ("latin.csv", "größe,b\n", "not UTF-8 text (byte 2)"),
    ],
)
def test_a_table_of_something_else_is_told_in_one_line(name, text, told, tmp_path, capsys):
    path = tmp_path / name
    path.write_text(text, encoding="latin-1")
    assert cli.main(["draw", "force", str(path), "-o", str(tmp_path / "x.svg")]) == 2
    assert capsys.readouterr().err == f"fillbend: {path}: {told}\n"


@pytest.mark.parametrize(
    ("what", "subject", "told"),
    [
        ("cell", "perch.toml", "`fillbend draw section perch.toml`"),
        ("force", "hexagonal", "`fillbend draw cell hexagonal`"),
        ("section", "square", "`fillbend draw cell square`"),
    ],
)
def test_a_pattern_for_a_study_and_a_study_for_a_pattern_are_told_apart(
    what, subject, told, tmp_path, capsys
):
    assert cli.main(["draw", what, subject, "-o", str(tmp_path / "x.svg")]) == 2
    (line,) = capsys.readouterr().err.splitlines()
    assert line.startswith(f"fillbend: {subject}: ")
    assert told in line


@pytest.mark.parametrize("kind", ["force", "shares", "modes"])
def test_figures_of_a_study_are_the_same_bytes_each_time(kind, tmp_path):
    changes = ["--with", "core.set_fill=0.3", "--with", "print.walls=2", "--quiet"]
    study = tmp_path / "study.toml"
    text = DEMO.read_text(encoding="utf-8").split("[measured]")[0]
    study.write_text(text.replace("[0.12, 0.20, 0.35, 0.50, 0.70, 0.90]", "[0.3, 0.5]"), encoding="utf-8")
    pictures = [tmp_path / name / "picture.svg" for name in ("one", "two")]
    for path in pictures:
        path.parent.mkdir()
        assert cli.main(["draw", kind, str(study), "-o", str(path), "--quiet"]) == 0
    assert pictures[0].read_bytes() == pictures[1].read_bytes()
    if kind == "force":  # one setting has no curve against anything
        assert cli.main(["draw", kind, str(study), "-o", str(tmp_path / "x.svg"), *changes]) == 2
        assert not (tmp_path / "x.svg").exists()


def test_the_fields_of_a_section_are_written_for_viewers(tmp_path):
    import meshio

    path = tmp_path / "section.vtu"
    assert cli.main(["draw", "section", str(DEMO), "-o", str(path), "--quiet"]) == 0
    fields = meshio.read(path)
    assert {"warping_T", "stress_My"} <= set(fields.point_data)
    # Under a unit My the axial stress grows with height and changes sign over the depth of 10 mm.
    axial = fields.point_data["stress_My"][:, 0]
    top = fields.points[:, 2] > 4.9
    assert axial[top].min() > 0
    assert axial[fields.points[:, 2] < -4.9].max() < 0
