"""Prismatic cells against a pixel method with fast Fourier transforms, and hole arrays against Rayleigh's series."""

import numpy as np
import pytest

from fem.material.stiffness import engineering, isotropic
from fem.prismatic.homogenise import homogenise
from patterns.bead import Bead
from patterns.catalogue import find
from tests.closed_forms import perforated
from tests.fem.prismatic.cells import hexagonal_array, square_array
from tests.independent.fft_judge import judge
from tests.independent.test_cells_other_library import CASES

SOLID = isotropic(1.0, 0.35)


@pytest.mark.slow
@pytest.mark.parametrize(("slug", "own"), CASES)
@pytest.mark.parametrize(("fill", "rel"), [(0.35, 1e-2), (0.6, 5e-3)])
def test_pixels_agree(slug, own, fill, rel):
    """96 pixels along the shorter side give a few thousandths: 10 to 20 of them across a bead."""
    pattern = find(slug)
    cell = pattern.cell(Bead(0.45), pattern.pitch(0.45, fill, **own), 0.1, 0.0, **own)
    found = homogenise(cell, SOLID).engineering
    other = engineering(judge(cell, SOLID, 96))
    for name in ("E1", "E2", "E3", "G23", "G13", "G12"):
        assert getattr(found, name) == pytest.approx(getattr(other, name), rel=rel), name


@pytest.mark.parametrize("f", [0.15, 0.45, 0.65])
@pytest.mark.parametrize("hexagonal", [False, True])
def test_hole_arrays_agree_with_the_series(f, hexagonal):
    """At fractions that no table holds, by the series' own code."""
    area = np.sqrt(3) / 2 if hexagonal else 1.0
    cell = (hexagonal_array if hexagonal else square_array)(np.sqrt(f * area / np.pi))
    found = homogenise(cell, SOLID, 1e-6).engineering
    assert found.G13 * 2 * 1.35 == pytest.approx(perforated.rayleigh(f, hexagonal), rel=2e-6)


@pytest.mark.parametrize(("f", "k"), perforated.SQUARE_ANTIPLANE)
def test_the_series_returns_the_table(f, k):
    assert perforated.rayleigh(f) == pytest.approx(k, rel=2e-9)


@pytest.mark.parametrize(("f", "k"), perforated.HEXAGONAL_ANTIPLANE)
def test_the_series_returns_the_hexagonal_table(f, k):
    assert perforated.rayleigh(f, hexagonal=True) == pytest.approx(k, rel=2e-9)
