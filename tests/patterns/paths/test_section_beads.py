import math

import pytest

from patterns.bead import Bead
from patterns.outlines.layout import lay_out
from patterns.paths.section_beads import bead_section, section_beads
from patterns.setting import Core, Printing, Specimen

BAR = Specimen("rectangle", width=16, depth=10, length=80)
BEAD = Bead(0.5, 0.2)


def beads(orientation, core, **own):
    return section_beads(lay_out(BAR, Printing(orientation, BEAD, **own), core))


def centres(shapes):
    return sorted({(round(s.centroid.x, 6), round(s.centroid.y, 6)) for s in shapes})


def test_flat_beam_shows_a_wall_bead_per_wall_side_and_layer():
    shown = beads("flat", Core("parallel", 0.25, phase=0))
    # 50 layers x 2 walls x 2 ends, their centres 0.25 and 0.75 mm from the sides.
    assert len(shown.wall) == 200
    assert sorted({y for y, _ in centres(shown.wall)}) == [-7.75, -7.25, 7.25, 7.75]
    assert sorted({z for _, z in centres(shown.wall)})[:2] == [-4.9, -4.7]
    # Lines along the beam, 2 mm apart: seven in each of 42 core layers.
    assert len(shown.core) == 7 * 42
    assert sorted({y for y, _ in centres(shown.core)}) == [-6, -4, -2, 0, 2, 4, 6]


def test_oblique_face_beads_are_cut_longer():
    shown = beads("flat", Core("parallel", 0.25), face_angles_deg=(30.0,), bottom_layers=1, top_layers=0)
    # A bead 30 degrees off the beam is cut over w / cos 30; its round ends add t (1 - pi/4).
    widest = max(shape.bounds[2] - shape.bounds[0] for shape in shown.face)
    assert widest == pytest.approx(0.5 / math.cos(math.radians(30)) + 0.2 * (1 - math.pi / 4))
    assert all(shape.bounds[3] < -4.79 for shape in shown.face)


def test_beam_on_edge_is_turned_into_the_beam_axes():
    shown = beads("on_edge", Core("parallel", 0.25, phase=0), bottom_layers=3, top_layers=0)
    # Layers stack along -y: the three faces of the bottom lie at +y, walls at both ends along z.
    assert min(shape.bounds[0] for shape in shown.face) == pytest.approx(8 - 0.6)
    assert sorted({z for _, z in centres(shown.wall)}) == [-4.75, -4.25, 4.25, 4.75]


def test_upright_beam_shows_one_layer_from_above():
    shown = beads("upright", Core("square", 0.25, phase=0))
    # The two rings cover 2 (15.5 + 9.5) 0.5 + 2 (14.5 + 8.5) 0.5 = 48 mm^2; three lines each way.
    assert sum(shape.area for shape in shown.wall) == pytest.approx(48)
    # Each line's bead ends in half circles of 0.25 mm, here regular polygons of 32 corners.
    ends = 6 * 0.25**2 * 16 * math.sin(math.pi / 16)
    assert sum(shape.area for shape in shown.core) == pytest.approx(0.5 * (3 * 8.2 + 3 * 14.2) + ends)
    assert shown.face == ()
    assert shown.below == ()


def test_bead_section_keeps_its_area_but_for_the_corners_of_its_ends():
    # A stadium over a run of w has the area w t. Five points a half circle make an octagon of both ends,
    # which covers sin(pi/4)/(pi/4) of their circle of radius t/2.
    shape = bead_section((1.0, 1.5), 0.4, BEAD)
    missed = math.pi * 0.1**2 * (1 - math.sin(math.pi / 4) / (math.pi / 4))
    assert shape.area == pytest.approx(0.1 - missed)
    assert shape.bounds[1::2] == pytest.approx((0.4, 0.6))
    assert shape.centroid.x == pytest.approx(1.25)
    assert bead_section((1.0, 1.5), 0.4, Bead(0.5, 0.2, "square")).area == pytest.approx(0.1)
