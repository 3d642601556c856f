import math

import pytest

from patterns.errors import InputError
from patterns.outlines.outline import outline, root_depth
from patterns.setting import Specimen


def polygon(points, holes=()):
    ys, zs = zip(*points, strict=True)
    width, depth = max(ys) - min(ys), max(zs) - min(zs)
    return Specimen("polygon", width, depth, 80, points=tuple(points), holes=tuple(holes))


def test_rectangle_is_centred_with_exact_area():
    shape = outline(Specimen("rectangle", width=16, depth=10, length=75))
    assert shape.area == 160
    assert shape.bounds == (-8, -5, 8, 5)


def test_circle_misses_its_area_by_less_than_a_hundred_thousandth():
    shape = outline(Specimen("round", width=20, depth=20, length=75))
    assert shape.area == pytest.approx(math.pi * 100, rel=1e-5)
    assert all(math.hypot(*p) == pytest.approx(10, abs=1e-12) for p in shape.exterior.coords)


def test_tube_is_the_difference_of_two_circles():
    shape = outline(Specimen("tube", width=20, depth=20, length=75, inner=12))
    assert shape.area == pytest.approx(math.pi * (100 - 36), rel=1e-5)
    assert len(shape.interiors) == 1


def test_polygon_keeps_its_corners_and_holes():
    channel = polygon([(0, 0), (10, 0), (10, 2), (2, 2), (2, 8), (0, 8)])
    assert outline(channel).area == 10 * 2 + 2 * 6
    box_beam = polygon([(0, 0), (12, 0), (12, 10), (0, 10)], [[(3, 3), (9, 3), (9, 7), (3, 7)]])
    assert outline(box_beam).area == 120 - 24


@pytest.mark.parametrize(
    ("specimen", "words"),
    [
        (polygon([(0, 0), (4, 4), (4, 0), (0, 4)]), r"crosses itself at \(y, z\) = \(2, 2\) mm"),
        (polygon([(0, 0), (9, 0), (9, 9), (0, 9)], [[(20, 20), (21, 20), (21, 21)]]), "a hole lies outside"),
        (polygon([(0, 0), (4, 4)]), "at least three"),
        (Specimen("polygon", 4, 4, 80, points=((0, 0), (4, 0), (0, math.nan))), "finite"),
        (
            Specimen("polygon", 5, 4, 80, points=((0, 0), (4, 0), (0, 4))),
            "width 5 mm, but its corners span 4 mm",
        ),
        (Specimen("rectangle", 0, 4, 80), "width 0 mm"),
        (Specimen("rectangle", 4, 4, math.inf), "length inf mm"),
        (Specimen("round", 5, 4, 80), "as wide as deep"),
        (Specimen("tube", 5, 5, 80, inner=6), "inner diameter 6 mm"),
    ],
)
def test_impossible_outlines_are_refused_in_one_line(specimen, words):
    with pytest.raises(InputError, match=words) as error:
        outline(specimen)
    assert "\n" not in str(error.value)


def test_the_roots_depth_is_that_of_the_rectangle_with_the_same_second_moment():
    # sqrt(12 I / A): d for rectangles, sqrt(3)/2 d for circles, d / sqrt(1.5) for a triangle of height d (handbooks).
    flat = Specimen("rectangle", width=16, depth=10, length=75)
    assert root_depth(flat) == pytest.approx(10)
    assert root_depth(flat, 90) == pytest.approx(16)
    assert root_depth(Specimen("round", width=20, depth=20, length=75), 33) == pytest.approx(
        math.sqrt(3) / 2 * 20, rel=1e-5
    )
    assert root_depth(polygon([(0, 0), (12, 0), (6, 9)])) == pytest.approx(9 / math.sqrt(1.5))


def test_a_square_bars_root_yields_alike_whichever_way_it_is_loaded():
    square = Specimen("rectangle", width=20, depth=20, length=75)
    assert [root_depth(square, angle) for angle in (0, 30, 45)] == pytest.approx([20] * 3)
