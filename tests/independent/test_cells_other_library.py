"""Prismatic cells against ngsolve on outlines and meshes of its own."""

import numpy as np
import pytest

from fem.material.stiffness import engineering, isotropic
from fem.prismatic.homogenise import homogenise
from patterns.bead import Bead
from patterns.catalogue import find
from tests.independent.cell_judge import judge

SOLID = isotropic(2000.0, 0.35)
CASES = [
    ("square", {}),
    ("hexagonal", {}),
    ("triangular", {}),
    ("kagome", {}),
    ("rhombic", {"opening_angle_deg": 35.0}),
    ("reentrant", {"cell_angle_deg": -25.0, "height_ratio": 2.0}),
]


@pytest.mark.parametrize(("slug", "own"), CASES)
@pytest.mark.parametrize("fill", [0.25, pytest.param(0.5, marks=pytest.mark.slow)])
def test_another_library_agrees(slug, own, fill):
    pattern = find(slug)
    cell = pattern.cell(Bead(0.45), pattern.pitch(0.45, fill, **own), 0.1, 0.0, **own)
    found = homogenise(cell, SOLID)
    other = engineering(judge(cell, SOLID, 0.3)).as_dict()
    for name, value in found.engineering.as_dict().items():
        scale = max(abs(other[name]), 0.1) if name.startswith("nu") else other[name]
        assert value == pytest.approx(other[name], abs=3e-4 * scale), name


def test_voronoi_cells_agree_too():
    pattern = find("voronoi")
    cell = pattern.cell(Bead(0.45), pattern.pitch(0.45, 0.5, cells=4), 0.1, 0.0, cells=4)
    found = homogenise(cell, SOLID)
    other = judge(cell, SOLID, 0.3)
    assert np.abs(found.stiffness - other).max() < 3e-4 * other.max()
    assert found.engineering.G12 == pytest.approx(engineering(other).G12, rel=3e-4)
