"""Closing the rim of a period: what is one gets one number, and directions without load path are found."""

import numpy as np
import pytest

from fem.material.stiffness import isotropic
from fem.prismatic.cell_mesh import mesh_cell, sharp_corners
from fem.prismatic.periodic import close_period, matches, spans
from fem.prismatic.plan_system import PlanSystem
from patterns.bead import Bead
from patterns.catalogue import CATALOGUE, find
from tests.fem.prismatic.cells import hexagonal_array, parallelogram, square_array, square_lattice, strip

PRISMATIC = sorted(slug for slug, pattern in CATALOGUE.items() if pattern.alike and pattern.periodic)


def cell_of(slug, fill=0.3, radius=0.1, angle=0.0):
    pattern = find(slug)
    return pattern.cell(Bead(0.45), pattern.pitch(0.45, fill), radius, angle)


@pytest.mark.parametrize("slug", PRISMATIC)
def test_euler_characteristic_of_the_closed_surface(slug):
    """V - E + F of a closed torus with holes is minus their number; strips are annuli with 0."""
    cell = cell_of(slug)
    period = close_period(mesh_cell(cell), cell.lattice)
    voids = len(cell.planar.regions)
    expected = 0 if slug in ("parallel", "sinusoidal") else -voids
    assert period.n_vertices - period.n_edges + len(period.vertex) == expected


@pytest.mark.parametrize("slug", PRISMATIC)
def test_free_edges_have_the_length_of_the_outlines(slug):
    cell = cell_of(slug, radius=0.1)
    period = close_period(mesh_cell(cell, 2.0), cell.lattice)
    corner = period.corners[:, [[0, 1], [1, 2], [0, 2]]]
    length = np.linalg.norm(corner[:, :, 1] - corner[:, :, 0], axis=2)[period.free].sum()
    uses = np.zeros(len(cell.planar.curves), dtype=int)
    for region in cell.planar.regions:
        for loop in (region.outer, *region.holes):
            uses[np.abs(loop) - 1] += 1
    for pair in cell.pairs:
        uses[[pair.curve - 1, pair.partner - 1]] += 1
    from fem.numerics.edges import Path

    outline = sum(Path(curve).length for curve, n in zip(cell.planar.curves, uses, strict=True) if n == 1)
    assert length == pytest.approx(outline, rel=5e-3)


def test_points_a_period_apart_match_across_any_corner():
    lattice = np.array([[2.0, 0.5], [0.3, 1.0]])
    points = np.array([[0.1, 0.2], [0.1, 0.2]] + [[0.5, 0.5]]) + np.array([[0, 0], [2, -1], [0, 0]]) @ lattice
    assert matches(points, lattice).tolist() == [[0, 1]]


def test_spans_tell_sheets_from_nets_and_islands():
    lattice = np.eye(2)
    points = np.array([[0.0, 0], [1, 0], [0, 1], [0.5, 0.5]])
    bonds = np.array([[0, 1], [0, 2]])
    anchors, periods = spans(points, bonds, np.array([[0, 1]]), lattice)
    assert len(anchors) == 2
    assert np.linalg.matrix_rank(periods[0]) == 1
    assert len(periods[1]) == 0
    _, periods = spans(points, bonds, np.array([[0, 1], [0, 2]]), lattice)
    assert np.linalg.matrix_rank(periods[0]) == 2


@pytest.mark.parametrize("cell", [square_array(0.3), hexagonal_array(0.35), square_lattice(0.2, 0.05)])
def test_tractions_balance_across_the_rim(cell):
    """Mean stress by energy equals mean stress by averaging over the solid, which needs balanced tractions."""
    period = close_period(mesh_cell(cell), cell.lattice)
    C = isotropic(1.0, 0.3)
    system = PlanSystem(period, C, 4)
    solution = system.solve(4)
    from fem.numerics.triangle import quadrature
    from fem.prismatic.plan_elements import Places, strains

    points, weights = quadrature(12)
    places = Places(period, np.arange(len(period.vertex)), points, 4)
    stress = C @ strains(places, solution.displacement)
    mean = np.einsum("eq,eqij->ij", places.det * weights, stress) / period.area
    assert np.abs(mean - solution.stiffness).max() < 1e-9


def test_sharp_corners_are_found_and_round_ones_are_not():
    assert len(sharp_corners(square_lattice(0.2))) == 4
    assert len(sharp_corners(square_lattice(0.2, 0.05))) == 0
    assert len(sharp_corners(square_array(0.3))) == 0
    assert len(sharp_corners(strip(1.0, 2.0, 0.2))) == 0  # its ends are cuts, its sides are straight
    assert len(sharp_corners(parallelogram(np.eye(2)))) == 0


@pytest.mark.parametrize(
    ("slug", "count"), [("square", 4), ("hexagonal", 6), ("kagome", 12), ("triangular", 6)]
)
def test_sharp_corners_of_patterns(slug, count):
    assert len(sharp_corners(cell_of(slug, radius=0.0))) == count
    assert len(sharp_corners(cell_of(slug, radius=0.05))) == 0
