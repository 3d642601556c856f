"""The axis maps are the project's definition; the code's rule is ISO/ASTM 52921's (now ISO 17295:2023)."""

import numpy as np
import pytest

from patterns.errors import InputError
from patterns.outlines.orientation import (
    ORIENTATIONS,
    beam_from_print,
    orientation_code,
    parse_orientation,
    short_code,
)
from patterns.setting import Specimen

WIDE = Specimen("rectangle", width=10, depth=4, length=80)
DEEP = Specimen("rectangle", width=4, depth=10, length=80)
ROUND = Specimen("round", width=12, depth=12, length=80)


@pytest.mark.parametrize("orientation", ORIENTATIONS)
def test_maps_are_proper_rotations(orientation):
    R = beam_from_print(orientation)
    assert np.array_equal(R @ R.T, np.eye(3))
    assert np.linalg.det(R) == pytest.approx(1)


def test_maps_are_the_ones_agreed():
    # upright x=3, y=1, z=2; flat x=1, y=2, z=3; on_edge x=1, y=-3, z=2, with print components 10, 20, 30.
    v = np.array([10.0, 20.0, 30.0])
    assert (beam_from_print("upright") @ v).tolist() == [30, 10, 20]
    assert (beam_from_print("flat") @ v).tolist() == [10, 20, 30]
    assert (beam_from_print("on_edge") @ v).tolist() == [10, -30, 20]


@pytest.mark.parametrize(
    ("orientation", "specimen", "code"),
    [
        # The axis of the longest length comes first; longest along Z and second along X is ZXY (an example of
        # ISO/ASTM 52921). Flat XYZ, on edge XZY, upright ZXY for a bar wider than deep.
        ("flat", WIDE, "XYZ"),
        ("on_edge", WIDE, "XZY"),
        ("upright", WIDE, "ZXY"),
        # A bar deeper than wide has its second length along the load.
        ("flat", DEEP, "XZY"),
        ("on_edge", DEEP, "XYZ"),
        ("upright", DEEP, "ZYX"),
    ],
)
def test_code_lists_axes_from_longest_to_shortest(orientation, specimen, code):
    assert orientation_code(orientation, specimen) == code
    assert short_code(orientation, specimen) == code
    assert parse_orientation(code, specimen) == orientation


def test_code_is_shortened_only_where_the_section_is_symmetric():
    assert short_code("upright", ROUND) == "Z"
    assert short_code("flat", ROUND) == "X"
    triangle = Specimen("polygon", 6, 6, 80, points=((0, 0), (6, 0), (3, 6)))
    assert short_code("upright", triangle) == "ZXY"


@pytest.mark.parametrize("text", ["On-Edge", "on edge", "ON_EDGE", " xzy "])
def test_names_and_codes_are_read_in_any_case(text):
    assert parse_orientation(text, WIDE) == "on_edge"
    assert parse_orientation(text) == "on_edge"


def test_codes_of_a_square_section_are_read_as_usual():
    assert [parse_orientation(code, ROUND) for code in ("XYZ", "XZY", "ZXY")] == list(ORIENTATIONS)


@pytest.mark.parametrize("text", ["sideways", "YXZ", "ZZZ", ""])
def test_unknown_orientation_names_the_known_ones(text):
    with pytest.raises(InputError, match=r"flat \(XYZ\), on_edge \(XZY\), upright \(ZXY\)"):
        parse_orientation(text, WIDE)
