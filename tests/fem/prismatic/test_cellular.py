"""Closed forms against published values and against cells at their thin limit."""

import numpy as np
import pytest

from fem.material.stiffness import isotropic
from fem.prismatic.homogenise import homogenise
from patterns.bead import Bead
from patterns.catalogue import find
from patterns.cells.net_cell import net_cell
from patterns.lattices.reentrant import reentrant
from tests.closed_forms import cellular, lattices, perforated

NU = 0.3


@pytest.mark.parametrize(("e", "alpha", "theta", "E1", "E2", "nu12", "nu21", "G12"), lattices.HEXAGONAL_FRAME)
def test_honeycombs_are_the_timoshenko_frame(e, alpha, theta, E1, E2, nu12, nu21, G12):
    found = cellular.hexagonal(e, theta, alpha, nu=NU)
    assert found.E1 == pytest.approx(E1, rel=5e-6)
    assert found.E2 == pytest.approx(E2, rel=5e-6)
    assert found.nu12 == pytest.approx(nu12, rel=1e-8)
    assert found.nu21 == pytest.approx(nu21, rel=1e-8)
    assert found.G12 == pytest.approx(G12, rel=1e-4)


@pytest.mark.parametrize("e", [0.02, 0.1, 0.2])
def test_the_regular_hexagon_is_isotropic(e):
    found = cellular.hexagonal(e)
    assert found.E1 == pytest.approx(found.E2, rel=1e-12)
    assert found.G12 == pytest.approx(found.E1 / (2 * (1 + found.nu12)), rel=1e-12)


def test_the_thin_hexagon_has_the_textbook_values():
    """E = 2.3094 e^3, nu = 1, G = 0.57735 e^3 (Gibson and Ashby 1997, looked up in a course sheet after it)."""
    found = cellular.hexagonal(1e-4)
    assert found.E1 == pytest.approx(4 / np.sqrt(3) * 1e-12, rel=1e-6)
    assert found.nu12 == pytest.approx(1, rel=1e-6)
    assert found.G12 == pytest.approx(0.57735e-12, rel=1e-5)


@pytest.mark.parametrize(
    ("e", "E", "nu"), [(0.05, 0.0578311718, 0.3322231474), (0.1, 0.1162372967, 0.3289036545)]
)
def test_triangular_frame(e, E, nu):
    """Own frame solver, fifteen digits."""
    found = cellular.triangular(e)
    assert found.E1 == pytest.approx(E, rel=1e-9)
    assert found.nu12 == pytest.approx(nu, rel=1e-9)
    assert found.G12 == pytest.approx(E / (2 * (1 + nu)), rel=1e-9)


def test_rhombic_frame():
    found = cellular.rhombic(0.1, 30.0)
    assert found.E1 == pytest.approx(0.00672641090, rel=1e-9)
    assert found.E2 == pytest.approx(0.000767242883, rel=1e-9)
    assert found.nu12 == pytest.approx(2.88349515, rel=1e-8)
    assert found.nu21 == pytest.approx(0.328903654, rel=1e-8)
    assert found.G12 == pytest.approx(0.0433012702, rel=1e-9)


def test_rhombic_at_45_degrees_is_the_turned_square():
    e = 1e-3
    assert cellular.rhombic(e, 45.0).E1 == pytest.approx(2 * e**3 / (1 + e**2))
    assert cellular.square(e).G12 == pytest.approx(e**3 / 2)


def test_sine_line():
    assert cellular.sinusoidal(0.5, 10.0, 0.4, 4.0) == pytest.approx(0.00955486, rel=1e-6)
    shallow = cellular.sinusoidal(1e-9, 10.0, 0.4, 4.0)
    assert shallow == pytest.approx(0.4 / 4.0)


def sheet_E1(E1, phi):
    """E1 of the sheet in plane stress from that of the prismatic cell, solid E = 1."""
    return (1 - NU**2) / (1 / E1 - NU**2 / phi)


def fem(cell):
    found = homogenise(cell, isotropic(1.0, NU), 1e-4)
    return found, sheet_E1(found.engineering.E1, found.geometric_fill)


def assert_tends_from_above(ratios):
    """Ratios at wall e, e/2: both above one, and the gap, of order e, halves."""
    first, second = np.array(ratios) - 1
    assert first > second > 0
    assert 1.6 < first / second < 2.6


def test_hexagonal_cells_tend_to_the_frame_from_above():
    cells = [find("hexagonal").cell(Bead(e, 1e-3), np.sqrt(3), 0.0) for e in (0.04, 0.02)]
    assert_tends_from_above(
        [fem(cell)[1] / cellular.hexagonal(e).E1 for cell, e in zip(cells, (0.04, 0.02), strict=True)]
    )


def test_reentrant_cells_tend_to_the_frame_from_above():
    walls = (0.03, 0.015)
    net = reentrant(cell_angle_deg=-20.0, height_ratio=2.0)
    cells = [net_cell("reentrant", net, Bead(e, 1e-3), 1.0, 0.0, 0.0) for e in walls]
    assert_tends_from_above(
        [fem(cell)[1] / cellular.reentrant(e).E1 for cell, e in zip(cells, walls, strict=True)]
    )


def test_triangular_cells_tend_to_the_frame_from_above():
    walls = (0.05, 0.025)
    cells = [find("triangular").cell(Bead(e, 1e-3), np.sqrt(3) / 2, 0.0) for e in walls]
    assert_tends_from_above(
        [fem(cell)[1] / cellular.triangular(e).E1 for cell, e in zip(cells, walls, strict=True)]
    )


def test_kagome_cells_tend_to_a_third_of_the_walls():
    walls = (0.05, 0.025)
    cells = [find("kagome").cell(Bead(e, 1e-3), np.sqrt(3), 0.0) for e in walls]
    assert_tends_from_above(
        [fem(cell)[1] / cellular.kagome(e).E1 for cell, e in zip(cells, walls, strict=True)]
    )


def test_square_cells_tend_to_bars_and_to_bent_bars_in_shear():
    walls = (0.06, 0.03)
    found = [fem(find("square").cell(Bead(e, 1e-3), 1.0, 0.0)) for e in walls]
    assert_tends_from_above([E / cellular.square(e).E1 for (_, E), e in zip(found, walls, strict=True)])
    sheets = [perforated_G(f.engineering.G12) for f, _ in found]
    assert_tends_from_above([G / cellular.square(e).G12 for G, e in zip(sheets, walls, strict=True)])


def perforated_G(G12):
    """Sheet's G in plane stress from the prismatic cell's: the stress shift backwards."""
    plane_E, plane_nu = 1 / (1 - NU**2), NU / (1 - NU)
    G = G12 / plane_E
    assert perforated.prismatic_G12(perforated.shifted_shear(G, plane_nu, NU), NU) == pytest.approx(G12)
    return perforated.shifted_shear(G, plane_nu, NU)


def test_rhombic_cells_tend_to_the_frame_from_above():
    """Node spacing 1 at opening angle 30: line distance sin 60."""
    walls = (0.04, 0.02)
    pitch = np.sin(np.radians(60))
    cells = [find("rhombic").cell(Bead(e, 1e-3), pitch, 0.0, 0.0, opening_angle_deg=30.0) for e in walls]
    assert_tends_from_above(
        [fem(cell)[1] / cellular.rhombic(e, 30.0).E1 for cell, e in zip(cells, walls, strict=True)]
    )


def test_thin_sine_lines_stretch_as_curved_beams():
    """The wave has amplitude 0.05 and wavelength 1 of 10 mm; walls thin against the radius of curvature."""
    ratios = []
    for width in (0.2, 0.1):
        pattern = find("sinusoidal")
        cell = pattern.cell(Bead(width, 1e-3), 4.0, 0.0, 0.0, amplitude_ratio=0.05, wavelength_ratio=2.5)
        ratios.append(fem(cell)[1] / cellular.sinusoidal(0.5, 10.0, width, 4.0))
    assert ratios[1] == pytest.approx(1, abs=2e-3)
    assert abs(ratios[1] - 1) < abs(ratios[0] - 1)
