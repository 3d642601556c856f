import math

import numpy as np
import pytest
import shapely
from shapely import LineString, Point, Polygon, box

from patterns.bead import Bead
from patterns.catalogue import CATALOGUE, find
from patterns.errors import InputError
from patterns.paths.trace import covered, layers_per_period, trace, trace_lines
from patterns.setting import Core

BEAD = Bead(0.5)
PRISMATIC = sorted(slug for slug, pattern in CATALOGUE.items() if pattern.kind == "prismatic")
NETS = [slug for slug in PRISMATIC if slug not in ("parallel", "sinusoidal")]


def total_length(lines):
    return sum(line.length for line in lines)


@pytest.mark.parametrize("slug", [*PRISMATIC, "concentric"])
def test_lines_stay_inside_and_deposit_the_set_fill(slug):
    area = Point(3, -2).buffer(30).difference(box(-5, -5, 2, 6))
    lines = trace(Core(slug, 0.4, angle_deg=20.0), BEAD, area)
    assert shapely.union_all(lines).difference(area.buffer(1e-9)).length < 1e-9
    assert total_length(lines) * BEAD.width / area.area == pytest.approx(0.4, rel=0.02)


@pytest.mark.parametrize("slug", PRISMATIC)
def test_neighbouring_areas_match(slug):
    core = Core(slug, 0.3, angle_deg=33.0, phase=0.2)
    left, right = box(-9, -4, 1, 7), box(1, -4, 12, 7)
    parts = trace(core, BEAD, left) + trace(core, BEAD, right)
    whole = trace(core, BEAD, box(-9, -4, 12, 7))
    assert total_length(parts) == pytest.approx(total_length(whole), rel=1e-9)
    assert shapely.union_all(parts).hausdorff_distance(shapely.union_all(whole)) < 1e-9


def test_phase_is_a_part_of_the_pitch_from_the_origin():
    pitch = BEAD.width / 0.25
    for phase in (0.0, 0.25, 0.5):
        lines = trace(Core("parallel", 0.25, angle_deg=90.0, phase=phase), BEAD, box(-1, -1, 1, 1))
        places = {round(line.coords[0][0], 9) for line in lines}
        expected = np.arange(-3, 3) * pitch - phase * pitch  # turned by 90 degrees, the next line is at -x
        assert places == {round(x, 9) for x in expected if abs(x) <= 1}


def test_a_square_pattern_at_half_phase_leaves_the_origin_in_a_void():
    lines = trace(Core("square", 0.25, phase=0.5), BEAD, box(-20, -20, 20, 20))
    assert shapely.union_all(lines).distance(Point(0, 0)) == pytest.approx(
        2 * BEAD.width / 0.25 / 2, rel=1e-9
    )


def test_concentric_lines_are_insets_of_the_outline():
    """Squares of side 20 - 2 (0.5 + k) 2: perimeters 72, 56, 40, 24, 8."""
    lines = trace(Core("concentric", 0.25, phase=0.5), BEAD, box(0, 0, 20, 20))
    assert sorted(line.length for line in lines) == pytest.approx([8, 24, 40, 56, 72], rel=1e-12)
    assert all(line.is_closed for line in lines)
    ring = box(0, 0, 20, 20).difference(box(8, 8, 12, 12))
    assert (
        len(trace(Core("concentric", 0.25, phase=0.5), BEAD, ring)) == 4
    )  # two around the outside, two inside


def test_nothing_in_an_empty_area():
    assert trace(Core("square", 0.3), BEAD, Polygon()) == []
    assert covered([], 0.5).is_empty


def test_refusals():
    with pytest.raises(InputError, match=r"phase is 1\.5"):
        trace(Core("square", 0.3, phase=1.5), BEAD, box(0, 0, 5, 5))
    with pytest.raises(InputError, match=r"write 0\.3$"):
        trace(Core("square", 30), BEAD, box(0, 0, 5, 5))
    with pytest.raises(InputError, match="did you mean 'seed'"):
        trace(Core("voronoi", 0.3, options=(("sed", 3),)), BEAD, box(0, 0, 5, 5))


@pytest.mark.parametrize("slug", PRISMATIC)
def test_prismatic_layers_are_alike(slug):
    core = Core(slug, 0.3)
    assert layers_per_period(core, BEAD) == 1
    first, other = (trace(core, BEAD, box(0, 0, 9, 9), layer) for layer in (0, 5))
    assert [line.wkb for line in first] == [line.wkb for line in other]


def chords(radius, fillets):
    """What fillets of at most a third of a turn cover too much when drawn with 20 chords per quarter turn or more.

    A chord cuts r^2 (a - sin a)/2, nearly r^2 a^3/12, off its circle; the cut is on the covered side.
    """
    return fillets * radius**2 * (2 * math.pi / 3) * (math.pi / 2 / 20) ** 2 / 12


def test_a_crossing_covers_two_beads_and_four_fillets():
    lines = [LineString([(-5, 0), (5, 0)]), LineString([(0, -4), (0, 4)])]
    sharp = 18 * 0.5 - 0.5**2
    assert covered(lines, 0.5).area == pytest.approx(sharp, rel=1e-12)
    assert covered(lines, 0.5, 0.2).area == pytest.approx(sharp + (4 - math.pi) * 0.2**2, abs=chords(0.2, 4))


def test_ends_are_flat_and_bends_are_mitred():
    bend = covered([LineString([(0, 0), (3, 0), (3, 2)])], 0.5)
    mitred = Polygon([(0, -0.25), (3.25, -0.25), (3.25, 2), (2.75, 2), (2.75, 0.25), (0, 0.25)])
    assert bend.symmetric_difference(mitred).area < 1e-12


def test_closed_lines_have_no_seam():
    ring = LineString([(0, 0), (4, 0), (4, 4), (0, 4), (0, 0)])
    assert covered([ring], 0.5).area == pytest.approx(16 * 0.5, rel=1e-12)


def test_narrow_gaps_between_lines_stay_open():
    lines = [LineString([(0, y), (10, y)]) for y in (0.0, 0.51)]
    assert covered(lines, 0.5, 0.2).area == pytest.approx(10.0, rel=1e-12)
    assert len(covered(lines, 0.5, 0.2).geoms) == 2


def test_a_corner_with_short_sides_gets_the_largest_fillet_that_fits():
    """A stub 0.1 long on a bead: its two corners take fillets of radius 0.1 instead of 0.2."""
    lines = [LineString([(-5, 0), (5, 0)]), LineString([(0, 0), (0, 0.35)])]
    assert covered(lines, 0.5, 0.2).area == pytest.approx(
        5.05 + 2 * (1 - math.pi / 4) * 0.1**2, abs=chords(0.1, 2)
    )


@pytest.mark.parametrize("radius", [0.0, 0.1])
@pytest.mark.parametrize("slug", NETS)
def test_covered_area_of_one_period_is_the_geometric_fill(slug, radius):
    pattern = find(slug)
    pitch = pattern.pitch(BEAD.width, 0.4)
    cell = pattern.cell(BEAD, pitch, radius, 15.0)
    a, b = cell.lattice
    corner = 0.123 * a + 0.234 * b
    period = Polygon([corner, corner + a, corner + a + b, corner + b])
    beads = covered(trace_lines(pattern, period.buffer(2 * pitch), pitch, 15.0), BEAD.width, radius)
    fillets = sum(curve.kind == "arc" for curve in cell.planar.curves)
    too_much = chords(radius, fillets) + (2e-4 * cell.area if slug == "voronoi" and radius else 0)
    # Voronoi sides too short for two fillets get smaller ones here; in the cell they vanish.
    assert beads.intersection(period).area == pytest.approx(
        cell.geometric_fill * cell.area, rel=1e-9, abs=too_much
    )


def test_coverings_of_a_sine_line_are_its_length_times_its_width():
    pattern = find("sinusoidal")
    lines = trace_lines(pattern, box(0, -0.9, 5, 0.9), 2.0)
    assert len(lines) == 1
    assert covered(lines, 0.5, 0.1).area == pytest.approx(lines[0].length * 0.5, rel=1e-4)


def test_turning_an_alternating_pattern_turns_both_directions():
    turned = Core("alternating", 0.3, angle_deg=30.0, angles_deg=(45.0, -45.0))
    same = Core("alternating", 0.3, angles_deg=(75.0, -15.0))
    area = box(-5, -5, 5, 5)
    for layer in (0, 1):
        one, other = (
            shapely.MultiLineString(trace(core, Bead(0.45, 0.2), area, layer)) for core in (turned, same)
        )
        assert one.equals_exact(other, 1e-9)
