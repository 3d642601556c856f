"""Area moments and transformed sections against textbook examples."""

import numpy as np
import pytest
from shapely import Point, box
from shapely.affinity import rotate

from fem.bending.beam_theory import area_moments, theory_beams
from patterns.bead import Bead
from patterns.outlines.layout import lay_out
from patterns.setting import Core, Printing, Specimen


def test_turned_rectangle():
    # 10 x 4 turned 30 degrees: 123.333333 mm4 about the horizontal axis (rotation of principal values).
    turned = rotate(box(-5, -2, 5, 2), 30, origin=(0, 0))
    assert area_moments(turned)[2] == pytest.approx(123.3333333)
    # Turning the load is turning the section the other way.
    assert area_moments(box(-5, -2, 5, 2), -30)[2] == pytest.approx(123.3333333)


def test_hollow_areas_take_their_holes_away_in_either_sense():
    hollow = box(-5, -5, 5, 5).difference(box(-4, -4, 4, 4))
    assert area_moments(hollow) == pytest.approx((36, 0, (10**4 - 8**4) / 12))


def test_tee_section():
    # Flange 40 x 4 on web 4 x 36: A 304, centroid 28.5263158 from the web's foot, I 46081.1228 (parallel axes).
    tee = box(-2, 0, 2, 36).union(box(-20, 36, 20, 40))
    area, first, second = area_moments(tee)
    assert (area, first / area) == pytest.approx((304, 28.5263158))
    assert second - first**2 / area == pytest.approx(46081.1228)


def test_circle_by_polygon():
    assert area_moments(Point(0, 0).buffer(3, quad_segs=512))[2] == pytest.approx(np.pi * 81 / 4, rel=1e-5)


def test_walls_and_core_of_a_printed_bar():
    # 10 x 4, walls 0.9 (E 2500), core (E 250): EI 116962.033 about the width (own arithmetic, transformed section).
    layout = lay_out(
        Specimen("rectangle", 10, 4, 80), Printing("upright", Bead(0.45, 0.2), walls=2), Core("square", 0.2)
    )
    beams = theory_beams(layout, {"wall": 2500, "core": 250}, 2500, 0.1)
    assert beams["transformed section"].EI == pytest.approx(116962.033, rel=1e-6)
    assert beams["rule of mixtures"].EI == pytest.approx(116962.033, rel=1e-6)
    assert beams["solid bar"].EI == pytest.approx(2500 * 10 * 64 / 12)
    assert beams["solid bar"].stress_per_moment == pytest.approx(6 / (10 * 16))
    assert beams["walls only"].EI < beams["transformed section"].EI < beams["solid bar"].EI
