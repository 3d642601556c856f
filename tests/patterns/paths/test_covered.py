import math

import pytest
from shapely import LineString, Polygon, box

from patterns.bead import Bead
from patterns.catalogue import CATALOGUE, find
from patterns.paths.covered import covered

BEAD = Bead(0.5)
PRISMATIC = sorted(slug for slug, pattern in CATALOGUE.items() if pattern.alike and pattern.periodic)
NETS = [slug for slug in PRISMATIC if slug not in ("parallel", "sinusoidal")]


def test_no_lines_cover_nothing():
    assert covered([], 0.5).is_empty


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
    beads = covered(pattern.lines_in(period.buffer(2 * pitch), pitch, 15.0), BEAD.width, radius)
    fillets = sum(curve.kind == "arc" for curve in cell.planar.curves)
    too_much = chords(radius, fillets) + (2e-4 * cell.area if slug == "voronoi" and radius else 0)
    # Voronoi sides too short for two fillets get smaller ones here; in the cell they vanish.
    assert beads.intersection(period).area == pytest.approx(
        cell.geometric_fill * cell.area, rel=1e-9, abs=too_much
    )


def test_coverings_of_a_sine_line_are_its_length_times_its_width():
    pattern = find("sinusoidal")
    lines = pattern.lines_in(box(0, -0.9, 5, 0.9), 2.0)
    assert len(lines) == 1
    assert covered(lines, 0.5, 0.1).area == pytest.approx(lines[0].length * 0.5, rel=1e-4)
