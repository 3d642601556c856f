"""Stiffness by direction against rotation and against isotropic planes."""

import numpy as np
import pytest

from fem.material.direction import anisotropy, by_direction
from fem.material.stiffness import about_axis_3, engineering, isotropic, rotate, transversely_isotropic
from fem.prismatic.homogenise import homogenise
from patterns.bead import Bead
from patterns.catalogue import CATALOGUE, find
from tests.closed_forms.laminate import sheets
from tests.closed_forms.lattices import SQUARE
from tests.closed_forms.perforated import prismatic_E1

ISOTROPIC = sorted(
    slug for slug, p in CATALOGUE.items() if p.symmetry == "isotropic" and p.alike and p.periodic
)


@pytest.mark.parametrize("angle", [0.0, 17.0, 90.0, 133.0])
def test_direction_is_turning_the_material_back(angle):
    C = rotate(transversely_isotropic(3000.0, 1500.0, 0.3, 0.4, 800.0), about_axis_3(0.4))
    turned = engineering(rotate(C, about_axis_3(-np.radians(angle))))
    found = by_direction(C, np.array([angle]))
    assert found.E[0] == pytest.approx(turned.E1)
    assert found.G[0] == pytest.approx(turned.G12)
    assert found.nu[0] == pytest.approx(turned.nu12)


def test_sheets_pull_along_themselves_only():
    found = by_direction(sheets(0.4, 2000.0, 0.35), np.array([0.0, 1.0, 90.0]))
    assert found.E[0] == pytest.approx(800)
    assert np.isnan(found.E[1:]).all()
    assert np.isnan(found.G).all()


@pytest.mark.parametrize("slug", ISOTROPIC)
def test_patterns_of_sixfold_symmetry_are_isotropic_in_the_plan(slug):
    pattern = find(slug)
    found = homogenise(pattern.cell(Bead(0.45), pattern.pitch(0.45, 0.35), 0.1), isotropic(1.0, 0.35), 1e-5)
    spread = anisotropy(found.stiffness)
    assert spread.E_ratio == pytest.approx(1, abs=5e-5)
    assert spread.G_ratio == pytest.approx(1, abs=5e-5)
    C = found.stiffness
    assert C[5, 5] == pytest.approx((C[0, 0] - C[0, 1]) / 2, rel=5e-5)
    assert np.abs(C[5, :2]).max() < 1e-5 * C[0, 0]


@pytest.mark.parametrize("row", SQUARE[3:5])
def test_square_cells_at_45_degrees(row):
    wall, phi, E, _, _, E45, _, _ = row
    C = homogenise(find("square").cell(Bead(wall), 1.0, 0.0), isotropic(1.0, 0.3)).stiffness
    assert by_direction(C, np.array([45.0])).E[0] == pytest.approx(prismatic_E1(E45, phi, 0.3), rel=1e-3)
    spread = anisotropy(C)
    assert spread.E_ratio == pytest.approx(prismatic_E1(E, phi, 0.3) / prismatic_E1(E45, phi, 0.3), rel=2e-3)
    assert spread.isotropy_defect > 0.5


def test_isotropic_material_has_no_spread():
    spread = anisotropy(isotropic(2000.0, 0.3))
    assert spread.E_ratio == pytest.approx(1)
    assert spread.isotropy_defect == pytest.approx(0, abs=1e-12)
