"""Lines of a core: where they lie, how they turn, what they deposit."""

import numpy as np
import pytest
import shapely
from shapely import Point, Polygon, box

from patterns.bead import Bead
from patterns.catalogue import CATALOGUE
from patterns.errors import InputError
from patterns.infill import infill_of
from patterns.setting import Core

BEAD = Bead(0.5)
PRISMATIC = sorted(slug for slug, pattern in CATALOGUE.items() if pattern.alike and pattern.periodic)


def total_length(lines):
    return sum(line.length for line in lines)


@pytest.mark.parametrize("slug", [*PRISMATIC, "concentric"])
def test_lines_stay_inside_and_deposit_the_set_fill(slug):
    area = Point(3, -2).buffer(30).difference(box(-5, -5, 2, 6))
    lines = infill_of(Core(slug, 0.4, angle_deg=20.0), BEAD).lines(area)
    assert shapely.union_all(lines).difference(area.buffer(1e-9)).length < 1e-9
    assert total_length(lines) * BEAD.width / area.area == pytest.approx(0.4, rel=0.02)


@pytest.mark.parametrize("slug", PRISMATIC)
def test_neighbouring_areas_match(slug):
    core = Core(slug, 0.3, angle_deg=33.0, phase=0.2)
    left, right = box(-9, -4, 1, 7), box(1, -4, 12, 7)
    parts = infill_of(core, BEAD).lines(left) + infill_of(core, BEAD).lines(right)
    whole = infill_of(core, BEAD).lines(box(-9, -4, 12, 7))
    assert total_length(parts) == pytest.approx(total_length(whole), rel=1e-9)
    assert shapely.union_all(parts).hausdorff_distance(shapely.union_all(whole)) < 1e-9


def test_phase_is_a_part_of_the_pitch_from_the_origin():
    pitch = BEAD.width / 0.25
    for phase in (0.0, 0.25, 0.5):
        lines = infill_of(Core("parallel", 0.25, angle_deg=90.0, phase=phase), BEAD).lines(box(-1, -1, 1, 1))
        places = {round(line.coords[0][0], 9) for line in lines}
        expected = np.arange(-3, 3) * pitch - phase * pitch  # turned by 90 degrees, the next line is at -x
        assert places == {round(x, 9) for x in expected if abs(x) <= 1}


def test_a_square_pattern_at_half_phase_leaves_the_origin_in_a_void():
    lines = infill_of(Core("square", 0.25, phase=0.5), BEAD).lines(box(-20, -20, 20, 20))
    assert shapely.union_all(lines).distance(Point(0, 0)) == pytest.approx(
        2 * BEAD.width / 0.25 / 2, rel=1e-9
    )


def test_concentric_lines_are_insets_of_the_outline():
    """Squares of side 20 - 2 (0.5 + k) 2: perimeters 72, 56, 40, 24, 8."""
    lines = infill_of(Core("concentric", 0.25, phase=0.5), BEAD).lines(box(0, 0, 20, 20))
    assert sorted(line.length for line in lines) == pytest.approx([8, 24, 40, 56, 72], rel=1e-12)
    assert all(line.is_closed for line in lines)
    ring = box(0, 0, 20, 20).difference(box(8, 8, 12, 12))
    assert (
        len(infill_of(Core("concentric", 0.25, phase=0.5), BEAD).lines(ring)) == 4
    )  # two around the outside, two inside


def test_nothing_in_an_empty_area():
    assert infill_of(Core("square", 0.3), BEAD).lines(Polygon()) == []


def test_refusals():
    with pytest.raises(InputError, match=r"phase is 1\.5"):
        infill_of(Core("square", 0.3, phase=1.5), BEAD).lines(box(0, 0, 5, 5))
    with pytest.raises(InputError, match=r"write 0\.3$"):
        infill_of(Core("square", 30), BEAD).lines(box(0, 0, 5, 5))
    with pytest.raises(InputError, match="did you mean 'seed'"):
        infill_of(Core("voronoi", 0.3, options=(("sed", 3),)), BEAD).lines(box(0, 0, 5, 5))


@pytest.mark.parametrize("slug", PRISMATIC)
def test_prismatic_layers_are_alike(slug):
    core = Core(slug, 0.3)
    assert infill_of(core, BEAD).layers_per_period == 1
    first, other = (infill_of(core, BEAD).lines(box(0, 0, 9, 9), layer) for layer in (0, 5))
    assert [line.wkb for line in first] == [line.wkb for line in other]


def test_turning_an_alternating_pattern_turns_both_directions():
    turned = Core("alternating", 0.3, angle_deg=30.0, angles_deg=(45.0, -45.0))
    same = Core("alternating", 0.3, angles_deg=(75.0, -15.0))
    area = box(-5, -5, 5, 5)
    for layer in (0, 1):
        one, other = (
            shapely.MultiLineString(infill_of(core, Bead(0.45, 0.2)).lines(area, layer))
            for core in (turned, same)
        )
        assert one.equals_exact(other, 1e-9)


def test_the_corner_radius_counts_only_where_layers_are_alike():
    assert infill_of(Core("square", 0.3), BEAD).corner_radius == 0.125
    assert infill_of(Core("square", 0.3, corner_radius=0.05), BEAD).corner_radius == 0.05
    assert infill_of(Core("alternating", 0.3, corner_radius=0.05), BEAD).corner_radius == 0


@pytest.mark.parametrize("slug", [slug for slug in sorted(CATALOGUE) if CATALOGUE[slug].periodic])
def test_the_cell_turns_with_the_lines(slug):
    """The lattice of a turned infill maps its own lines onto themselves."""
    fill = CATALOGUE[slug].only_fill or 0.3
    infill = infill_of(Core(slug, fill, angle_deg=20.0, angles_deg=(0.0, 60.0), phase=0.3), BEAD)
    lattice = infill.cell().lattice
    if np.linalg.norm(lattice[0]) < infill.pitch / 2:
        lattice = lattice[1:]  # the cell of a straight line repeats after any length
    middle = box(-3, -3, 3, 3)
    here = shapely.union_all(infill.lines(middle))
    for step in lattice:
        there = shapely.union_all(
            infill.lines(shapely.transform(middle, lambda points, step=step: points + step))
        )
        moved = shapely.transform(there, lambda points, step=step: points - step)
        assert here.hausdorff_distance(moved) < 1e-6
