"""Settings that cannot be printed or bent, and settings that need a word: one clear line each, through the estimate."""

from dataclasses import replace

import numpy as np
import pytest

from fem.bending.bending import BendTest
from fem.estimation import estimate
from fem.material.cards import card_from, shipped_card
from fem.setting import Setting
from patterns.bead import Bead
from patterns.errors import InputError
from patterns.remark import Remark
from patterns.setting import Core, Printing, Specimen
from validation import cli

BAR = Setting(
    Specimen("rectangle", 10.0, 8.0, 120.0),
    Printing("flat", Bead(0.5, 0.2), walls=2),
    Core("square", 0.3),
    BendTest("three_point", span=100.0),
    shipped_card("PLA"),
)
BOW_TIE = Specimen("polygon", 10.0, 8.0, 120.0, points=((0, 0), (10, 8), (10, 0), (0, 8)))
BARE = {"walls": 0, "bottom_layers": 0, "top_layers": 0}


def made(**changed):
    """Return the bar with print choices or whole parts changed."""
    parts = {name: changed.pop(name) for name in ("specimen", "core", "test") if name in changed}
    return replace(BAR, printing=replace(BAR.printing, **changed), **parts)


@pytest.mark.parametrize(
    ("setting", "words"),
    [
        (made(specimen=BOW_TIE), r"crosses itself at \(y, z\) = \(5, 4\) mm; reorder or move its corners"),
        (made(specimen=Specimen("rectangle", 0.9, 8.0, 120.0)), r"smaller than two beads of 0.5 mm .* larger or finer"),
        (
            made(specimen=Specimen("rectangle", 0.9, 8.0, 120.0), orientation="upright"),
            "thinner than two beads of 0.5 mm",
        ),
        (made(walls=11), "walls 11: only 10 of 0.5 mm fit .* use at most 10"),
        (made(**BARE, core=Core("square", 0.0)), "walls 0, no face layers and set fill 0: .* give walls"),
        (made(**BARE, core=Core("square", 0.0), orientation="upright"), "walls 0, faces are end caps and set fill 0"),
        (made(**BARE, core=Core("parallel", 0.3)), "of parallel carry nothing .* set walls and face layers"),
        (made(**BARE, core=Core("parallel", 0.3, angle_deg=45.0)), "set walls and face layers above 0"),
        (made(walls=0, core=Core("parallel", 0.3)), "set walls above 0"),
        (made(bottom_layers=0, top_layers=0, core=Core("parallel", 0.3)), "set face layers above 0"),
        (made(**BARE, core=Core("parallel", 0.3), orientation="upright"), "set walls above 0"),
        (made(core=Core("square", 1.2)), "set fill is 1.2, but .* fractions of one: for 1.2 percent write 0.012"),
        (made(core=Core("square", -0.1)), "fraction above 0 and at most 1"),
        (made(**BARE, core=Core("concentric", 0.3), orientation="upright"), "of concentric carry nothing"),
        (made(test=BendTest("cantilever", lever=8.0)), "lever 8 mm is 1 times the depth 8 mm; .* at least 12 mm"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_in_one_line(setting, words):
    with pytest.raises(InputError, match=words) as error:
        estimate(setting)
    assert "\n" not in str(error.value)


@pytest.mark.parametrize(
    ("value", "words"),
    [
        ({"young_mpa": -5.0}, "young_mpa: -5 to -5 leaves the possible range 0 to inf"),
        ({"across_bead_ratio": 0.0}, "across_bead_ratio: 0 to 0 leaves"),
        ({"poisson": 0.6}, "poisson: 0.6 to 0.6 leaves the possible range -1 to 0.5; .* not positive"),
        ({"poisson": {"best": 0.4, "high": 0.5}}, "0.4 to 0.5 leaves"),
        ({"poisson": {"best": -0.9, "low": -1.1}}, "-1.1 to -0.9 leaves"),
        ({"young_mpa": float("nan")}, "not in rising order"),
    ],
)
def test_unphysical_card_values_are_refused_in_one_line(value, words):
    with pytest.raises(InputError, match=words) as error:
        card_from(value, "material", BAR.card)
    assert "\n" not in str(error.value)


@pytest.mark.parametrize(
    ("setting", "told"),
    [
        # walls that fill the section may be meant: told, not refused
        (made(walls=10), Remark.of("no_core_left")),
        (made(walls=8, orientation="upright"), Remark.of("no_core_left")),
        # a lever of three depths: 0.174/(2 x 3) = 2.9 % of the stress
        (
            made(test=BendTest("cantilever", lever=24.0)),
            Remark.of(
                "short_beam",
                test="cantilever",
                reach=24.0,
                depth=8.0,
                missed_share=pytest.approx(0.029, rel=0.01),
            ),
        ),
        # faces of 0.8 mm with nothing between them
        (made(walls=0, core=Core("square", 0.0)), Remark.of("loose_pieces", count=2)),
    ],
)
def test_what_is_odd_is_told_and_estimated(setting, told):
    found = estimate(setting)
    assert sum(told == remark for remark in found.warnings) == 1
    assert np.isfinite([found.stiffness.best, found.breaking_force.best]).all()


def test_more_plastic_than_room_is_told_once_with_its_percent():
    # A grid at set fill 1: two families of lines 0.5 mm wide, 1 mm apart and ending at the border fill a layer exactly.
    just = estimate(made(**BARE, core=Core("square", 1.0, wall_overlap=0.0)))
    assert "overfull" not in [remark.code for remark in just.warnings]
    # Lapping 0.5 mm into the walls around a core of 118 x 8 mm, lines 1 mm apart: 9 lines of 119 mm and 119 of 9 mm in
    # place of 8 of 118 and 118 of 8, 254 mm more; 126 mm where the phase puts lines on the lapped border, 8 and 118.
    # The mean over eight phases, of which one does, in each of 32 core layers of 40.
    lapped = estimate(made(core=Core("square", 1.0, wall_overlap=0.5)))
    excess = [remark["excess_share"] for remark in lapped.warnings if remark.code == "overfull"]
    more = (7 * 254 + 126) / 8
    assert excess == [pytest.approx(more * 0.5 * 6.4 / 9600, rel=0.01)]


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        (
            ["print.walls=0", "print.face_layers.bottom=0", "print.face_layers.top=0", "core.set_fill=0.0"],
            "walls 0",
        ),
        (
            ["core.pattern=parallel", "core.set_fill=0.3", "print.walls=0"],
            "carry nothing from one to the next",
        ),
    ],
)
def test_the_command_says_it_in_one_line_with_status_2(changes, words, capsys):
    options = [part for change in changes for part in ("--with", change)]
    assert cli.main(["estimate", "demos/shelf_arm/study.toml", *options]) == 2
    told = capsys.readouterr().err.strip().splitlines()
    assert len(told) == 1
    assert words in told[0]
