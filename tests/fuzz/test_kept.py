"""What drawn files once ended badly on, each as small as it can be: one line with what and where, and the status."""

from pathlib import Path

import pytest

from tests.fuzz.judge import fault
from validation import cli

RUN = "Time (s),Load (N),Travel (mm)\n" + "".join(f"{i},{i * 10},{i * 0.2:.1f}\n" for i in range(20))
STUDY = """\
title = "Bars"
specimen = { SPECIMEN, length_mm = 60.0 }
core = { pattern = "square", set_fill = 0.3 }
test = { kind = "three_point", span_mm = 50.0 }
material = { MATERIAL }
"""
ABOUT = '[about]\ncard = "PLA"\nstudy = "s"\nbeams = 3\nrecord = {}\n[values]\n'
HEAD = '<svg xmlns="http://www.w3.org/2000/svg" width="WIDTH" viewBox="0 0 40 40"><path d="'
END = '"/></svg>'


def told(folder: Path, capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str]:
    """Return the status and the one line of a command that refuses what stands in the folder."""
    status = cli.main([*(word.replace("@", str(folder)) for word in words), "--quiet"])
    err = capsys.readouterr().err
    assert not fault(status, err), err
    assert len(err.splitlines()) == 1, err
    return status, err


def study(
    folder: Path, specimen: str = "width_mm = 6.0, depth_mm = 5.0", material: str = 'card = "PLA"'
) -> None:
    text = STUDY.replace("SPECIMEN", specimen).replace("MATERIAL", material)
    (folder / "study.toml").write_text(text, encoding="utf-8")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[about]\n[values]\n", "about.card"),
        (ABOUT.replace("record = {}", "record = [1]"), "about.record"),
        (ABOUT.replace("beams = 3\n", ""), "about.beams"),
        (ABOUT + "young_mpa = 3\n", "values.young_mpa"),
        (ABOUT + "young_mpa = { low = 1.0 }\n", "values.young_mpa.best"),
        (
            ABOUT + 'young_mpa = { best = "../x", low = 1, high = 2, basis = "bead" }\n',
            "values.young_mpa.best",
        ),
        (
            ABOUT + 'young_mpa = { best = 1e300, low = 1, high = [2], basis = "bead" }\n',
            "values.young_mpa.high",
        ),
        (ABOUT + 'poisson = { best = nan, low = 1, high = 2, basis = "bead" }\n', "values.poisson.best"),
        (ABOUT + f"young_mpa = 1{'0' * 5000}\n", "digits"),
        (f"a = {'[' * 5000}", "not a file of"),
    ],
)
def test_learned_values_that_calibrate_never_wrote(tmp_path, capsys, text, words):
    (tmp_path / "learned.toml").write_text(text, encoding="utf-8")
    study(tmp_path, material='learned = "learned.toml"')
    status, line = told(tmp_path, capsys, "estimate", "@/study.toml")
    assert status == 2
    assert words in line


def test_lists_that_make_more_settings_than_memory_holds(tmp_path, capsys):
    study(tmp_path)
    lists = "\n".join(
        f'"{key}" = {list(range(1, 101))}' for key in ("print.walls", "core.angle_deg", "core.phase")
    )
    with (tmp_path / "study.toml").open("a", encoding="utf-8") as stream:
        stream.write(f"[vary]\n{lists}\n")
    status, line = told(tmp_path, capsys, "estimate", "@/study.toml")
    assert status == 2
    assert "vary: makes 1000000 settings; at most 20000" in line


@pytest.mark.parametrize("name", ["/dev/zero", ".", "pipe"])
def test_learned_values_from_what_is_no_file(tmp_path, capsys, name):
    study(tmp_path, material=f'learned = "{name}"')
    if name == "pipe":
        (tmp_path / name).symlink_to("/dev/zero")
    assert told(tmp_path, capsys, "estimate", "@/study.toml")[0] == 2


@pytest.mark.parametrize(
    ("width", "data", "words"),
    [
        ("0mm", "M0 0H8V6Z", "no drawing of a section"),
        ("1e300mm", "M0 0H8V6Z", "no drawing of a section"),
        ("-4mm", "M0 0H8V6Z", "no drawing of a section"),
        ("40mm", "M0 0C1e400 0 8 8 0 8Z", "beyond any section"),
        ("40mm", "M0 0L1e18 0L0 8Z", "beyond any section"),
        ("40mm", "M0 0A1e9 1e-2 0 0 1 8e8 3 L0 9Z", "chords"),
        ("40mm", "M0 0Q5e8 5e8 0 8Z", "chords"),
        ("40mm", "M0 0H500V8Z", "at most 300 mm"),
        ("40mm", "M0 0" + "H8V8H0V0" * 1300 + "Z", "at most 5000"),
    ],
)
def test_drawings_of_no_section(tmp_path, capsys, width, data, words):
    (tmp_path / "section.svg").write_text(HEAD.replace("WIDTH", width) + data + END, encoding="utf-8")
    study(tmp_path, 'shape = "polygon", outline = "section.svg"')
    status, line = told(tmp_path, capsys, "estimate", "@/study.toml")
    assert status == 2
    assert words in line


@pytest.mark.parametrize("data", ["M0 0A1e-320 5 0 0 1 8 0V8Z", "M0 0A5 5 0 0 1 1e-300 0 L8 0 V8Z"])
def test_an_arc_of_no_radius_or_no_length_is_a_line(tmp_path, data):
    from patterns.outlines.svg_path import rings

    (ring,) = rings(data, 1e-3)
    assert len(ring) == 3


@pytest.mark.parametrize("name", ["rot13", "base64", "hex", "idna", "punycode", "undefined", "mbcs", "x", ""])
def test_profiles_that_name_an_encoding_of_no_text(tmp_path, capsys, name):
    (tmp_path / "run.csv").write_text(RUN, encoding="utf-8")
    (tmp_path / "p.toml").write_text(f'encoding = "{name}"\n', encoding="utf-8")
    status, line = told(tmp_path, capsys, "reduce", "@/run.csv", "--profile", "@/p.toml")
    assert status == 2
    assert "no known encoding" in line


def test_a_profile_whose_encoding_begins_with_a_mark_that_the_file_lacks(tmp_path, capsys):
    (tmp_path / "run.csv").write_text(RUN, encoding="utf-8")
    (tmp_path / "p.toml").write_text('encoding = "utf-16"\n', encoding="utf-8")
    status, line = told(tmp_path, capsys, "reduce", "@/run.csv", "--profile", "@/p.toml")
    assert status == 3
    assert "no utf-16 text" in line
