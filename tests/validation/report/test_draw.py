"""Pictures: the same bytes each time, unique ids, words for those who do not see them, tones that hold in grey."""

import itertools
import re

import numpy as np
import pytest

from patterns.bead import Bead
from patterns.infill import infill_of
from patterns.outlines.layout import lay_out
from patterns.setting import Core, Printing, Specimen
from validation import cli
from validation.report.cell_drawing import cell_svg, period_vectors
from validation.report.drawings import LOOKS, draw_section, section_picture

BEAD = Bead(0.45, 0.2)
STUDY = """
title = "Invented bars"
invented = true
[specimen]
shape = "rectangle"
width_mm = 10.0
depth_mm = 6.0
length_mm = 60.0
[print]
orientation = "flat"
bead_width_mm = 0.5
walls = 2
[core]
pattern = "square"
set_fill = 0.3
[test]
kind = "three_point"
span_mm = 50.0
[vary]
"print.orientation" = ["flat", "on_edge", "upright"]
"""


@pytest.fixture
def study(tmp_path):
    path = tmp_path / "study.toml"
    path.write_text(STUDY, encoding="utf-8")
    return path


def layout(orientation="flat", specimen=None, **own):
    specimen = specimen or Specimen("rectangle", width=10, depth=6, length=60)
    return lay_out(specimen, Printing(orientation, BEAD, **own), Core("square", 0.3))


def test_cell_picture_is_written_the_same_each_time(tmp_path, capsys):
    words = ["draw", "cell", "square", "--set-fill", "0.3", "--bead-width", "0.45", "-o"]
    first, second = tmp_path / "a" / "cell.svg", tmp_path / "b" / "cell.svg"
    for path in (first, second):
        path.parent.mkdir()
        assert cli.main([*words, str(path)]) == 0
    assert first.read_bytes() == second.read_bytes()
    told = capsys.readouterr()
    assert told.out == ""
    assert "wrote" in told.err


def test_picture_carries_title_and_description(tmp_path):
    svg = cell_svg(Core("square", 0.3), BEAD, "one")
    assert "<title" in svg
    # 0.3 - 0.3^2/4 = 0.2775 of the plan (the area of crossing beads counted once), and 4 corners of radius r = w/4 in
    # each 3 mm cell add (4 - pi) r^2/9 = 0.0012.
    assert "They cover 27.9 % of the plan" in svg
    assert "Pitch 3 mm" in svg


def test_ids_of_two_pictures_never_meet():
    one, two = cell_svg(Core("square", 0.3), BEAD, "one"), cell_svg(Core("kagome", 0.3), BEAD, "two")
    ids = [set(re.findall(r'\bid="([^"]+)"', svg)) for svg in (one, two)]
    assert all(name.startswith("one-") for name in ids[0])
    assert not ids[0] & ids[1]
    for svg, known in zip((one, two), ids, strict=True):
        assert set(re.findall(r'href="#([^"]+)"', svg)) <= known
        assert set(re.findall(r"url\(#([^)]+)\)", svg)) <= known


@pytest.mark.parametrize(("number", "words"), [(1, "printed flat (XYZ)"), (2, "on edge"), (3, "from above")])
def test_section_of_each_setting_is_drawn(study, tmp_path, number, words):
    path = tmp_path / "section.svg"
    assert (
        cli.main(["draw", "section", str(study), "--setting", str(number), "-o", str(path), "--quiet"]) == 0
    )
    assert words in path.read_text(encoding="utf-8")


def test_section_as_png_of_a_changed_study(study, tmp_path, capsys):
    path = tmp_path / "section.png"
    changes = ["--with", "specimen.width_mm=4.2", "--with", "print.walls=4"]
    assert cli.main(["draw", "section", str(study), *changes, "-o", str(path)]) == 0
    assert path.read_bytes().startswith(b"\x89PNG")
    told = capsys.readouterr().err
    assert "note: drawing the first of 3 settings" in told
    assert "too narrow for a 0.5 mm bead" in told


@pytest.mark.parametrize(
    ("subject", "more", "message"),
    [
        ("squar", ["--set-fill", "0.3"], "did you mean 'square'"),
        ("square", ["--set-fill", "30"], "for 30 percent write 0.3"),
        ("square", [], "a fill is missing"),
        ("square", ["--set-fill", "0.3", "--seed", "1"], "square has no option --seed"),
        ("square", ["--set-fill", "0.3", "--angles", "0", "9"], "--angles belongs to alternating patterns"),
        ("concentric", ["--set-fill", "0.3"], "fillbend draw section"),
        ("square", ["--set-fill", "0.3", "-o", "x.pdf"], ".svg or .png"),
        ("square", ["--set-fill", "0.3", "--bead-width", "0.1"], "its flats would vanish"),
    ],
)
def test_wrong_words_about_a_cell_are_told_in_one_line(tmp_path, monkeypatch, capsys, subject, more, message):
    monkeypatch.chdir(tmp_path)
    assert cli.main(["draw", "cell", subject, "-o", "x.svg", "--bead-width", "0.45", *more]) == 2
    told = capsys.readouterr().err.strip().splitlines()
    assert len(told) == 1
    assert message in told[0]
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["cell", "square", "--set-fill", "0.3"], "--bead-width is missing"),
        (["section", "none.toml"], "no such study file"),
    ],
)
def test_missing_things_are_told_in_one_line(tmp_path, monkeypatch, capsys, words, message):
    monkeypatch.chdir(tmp_path)
    assert cli.main(["draw", *words, "-o", "x.svg"]) == 2
    told = capsys.readouterr().err.strip().splitlines()
    assert len(told) == 1
    assert message in told[0]
    assert list(tmp_path.iterdir()) == []


def test_a_setting_out_of_reach_is_refused(study, tmp_path, capsys):
    assert cli.main(["draw", "section", str(study), "--setting", "4", "-o", str(tmp_path / "x.svg")]) == 2
    assert "has settings 1 to 3" in capsys.readouterr().err


def test_section_has_true_aspect_and_holds_its_outline_scale_and_load():
    with section_picture(layout("upright")) as picture:
        (ax,) = picture.fig.axes
        assert ax.get_aspect() == 1
        low, high = ax.get_xlim()
        assert low < -5 < 5 < high
        assert {text.get_text() for text in ax.texts} >= {"2 mm", "load", "build\n(x, to you)"}
        assert (ax.get_xlabel(), ax.get_ylabel()) == ("y [mm]", "z [mm]")


@pytest.mark.parametrize(("angle", "place"), [(0, (0, 3)), (90, (-5, 0)), (180, (0, -3))])
def test_load_arrow_is_turned_about_the_beam(angle, place):
    from validation.report.style import figure

    with figure() as (_, ax):
        draw_section(ax, layout(), angle)
        (arrow,) = (text for text in ax.texts if text.get_text() == "load")
        assert arrow.xy == pytest.approx(place, abs=1e-9)


def test_load_arrow_meets_a_profile_that_is_open_towards_it():
    from validation.report.style import figure

    channel = ((0, 0), (16, 0), (16, 12), (12, 12), (12, 4), (4, 4), (4, 12), (0, 12))
    with figure() as (_, ax):
        draw_section(ax, layout("upright", Specimen("polygon", 16, 12, 60, points=channel)))
        (arrow,) = (text for text in ax.texts if text.get_text() == "load")
        # The ray from the centroid meets the channel's floor from below at z = 4, or its outermost place at z = 12.
        assert arrow.xy[0] == pytest.approx(8)


def test_shares_in_the_legend_add_up():
    with section_picture(layout()) as picture:
        (legend,) = picture.fig.legends
        labels = [text.get_text() for text in legend.get_texts()]
        assert legend.get_title().get_text() == "part, and its share of the section's area, voids included"
    assert sum(float(re.search(r"([\d.]+) %$", label)[1]) for label in labels) == pytest.approx(100, abs=0.15)


def test_parts_differ_in_grey_and_in_hatch():
    def lightness(colour):
        """CIE L* of an sRGB colour (IEC 61966-2-1, CIE 15)."""
        channel = np.array([int(colour[i : i + 2], 16) for i in (1, 3, 5)]) / 255
        linear = np.where(channel <= 0.04045, channel / 12.92, ((channel + 0.055) / 1.055) ** 2.4)
        return 116 * np.cbrt(linear @ [0.2126, 0.7152, 0.0722]) - 16

    tones = [lightness(LOOKS[role]["facecolor"]) for role in ("wall", "face", "core", "below")]
    assert min(abs(a - b) for a, b in itertools.combinations(tones, 2)) > 12
    hatches = [LOOKS[role].get("hatch") for role in ("wall", "face", "core", "remnant")]
    assert len(set(hatches)) == 4


def test_period_of_crossing_layers_joins_their_crossings():
    # Lines p = w/F = 1.5 mm apart at 0 and 60 degrees cross every p / sin 60 along each line.
    a, b = period_vectors(infill_of(Core("alternating", 0.3, angles_deg=(0.0, 60.0)), BEAD))
    step = 1.5 / np.sin(np.pi / 3)
    assert a == pytest.approx([step, 0])
    assert b == pytest.approx([step / 2, 1.5])
    assert period_vectors(infill_of(Core("alternating", 0.3, angles_deg=(0, 60, 120)), BEAD)) is None
