"""Layered cells: outlines of neighbouring beads, their areas and contact, and the printed gyroid."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from patterns.bead import Bead
from patterns.catalogue import find
from patterns.cells.layered import conserving_section, layered_cell, overlapping_section
from patterns.errors import InputError
from patterns.fill import fill_for
from patterns.lattices.gyroid import line_density

BEAD = Bead(0.45, 0.2)


# Checks F1, derived there: stadium outlines of full width 0.5 and height 0.2 that overlap without squeeze.
@pytest.mark.parametrize(
    ("overlap", "void"), [(0.0, 0.0858407346), (0.05, 0.0346354556), (0.1, 0.0108471306)]
)
def test_overlapping_outlines_leave_the_voids_of_two_circles_that_share_a_lens(overlap, void):
    section = overlapping_section(0.2, 0.5 - overlap, overlap)
    assert 1 - section.fill == pytest.approx(void, abs=1e-10)


@given(st.floats(0.25, 2.0), st.floats(0.05, 0.2), st.floats(-0.2, 0.99))
def test_area_of_an_outline_is_that_of_its_polygon(pitch, height, share):
    overlap = share * height if share > 0 else share * pitch
    try:
        section = overlapping_section(height, pitch, overlap)
    except InputError:
        return
    x = np.linspace(section.half_flat, section.half_width, 20001)
    drop = section.radius - np.sqrt(np.maximum(section.radius**2 - (x - section.half_flat) ** 2, 0))
    under = np.trapezoid(section.height / 2 - drop, x) if len(x) else 0.0
    quarter = section.half_flat * height / 2 + under
    assert section.area == pytest.approx(4 * quarter, rel=1e-5)


@given(st.floats(0.2, 1.0), st.floats(1.0, 5.0), st.floats(0.1, 0.9))
def test_conserving_outlines_keep_the_deposited_area(width, spread, share):
    bead = Bead(width, share * width)
    section = conserving_section(bead, spread * width)
    assert section.area == pytest.approx(bead.area, rel=1e-9)
    assert section.fill == pytest.approx(1 / spread, rel=1e-9)
    assert 2 * section.half_width <= section.pitch * (1 + 1e-12) or not section.touching


def test_conserving_outline_changes_steadily_where_neighbours_begin_to_touch():
    apart = conserving_section(BEAD, BEAD.full_width * (1 + 1e-9))
    pressed = conserving_section(BEAD, BEAD.full_width * (1 - 1e-9))
    assert not apart.touching
    assert pressed.touching
    assert pressed.half_flat == pytest.approx(apart.half_flat, abs=1e-4)
    assert pressed.radius == pytest.approx(apart.radius, abs=1e-4)
    assert pressed.side_height < 1e-3


def test_a_full_raster_has_no_void_and_welds_everywhere():
    cell = find("alternating").cell(BEAD, BEAD.width)
    assert cell.section.full
    assert cell.geometric_fill == pytest.approx(1.0, rel=1e-12)
    assert cell.contact_share == pytest.approx(1.0, rel=1e-12)


def test_geometric_fill_of_alternating_layers_is_their_set_fill():
    for fill in (0.1, 0.5, 0.93, 1.0):
        pitch = fill_for(find("alternating"), BEAD.width, 0.1, set_fill=fill).pitch
        cell = find("alternating").cell(BEAD, pitch)
        assert cell.geometric_fill == pytest.approx(fill, rel=1e-9)
        assert cell.set_fill == pytest.approx(fill, rel=1e-12)


def test_contact_of_crossing_beads_is_the_square_of_that_of_stacked_ones():
    # Design page, weld plane: flats of width w - pi t/4.
    pitch = 1.5
    share = (BEAD.width - math.pi * BEAD.height / 4) / pitch
    assert find("alternating").cell(BEAD, pitch, angles_deg=(0.0, 55.0)).contact_share == pytest.approx(
        share**2
    )
    assert find("alternating").cell(BEAD, pitch, angles_deg=(30.0,)).contact_share == pytest.approx(share)
    shifted = layered_cell("test", BEAD, conserving_section(BEAD, 0.5), (0.0,), shift=0.5)
    assert shifted.contact_share == pytest.approx(2 * BEAD.flat_width / 0.5 - 1)


@pytest.mark.parametrize("angles", [(0.0, 90.0), (45.0, -45.0), (10.0, 80.0), (170.0, 200.0)])
def test_period_of_crossing_lines_has_the_area_of_their_rhombus(angles):
    cell = find("alternating").cell(BEAD, 2.0, angles_deg=angles)
    (ax, ay), (bx, by) = cell.lattice
    sine = math.sin(math.radians(angles[1] - angles[0]))
    assert ax * by - ay * bx == pytest.approx(4.0 / abs(sine), rel=1e-12)
    assert np.linalg.norm(cell.lattice, axis=1) == pytest.approx([2.0 / abs(sine)] * 2)


def test_equal_directions_are_one():
    assert find("alternating").cell(BEAD, 1.0, angles_deg=(30.0, 210.0)).angles_deg == (30.0,)


def test_solid_keeps_the_deposited_volume_unless_told():
    cell = find("solid").cell(BEAD, BEAD.width)
    assert cell.section.full
    assert cell.geometric_fill == pytest.approx(1.0, rel=1e-12)  # w t on a pitch w
    free = find("solid").cell(BEAD, BEAD.width, overlap_mm=BEAD.full_width - BEAD.width)
    assert 2 * free.section.half_flat == pytest.approx(BEAD.flat_width, rel=1e-12)
    gap = find("solid").cell(BEAD, BEAD.width, overlap_mm=-0.05)
    assert not gap.section.touching
    assert gap.section.half_width == pytest.approx(0.2)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: find("alternating").cell(BEAD, 0.4), "overfill"),
        (lambda: find("alternating").cell(BEAD, 1.0, angles_deg=(0.0, 5.0)), "cross at 5"),
        (lambda: find("alternating").cell(BEAD, 1.0, angles_deg=(0.0, 30.0, 60.0)), "one or two"),
        (lambda: find("alternating").cell(BEAD, 1.0, shift=0.3), "half a pitch"),
        (lambda: find("solid").cell(BEAD, BEAD.width, overlap_mm=0.3), "overlap"),
        (lambda: find("solid").cell(BEAD, BEAD.width, overlap_mm=-0.3), "no flats"),
        (lambda: find("solid").cell(BEAD, 0.6), "one bead width"),
        (lambda: find("gyroid").cell(BEAD, 1.0), "no room"),
    ],
)
def test_impossible_geometry_gets_one_clear_line(call, words):
    with pytest.raises(InputError, match=words) as caught:
        call()
    assert "\n" not in str(caught.value)


def test_gyroid_lines_lie_on_its_surface():
    lines = find("gyroid").lines
    for height in (0.0, 0.3, 0.62, 1.1, 1.9, 2.6):
        for line in lines((0, 0, 3, 3), 3.0, height=height):
            x, y = 2 * np.pi * shapely.get_coordinates(line).T / 3.0
            z = 2 * np.pi * height / 3.0
            level = np.sin(x) * np.cos(y) + np.sin(y) * np.cos(z) + np.sin(z) * np.cos(x)
            assert np.abs(level).max() < 1e-9


def test_gyroid_at_mid_height_has_the_length_of_its_exact_curve():
    # Checks A14, derived: at z = 0 the curve is y = -arctan(sin x), length 7.253982534 per 2 pi; two per period.
    lines = find("gyroid").lines((0, 0, 1, 1), 1.0, height=0.0)
    inside = sum(line.intersection(shapely.box(0, 0, 1, 1)).length for line in lines)
    assert inside == pytest.approx(2 * 7.253982534 / (2 * np.pi), rel=2e-4)


def test_line_density_is_that_of_the_surface():
    # Coarea: line length per plan area = surface integral of |sin of the angle to axis 3|; surface 3.0915 (checks A14).
    n = 80
    x, y, z = np.meshgrid(*[(np.arange(n) + 0.5) * 2 * np.pi / n] * 3, indexing="ij")
    level = np.sin(x) * np.cos(y) + np.sin(y) * np.cos(z) + np.sin(z) * np.cos(x)
    in_plan = np.hypot(
        np.cos(x) * np.cos(y) - np.sin(z) * np.sin(x), np.cos(y) * np.cos(z) - np.sin(x) * np.sin(y)
    )
    width = 0.15
    near = (
        np.maximum(0, 1 - np.abs(level) / width) / width
    )  # a hat of unit area for the level's delta function
    assert line_density() == pytest.approx(2 * np.pi * np.mean(in_plan * near), rel=5e-3)
    assert line_density() < 3.0915


def test_gyroid_meets_its_set_fill_and_its_layers():
    bead = Bead(0.45, 0.2)
    pattern = find("gyroid")
    fill = fill_for(pattern, bead.width, 0.1, set_fill=0.2)
    cell = pattern.cell(bead, fill.pitch)
    assert cell.set_fill == pytest.approx(0.2, rel=1e-9)
    assert cell.layer_height == pytest.approx(bead.height, rel=0.05)
    assert len(cell.layers) % 2 == 1
    area = np.mean(
        [plan.intersection(shapely.box(0, 0, *[cell.period] * 2)).area for plan in cell.plans(bead.width)]
    )
    assert area / cell.period**2 == pytest.approx(fill.geometric_fill, rel=5e-3)
    assert fill.geometric_fill < fill.set_fill
