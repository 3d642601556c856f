import pickle

import pytest

from patterns.bead import Bead
from patterns.catalogue import CATALOGUE, collected, find
from patterns.errors import InputError
from patterns.kinds.option import Option, settle

PRISMATIC = [
    "parallel",
    "square",
    "triangular",
    "kagome",
    "hexagonal",
    "rhombic",
    "reentrant",
    "sinusoidal",
    "voronoi",
]


@pytest.mark.parametrize("slug", PRISMATIC)
def test_prismatic_patterns_have_cells_and_lines(slug):
    pattern = find(slug)
    assert pattern.kind == "prismatic"
    assert pattern.slug == slug
    assert pattern.alike
    assert pattern.periodic
    assert pattern.cell(Bead(0.45), 3.0).area > 0
    assert pattern.lines((0, 0, 9, 9), 3.0)


def test_every_entry_tells_what_it_is_in_one_line():
    for slug, pattern in CATALOGUE.items():
        assert slug == pattern.slug
        for text in (
            pattern.summary,
            pattern.pitch_means,
            pattern.axis_1,
            *(o.help for o in pattern.options),
        ):
            assert text
            assert "\n" not in text
        assert pattern.symmetry in ("isotropic", "square", "orthotropic", "monoclinic", "none")


def test_unknown_pattern_offers_the_nearest_name():
    with pytest.raises(InputError, match=r"'hexagnal'; did you mean 'hexagonal'\?.*known: .*kagome"):
        find("hexagnal")


def test_unknown_pattern_without_a_near_name_lists_the_known_ones():
    with pytest.raises(InputError, match=r"unknown pattern 'zzz'; known: "):
        find("zzz")


def test_a_name_belongs_to_one_pattern():
    with pytest.raises(ValueError, match="'square' is defined twice"):
        collected([find("square"), find("kagome"), find("square")])


@pytest.mark.parametrize("slug", sorted(CATALOGUE))
def test_a_pattern_travels_to_other_processes_and_stays_itself(slug):
    there = pickle.loads(pickle.dumps(find(slug)))
    assert there == find(slug)
    assert hash(there) == hash(find(slug))
    assert there.set_fill(0.45, 0.45 if slug == "solid" else 2.0) == find(slug).set_fill(
        0.45, 0.45 if slug == "solid" else 2.0
    )


def test_options_default_and_are_checked():
    rhombic = find("rhombic")
    assert rhombic.settle({}) == {"opening_angle_deg": 30}
    assert rhombic.settle({"opening_angle_deg": "45"}) == {"opening_angle_deg": 45}
    with pytest.raises(InputError, match=r"opening_angle_deg is 85; it must lie between 10 and 80 deg"):
        rhombic.settle({"opening_angle_deg": 85})
    with pytest.raises(
        InputError, match=r"unknown option 'opening_angle'; did you mean 'opening_angle_deg'\?"
    ):
        rhombic.settle({"opening_angle": 30})
    with pytest.raises(InputError, match=r"square: unknown option 'seed'; it takes none"):
        find("square").settle({"seed": 1})


@pytest.mark.parametrize("value", [float("nan"), float("inf"), "wide", None, -1])
def test_an_option_that_is_no_number_in_range_is_refused(value):
    option = Option("amplitude_ratio", 0.1, 0, 0.5, "", "amplitude / wavelength")
    with pytest.raises(InputError, match=r"between 0 and 0\.5"):
        settle("sinusoidal", (option,), {"amplitude_ratio": value})


def test_whole_numbers_stay_whole():
    assert find("voronoi").settle({"cells": 9.0}) == {"seed": 1, "cells": 9}
    with pytest.raises(InputError, match="whole number"):
        find("voronoi").settle({"cells": 9.5})


def test_lines_that_follow_the_outline_have_the_cell_of_their_straight_parts():
    concentric = find("concentric")
    assert not concentric.periodic
    straight, parallel = (find(slug).cell(Bead(0.5), 2.0, 0.1, 30.0) for slug in ("concentric", "parallel"))
    assert straight.lattice == pytest.approx(parallel.lattice)
    assert straight.geometric_fill == parallel.geometric_fill
    with pytest.raises(InputError, match="follow an outline"):
        concentric.lines((0, 0, 1, 1), 2.0)
