"""Weld plane: contact of flats, and the groove between stacked beads."""

import math

import numpy as np
import pytest
import shapely
import shapely.affinity

from fem.material.stiffness import isotropic
from fem.printed.weld import _Groove, _pull, contact_area, core_contact, layer_contact, stack_cell
from patterns.bead import Bead
from patterns.catalogue import find
from patterns.errors import InputError
from patterns.infill import infill_of
from patterns.setting import Core

BEAD = Bead.from_full_width(0.45, 0.2)


# Facts of the project's design page, from an earlier computation of our own: full width 0.45 mm, layer 0.2 mm.
@pytest.mark.parametrize(("radius", "concentration", "ratio"), [(0.002, 7.9, 0.70), (0.04, 2.2, 0.86)])
def test_stack_cell_meets_the_facts_of_the_design_page(radius, concentration, ratio):
    cell = stack_cell(BEAD, radius, 0.35)
    assert cell.concentration == pytest.approx(concentration, abs=0.05)
    assert cell.modulus_ratio == pytest.approx(ratio, abs=0.0055)


def test_contact_grows_from_the_flats_by_the_filled_cusp():
    # Tangent circles: the notch circle's centre lies sqrt((r + H)^2 - H^2) beyond the end of the flat (derived here).
    radius, H = 0.01, 0.1
    cell = stack_cell(BEAD, radius, 0.3)
    root = BEAD.flat_width / 2 + math.sqrt((radius + H) ** 2 - H**2) - radius
    assert cell.contact_width == pytest.approx(2 * root, rel=1e-12)
    assert cell.contact_share == pytest.approx(2 * root / BEAD.full_width, rel=1e-12)


@pytest.mark.parametrize("radius", [0.003, 0.02, 0.1])
@pytest.mark.parametrize("nu", [0.0, 0.45])
def test_stack_is_stiffer_than_its_contact_column_and_softer_than_its_area(radius, nu):
    # Nested solids: removing material cannot stiffen; Voigt bounds from above (checks A1).
    cell = stack_cell(BEAD, radius, nu)
    grid, _ = _Groove(BEAD, radius).mesh(5)
    corners = grid.points[np.concatenate([block[:, -1] for block in grid.blocks])]
    area = shapely.Polygon([(0, 0), *corners, (0, 0)]).area
    assert cell.contact_share < cell.modulus_ratio < area / (BEAD.full_width / 2 * BEAD.height / 2)


def test_in_plane_strain_stress_and_relative_stiffness_do_not_depend_on_poissons_ratio():
    # Michell; Cherkaev, Lurie and Milton 1992 (checks A5): traction-free sides, one solid.
    one, other = stack_cell(BEAD, 0.015, 0.0), stack_cell(BEAD, 0.015, 0.4)
    assert one.concentration == pytest.approx(other.concentration, rel=1e-3)
    assert one.modulus_ratio == pytest.approx(other.modulus_ratio, rel=1e-4)


def test_sharper_notches_concentrate_like_the_inverse_root_of_their_radius():
    # Creager and Paris 1967 (from memory): peak = 2 K_I / sqrt(pi r) for a slender notch.
    radii = np.array([0.0005, 0.001, 0.002])
    peaks = np.array([stack_cell(BEAD, r, 0.35).concentration for r in radii])
    slopes = np.diff(np.log(peaks)) / np.diff(np.log(radii))
    assert np.all((slopes > -0.55) & (slopes < -0.45))


def test_result_does_not_depend_on_the_scale():
    small, large = stack_cell(BEAD, 0.01, 0.3), stack_cell(Bead.from_full_width(4.5, 2.0), 0.1, 0.3)
    assert large.concentration == pytest.approx(small.concentration, rel=1e-9)
    assert large.modulus_ratio == pytest.approx(small.modulus_ratio, rel=1e-9)
    assert large.contact_width == pytest.approx(10 * small.contact_width, rel=1e-12)


@pytest.mark.parametrize("radius", [0.002, 0.015, 0.06])
def test_raising_the_order_converges_within_the_stated_error(radius):
    cell = stack_cell(BEAD, radius, 0.35)
    peak, ratio = _pull(_Groove(BEAD, radius), isotropic(1.0, 0.35), 10)
    assert abs(cell.concentration / peak - 1) < cell.error < 5e-3
    assert abs(cell.modulus_ratio / ratio - 1) < cell.error


def test_contact_of_crossing_strips_is_the_product_of_their_flats():
    # Two strips of full width cross at a right angle: flats cross in a square (design page, weld plane).
    bead = Bead(0.45, 0.2)
    strip = shapely.LineString([(-5, 0), (5, 0)]).buffer(bead.full_width / 2, cap_style="flat")
    across = shapely.affinity.rotate(strip, 90, origin=(0, 0))
    assert contact_area(strip, across, bead) == pytest.approx(bead.flat_width**2, rel=1e-9)
    shorter = 10 - (bead.full_width - bead.flat_width)
    assert contact_area(strip, strip, bead) == pytest.approx(bead.flat_width * shorter, rel=1e-9)


def test_a_gap_below_the_squeeze_is_welded_and_a_wider_one_is_not():
    bead, gap = Bead(0.45, 0.2), 0.03
    strips = [shapely.box(0, y, 10, y + bead.full_width) for y in (0, bead.full_width + gap)]
    pair = shapely.MultiPolygon(strips)
    edge = bead.full_width - bead.flat_width
    apart = 2 * bead.flat_width * (10 - edge)
    joined = (2 * bead.full_width + gap - edge) * (10 - edge)
    assert contact_area(pair, pair, bead, squeeze=0.02) == pytest.approx(apart, rel=1e-6)
    assert contact_area(pair, pair, bead, squeeze=0.04) == pytest.approx(joined, rel=1e-6)


def test_crossing_beads_share_the_square_of_their_flats():
    bead = Bead(0.45, 0.2)
    assert core_contact(infill_of(Core("alternating", 0.4), bead)) == pytest.approx(
        (bead.flat_width * 0.4 / 0.45) ** 2
    )
    assert core_contact(infill_of(Core("alternating", 1.0), bead)) == 1.0
    assert core_contact(infill_of(Core("alternating", 0.4, angles_deg=(0.0, 0.0)), bead)) == pytest.approx(
        bead.flat_width * 0.4 / 0.45
    )


def test_layers_squeeze_only_where_the_gap_is_small():
    bead = Bead(0.45, 0.2)
    cell = find("alternating").cell(bead, 0.5)
    flat = cell.pitch - bead.full_width + bead.flat_width
    assert layer_contact(cell, squeeze=0.005) == pytest.approx((bead.flat_width / 0.5) ** 2)
    assert layer_contact(cell, squeeze=0.01) == pytest.approx((flat / 0.5) ** 2)


def test_gyroid_contact_is_smaller_than_its_flats():
    bead = Bead(0.45, 0.2)
    share = core_contact(infill_of(Core("gyroid", 0.3), bead))
    assert 0 < share < 0.3 * bead.flat_width / bead.width


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: stack_cell(Bead(0.45, 0.2, "square"), 0.01, 0.3), "groove"),
        (lambda: stack_cell(BEAD, 0.0, 0.3), "no limit"),
        (lambda: stack_cell(BEAD, 0.3, 0.3), "layer height"),
        (lambda: core_contact(infill_of(Core("square", 0.3), BEAD)), "same in every layer"),
        (lambda: core_contact(infill_of(Core("alternating", 0.3), BEAD), squeeze=-1.0), "squeeze"),
    ],
)
def test_bad_input_gets_one_clear_line(call, words):
    with pytest.raises(InputError, match=words) as caught:
        call()
    assert "\n" not in str(caught.value)
