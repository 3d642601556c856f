"""Stiffness of stacked beads across their layers: bounds, plane strain, scale, order."""

import pytest

from fem.material.stiffness import isotropic
from fem.printed.stack import _pull, stack_stiffness
from patterns.bead import Bead

BEADS = [Bead(0.45, 0.2), Bead(0.4, 0.1), Bead(0.4, 0.4), Bead(0.6, 0.6)]


@pytest.mark.parametrize("bead", BEADS)
@pytest.mark.parametrize("nu", [0.0, 0.45])
def test_stiffer_than_the_column_on_the_flats_and_softer_than_all_the_material(bead, nu):
    # Nested solids: removing material cannot stiffen; Voigt bounds from above, bead area over w t being 1.
    assert bead.flat_width / bead.width < stack_stiffness(bead, nu).ratio < 1


def test_in_plane_strain_relative_stiffness_does_not_depend_on_poissons_ratio():
    # Cherkaev, Lurie and Milton 1992: traction-free sides, one solid.
    one, other = (stack_stiffness(BEADS[0], nu).ratio for nu in (0.0, 0.4))
    assert one == pytest.approx(other, rel=1e-4)


def test_result_does_not_depend_on_the_scale():
    one, other = stack_stiffness(Bead(0.45, 0.2), 0.3), stack_stiffness(Bead(4.5, 2.0), 0.3)
    assert one.ratio == pytest.approx(other.ratio, rel=1e-9)


@pytest.mark.parametrize("bead", BEADS)
def test_raising_the_order_converges_within_the_stated_error(bead):
    found = stack_stiffness(bead, 0.35)
    assert abs(_pull(bead, isotropic(1.0, 0.35), 9) / found.ratio - 1) < found.error < 1e-3


def test_square_edges_leave_no_groove():
    assert stack_stiffness(Bead(0.45, 0.2, "square"), 0.35).ratio == 1.0


def test_printed_pla_across_its_layers():
    # 2400 of 3550 MPa, and 1/1.161 with gaps over without (Perez, Celik and Karkkainen 2021, abstract, read); bead and
    # layer are not stated there: 0.4 to 0.5 mm by 0.1 to 0.3 mm
    ratios = [stack_stiffness(Bead(w, t), 0.33).ratio for w in (0.4, 0.5) for t in (0.1, 0.2, 0.3)]
    assert min(ratios) < 2400 / 3550 < max(ratios)
    assert min(ratios) < 1 / 1.161 < max(ratios)
