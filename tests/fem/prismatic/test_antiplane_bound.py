"""Antiplane stiffness held between displacements and a stress function."""

import math

import numpy as np
import pytest

from fem.material.stiffness import isotropic
from fem.prismatic.antiplane_bound import antiplane_lower_bound
from fem.prismatic.cell_mesh import mesh_cell
from fem.prismatic.homogenise import homogenise
from fem.prismatic.periodic import close_period
from fem.prismatic.plan_system import PlanSystem
from patterns.bead import Bead
from patterns.catalogue import find
from patterns.errors import InputError
from patterns.fill import fill_for
from tests.closed_forms import perforated
from tests.fem.prismatic.cells import circle, parallelogram

SOLID = isotropic(1.0, 0.35)
G = 1 / 2.7
PATTERNS = ("square", "hexagonal", "triangular", "kagome", "rhombic", "reentrant", "voronoi")


def both(cell, tolerance=1e-3):
    """Lower and upper bound on shears 13 and 23, and the solution."""
    solved = homogenise(cell, SOLID, tolerance)
    return antiplane_lower_bound(solved.fields.period, G), solved.stiffness[np.ix_([4, 3], [4, 3])], solved


def pattern_cell(slug, fill, radius):
    pattern = find(slug)
    pitch = fill_for(pattern, 0.45, radius, set_fill=fill).pitch
    return pattern.cell(Bead(0.45, 0.2, "square"), pitch, radius, 0.0)


@pytest.mark.parametrize("hexagonal", [False, True])
@pytest.mark.parametrize("f", [0.1, 0.5])
def test_bounds_enclose_the_exact_modulus_of_hole_arrays(f, hexagonal):
    # Rayleigh 1892 for circular holes; see tests/closed_forms/perforated.py.
    lattice = np.array([[1.0, 0.0], [0.5, math.sqrt(0.75)]]) if hexagonal else np.eye(2)
    radius = math.sqrt(f * np.linalg.det(lattice) / math.pi)
    low, high, _ = both(parallelogram(lattice, [circle(radius)]))
    exact = perforated.rayleigh(f, hexagonal)
    assert low[0, 0] / G < exact * (1 + 1e-7)  # outlines are polynomials of order 8
    assert high[0, 0] / G > exact * (1 - 1e-7)
    assert high[0, 0] / low[0, 0] < 1 + 2e-4


@pytest.mark.parametrize("slug", PATTERNS)
@pytest.mark.parametrize("radius", [0.0, 0.1125])
def test_lower_bounds_are_lower_and_close(slug, radius):
    low, high, solved = both(pattern_cell(slug, 0.3, radius))
    gaps = np.linalg.eigvalsh(high - low)
    assert gaps[0] > 0
    assert gaps[1] < 1e-3 * high[0, 0]
    # The a-posteriori error must not promise much more than the guaranteed gap shows.
    shear = [1 / np.linalg.inv(bound)[0, 0] for bound in (low, high)]
    assert solved.errors["G13"] < 10 * (1 - shear[0] / shear[1]) + 1e-9


def test_an_overkill_solution_lies_between_the_bounds_of_coarse_ones():
    cell = pattern_cell("square", 0.5, 0.0)
    low, high, _ = both(cell)
    period = close_period(mesh_cell(cell, 2.5), cell.lattice)
    best = PlanSystem(period, SOLID, 8).solve(8).stiffness[4, 4]
    assert low[0, 0] < best < high[0, 0]


def test_refinement_raises_the_lower_bound():
    cell = pattern_cell("hexagonal", 0.3, 0.0)
    bounds = [
        antiplane_lower_bound(close_period(mesh_cell(cell, fineness), cell.lattice), G)[0, 0]
        for fineness in (1.0, 2.0)
    ]
    assert bounds[0] < bounds[1]


def test_a_plan_without_voids_has_the_shear_modulus_itself():
    low, high, _ = both(parallelogram(np.eye(2)))
    assert low == pytest.approx(G * np.eye(2), abs=1e-12)
    assert high == pytest.approx(G * np.eye(2), abs=1e-12)


def test_turning_the_cell_turns_the_bound():
    pattern = find("rhombic")
    pitch = fill_for(pattern, 0.45, 0.1, set_fill=0.3).pitch
    straight, turned = (
        both(pattern.cell(Bead(0.45, 0.2, "square"), pitch, 0.1, angle))[0] for angle in (0.0, 90.0)
    )
    assert np.diag(turned) == pytest.approx(np.diag(straight)[::-1], rel=1e-4)


def test_no_bound_where_a_void_runs_through():
    with pytest.raises(InputError, match="runs through"):
        both(pattern_cell("sinusoidal", 0.3, 0.1))
