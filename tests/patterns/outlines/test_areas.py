"""Erosion and opening against their definitions, point by point."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, MultiPolygon, Point, Polygon, box

from patterns.outlines.areas import eroded_along, inset, joined, polygons, too_narrow


def star(radii, scale=1.0):
    angle = np.linspace(0, 2 * np.pi, len(radii), endpoint=False)
    return scale * np.column_stack([np.cos(angle), np.sin(angle)]) * np.array(radii)[:, None]


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.floats(2, 8), min_size=3, max_size=9),
    st.floats(0.05, 0.6),
    st.floats(0, 1.5),
    st.floats(0, 1.5),
    st.integers(0, 1),
)
def test_a_point_is_kept_when_its_segment_lies_in_the_area(radii, hole, before, behind, axis):
    area = Polygon(star(radii), [star(radii, hole)])
    kept = eroded_along(area, before, behind, axis)
    step = np.eye(2)[axis]
    rng = np.random.default_rng(7)
    for point in rng.uniform(-8, 8, (200, 2)):
        segment = LineString([point - before * step, point + behind * step])
        if abs(segment.distance(area.boundary)) < 1e-6 or Point(point).distance(kept.boundary) < 1e-6:
            continue  # too close to say
        assert kept.contains(Point(point)) == area.contains(segment)


def test_erosion_of_a_rectangle_by_hand():
    assert eroded_along(box(0, 0, 10, 4), 1, 2, axis=0).bounds == (1, 0, 8, 4)
    assert eroded_along(box(0, 0, 10, 4), 1, 2, axis=1).bounds == (0, 1, 10, 2)
    assert eroded_along(box(0, 0, 10, 4), 3, 2, axis=1).is_empty
    two = MultiPolygon([box(0, 0, 2, 4), box(3, 0, 9, 4)])
    assert eroded_along(two, 1.5, 1.5, axis=0).equals(box(4.5, 0, 7.5, 4))


def test_inset_keeps_corners_and_its_length_falls_in_a_straight_line():
    assert inset(box(0, 0, 10, 4), 1).equals(box(1, 1, 9, 3))
    assert inset(box(0, 0, 10, 4), -1).equals(box(-1, -1, 11, 5))
    triangle = Polygon([(0, 0), (12, 0), (6, 9)])
    lengths = [inset(triangle, distance).length for distance in (0, 0.5, 1.0, 1.5)]
    assert np.diff(lengths, 2) == pytest.approx([0, 0], abs=1e-9)


def test_narrow_places_are_found_and_corners_are_not():
    # A 10 x 10 block with a 1 mm wide arm, 5 mm long.
    arm = Polygon([(0, 0), (10, 0), (10, 4), (15, 4), (15, 5), (10, 5), (10, 10), (0, 10)])
    assert too_narrow(arm, 1.2, least_area=0.01).equals(box(10, 4, 15, 5))
    assert too_narrow(arm, 0.9, least_area=0.01).is_empty
    assert too_narrow(box(0, 0, 10, 4), 3.9, least_area=0).is_empty
    assert too_narrow(box(0, 0, 10, 4), 4.1, least_area=0).equals(box(0, 0, 10, 4))


def test_polygons_drops_what_is_no_area():
    mixed = shapely.GeometryCollection(
        [Point(0, 0), LineString([(0, 0), (1, 1)]), box(0, 0, 1, 1), box(2, 0, 2.1, 0.1)]
    )
    assert [part.area for part in polygons(mixed, least_area=0.1)] == [1]
    assert joined(polygons(mixed, least_area=2)).is_empty
