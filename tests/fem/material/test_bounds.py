"""Bounds against their published identities, and cells against the bounds."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fem.material.bounds import hashin_shtrikman_E1
from fem.material.stiffness import engineering, isotropic
from fem.prismatic.homogenise import homogenise
from patterns.bead import Bead
from patterns.catalogue import CATALOGUE, find
from tests.closed_forms import perforated
from tests.closed_forms.bounds import hashin_shtrikman_antiplane, hashin_shtrikman_plane, reuss, voigt
from tests.closed_forms.laminate import rank_one

ISOTROPIC = sorted(
    slug for slug, p in CATALOGUE.items() if p.symmetry == "isotropic" and p.alike and p.periodic
)


def test_voigt_and_reuss_of_two_phases():
    """1280 and 434.782609 MPa by hand, for phases without lateral contraction."""
    phases = [isotropic(2000.0, 0.0), isotropic(200.0, 0.0)]
    assert engineering(voigt([0.6, 0.4], phases)).E1 == pytest.approx(1280)
    assert engineering(reuss([0.6, 0.4], phases)).E1 == pytest.approx(434.782609)


def test_a_laminate_lies_between_voigt_and_reuss():
    phases = [isotropic(2000.0, 0.35), isotropic(200.0, 0.25)]
    C = rank_one([0.6, 0.4], [2000.0, 200.0], [0.35, 0.25])
    assert np.linalg.eigvalsh(voigt([0.6, 0.4], phases) - C)[0] > -1e-9
    assert np.linalg.eigvalsh(C - reuss([0.6, 0.4], phases))[0] > -1e-9


def test_voids_leave_reuss_nothing():
    assert (reuss([0.5, 0.5], [isotropic(1.0, 0.3), np.zeros((6, 6))]) == 0).all()


# phi, nu, K, G, E, antiplane, from Hashin 1965 and Torquato 2002 (formulas from memory, digits recomputed).
@pytest.mark.parametrize(
    ("phi", "nu", "plane", "bulk", "shear", "young"),
    [
        (0.2, 0.3, "stress", 0.057471264, 0.028901734, 0.076923077),
        (0.3, 0.3, "stress", 0.093167702, 0.047021944, 0.125),
        (0.5, 0.3, "stress", 0.185185185, 0.094339623, 0.25),
        (0.3, 0.35, "stress", 0.094043887, 0.046801872, 0.125),
        (0.3, 0.3, "strain", 0.104895105, 0.051055140, 0.137362637),
    ],
)
def test_plane_bounds(phi, nu, plane, bulk, shear, young):
    found = hashin_shtrikman_plane(phi, 1.0, nu, plane)
    assert found.bulk == pytest.approx(bulk, rel=1e-8)
    assert found.shear == pytest.approx(shear, rel=1e-8)
    assert found.young == pytest.approx(young, rel=1e-8)


@given(st.floats(0.01, 1.0), st.floats(-0.9, 0.49))
def test_youngs_bound_does_not_depend_on_the_solids_ratio(phi, nu):
    assert hashin_shtrikman_plane(phi, 1.0, nu).young == pytest.approx(phi / (3 - 2 * phi))


def test_bounds_of_a_full_plane_are_the_solid():
    assert hashin_shtrikman_E1(1.0, 2000.0, 0.35) == pytest.approx(2000)
    assert hashin_shtrikman_antiplane(1.0) == 1
    assert hashin_shtrikman_plane(1.0, 2000.0, 0.35).young == pytest.approx(2000)


@pytest.mark.parametrize(("a", "f", "E", "nu", "G", "K"), perforated.HEXAGONAL_PLANE)
def test_hole_arrays_respect_the_bounds_closely(a, f, E, nu, G, K):
    bound = hashin_shtrikman_plane(1 - f, 1.0, 0.3)
    assert E <= bound.young
    assert K <= bound.bulk
    assert G <= bound.shear
    if f < 0.3:
        assert K > 0.98 * bound.bulk  # hexagonal arrays nearly reach it


@pytest.mark.parametrize("slug", ISOTROPIC)
@pytest.mark.parametrize("fill", [0.1, 0.3, 0.7])
def test_isotropic_patterns_respect_the_bounds(slug, fill):
    pattern = find(slug)
    E, nu = 2000.0, 0.35
    found = homogenise(pattern.cell(Bead(0.45), pattern.pitch(0.45, fill), 0.05), isotropic(E, nu))
    phi, got = found.geometric_fill, found.engineering
    assert got.E1 < hashin_shtrikman_E1(phi, E, nu)
    assert got.G13 < hashin_shtrikman_antiplane(phi) * E / (2 * (1 + nu))
    strain = hashin_shtrikman_plane(phi, E, nu, "strain")
    C = found.stiffness
    assert (C[0, 0] + C[0, 1]) / 2 < strain.bulk
    assert C[5, 5] < strain.shear
    assert np.linalg.eigvalsh(phi * isotropic(E, nu) - C)[0] > -1e-9 * E
