"""Stacks of plans on boxes: element, symmetry, exact cases, and the mapped solver as a judge."""

from dataclasses import replace

import numpy as np
import pytest
from shapely import LineString

from fem.bending.bending import BendTest
from fem.estimation import estimate
from fem.layered.layered import homogenise_layered
from fem.layered.stack_solve import mean_stiffness
from fem.layered.stack_system import build_system
from fem.layered.stacked import extrapolate
from fem.layered.voxels import VoxelGrid
from fem.material.cards import shipped_card
from fem.material.stiffness import about_axis_3, engineering, isotropic, rotate, transversely_isotropic
from fem.numerics.box_element import CORNERS, box_stiffness
from fem.setting import Setting
from patterns.bead import Bead
from patterns.catalogue import find
from patterns.cells.stack import IDENTITY, Motion, StackedCell
from patterns.setting import Core, Printing, Specimen

PLASTIC = isotropic(1.0, 0.35)
FIBROUS = transversely_isotropic(3.0, 1.0, 0.3, 0.4, 0.8)
ALONG_1 = (LineString([(-1, 0.5), (2, 0.5)]),)
ALONG_2 = (LineString([(0.5, -1), (0.5, 2)]),)
MIRRORS = tuple(
    Motion((x, y, z), (0, 0, 4 if z < 0 else 0)) for x in (1, -1) for y in (1, -1) for z in (1, -1)
)


def stack(fill, *layers, section="stadium", motions=(IDENTITY,)):
    bead = Bead(0.45, 0.2, section)
    return StackedCell("test", bead, bead.width / fill, 0.0, layers, bead.height, fill, motions)


def solve(cell, sublayers, side, material=PLASTIC):
    return mean_stiffness(build_system(VoxelGrid(cell, sublayers, side), material))[0]


def test_box_carries_constant_strain_exactly():
    edges, C = np.array([0.3, 0.5, 0.2]), FIBROUS
    eps = np.array([[0.1, 0.2, -0.3], [0.2, 0.4, 0.1], [-0.3, 0.1, -0.2]])
    u = (CORNERS * edges @ eps).ravel()
    voigt = np.array([0.1, 0.4, -0.2, 0.2, -0.6, 0.4])
    assert u @ box_stiffness(edges, C) @ u == pytest.approx(voigt @ C @ voigt * edges.prod(), rel=1e-12)


def test_box_bends_exactly():
    # Pure bending of a bar without lateral strain: u = k x z, w = -k x^2/2, energy E I k^2 L (no factor 1/2 here).
    length, width, depth, k = 0.7, 0.4, 0.3, 1.3
    edges = np.array([length, width, depth])
    x, _, z = (CORNERS * edges - edges / 2).T
    u = np.column_stack([k * x * z, 0 * x, -k * x**2 / 2]).ravel()
    exact = k**2 * width * depth**3 / 12 * length
    assert u @ box_stiffness(edges, isotropic(1.0, 0.0)) @ u == pytest.approx(exact, rel=1e-12)


@pytest.mark.parametrize("material", [PLASTIC, FIBROUS], ids=["isotropic", "fibrous"])
def test_a_stack_without_voids_is_its_material(material):
    overlapping = stack(1.3, ALONG_1, section="square")
    assert solve(overlapping, 2, 8, material) == pytest.approx(material, rel=1e-5, abs=1e-5)


@pytest.mark.parametrize(("material", "E1"), [(PLASTIC, 1.0), (FIBROUS, 3.0)], ids=["isotropic", "fibrous"])
def test_straight_lines_carry_along_themselves_what_they_hold(material, E1):
    # Checks A3: E along the lines = phi E exactly, nothing across.
    grid = VoxelGrid(stack(0.5, ALONG_1), 4, 16)
    C = mean_stiffness(build_system(grid, material))[0]
    assert engineering(C, 1e-7).E1 == pytest.approx(grid.fill * E1, rel=1e-5)
    assert np.abs(C[1]).max() < 1e-6


def test_turned_fibres_turn_the_stiffness():
    across = solve(stack(0.5, ALONG_2), 2, 16, FIBROUS)
    along = solve(stack(0.5, ALONG_1), 2, 16, FIBROUS)
    assert across == pytest.approx(rotate(along, about_axis_3(np.pi / 2)), rel=1e-4, abs=1e-4)


def test_symmetry_changes_nothing_but_the_size():
    whole = build_system(VoxelGrid(stack(0.5, ALONG_1, ALONG_2), 2, 16), PLASTIC)
    eighth = build_system(VoxelGrid(stack(0.5, ALONG_1, ALONG_2, motions=MIRRORS), 2, 16), PLASTIC)
    assert len(eighth.nodes) < 0.3 * len(whole.nodes)
    assert mean_stiffness(eighth)[0] == pytest.approx(mean_stiffness(whole)[0], rel=1e-4, abs=1e-6)


def test_gyroid_repeats_under_its_motions():
    bead = Bead(0.45, 0.2)
    grid = VoxelGrid(find("gyroid").cell(bead, 2.2), 2, 16)
    assert len(grid.cell.layers) % 2 == 1
    boxes = np.arange(grid.fullness.size)
    for motion in grid.cell.motions:
        moved = grid.fullness.ravel()[grid.moved_boxes(boxes, motion)]
        assert moved == pytest.approx(grid.fullness.ravel(), abs=0.02)


def test_coarser_boxes_only_save_work(monkeypatch):
    # The same grid factored at once, and by multigrid over two coarser ones, to far below any error bar.
    grid = VoxelGrid(find("gyroid").cell(Bead(0.45, 0.2), 1.5), 4, 32)
    system = build_system(grid, FIBROUS)
    monkeypatch.setattr("fem.layered.stack_levels._FEW", 10**6)
    exact = mean_stiffness(system)[0]
    monkeypatch.setattr("fem.layered.stack_levels._FEW", 100)
    missed = []
    for tolerance in (1e-2, 1e-5):
        found = mean_stiffness(system, tolerance)[0]
        missed.append(np.linalg.eigvalsh(found - exact))
        assert missed[-1][0] > -1e-9  # energies from above
    assert missed[0][-1] > 1e-6
    assert missed[1][-1] < 1e-8


def _mean_over_offsets(sublayers, side, fill=0.4):
    """Mean constants of crossing lines over their offsets from the grid, as in a pattern that meets it everywhere."""
    found = []
    for share in (0.0, 0.25, 0.5, 0.75):
        at = 0.5 + share / side
        one, other = LineString([(-1, at), (2, at)]), LineString([(at, -1), (at, 2)])
        constants = engineering(solve(stack(fill, (one,), (other,)), sublayers, side), 1e-7)
        found.append([constants.E1, constants.E3, constants.G23, constants.G12])
    return np.mean(found, axis=0)


def test_boxes_approach_the_mapped_mesh_on_crossing_lines():
    # Two discretisations that share no mesh, no element and no solver.
    cell = find("alternating").cell(Bead(0.45, 0.2), 0.45 / 0.4, angles_deg=(0.0, 90.0))
    constants = homogenise_layered(cell, PLASTIC).engineering
    mapped = np.array([constants.E1, constants.E3, constants.G23, constants.G12])
    grids = [(3, 16), (6, 32)]
    edges = [VoxelGrid(stack(0.4, ALONG_1, ALONG_2), *grid).edge for grid in grids]
    coarse, fine = (_mean_over_offsets(*grid) for grid in grids)
    assert np.all(np.abs(fine / mapped - 1) < 0.5 * np.abs(coarse / mapped - 1))
    assert extrapolate([coarse, fine], edges) == pytest.approx(mapped, rel=0.015)


def test_turning_the_cell_turns_its_stiffness(monkeypatch):
    monkeypatch.setattr("fem.layered.stacked._pair", lambda cell: (4.5, 9))
    cell = stack(0.4, ALONG_1, ALONG_1)
    C = homogenise_layered(cell, PLASTIC).stiffness
    turned = homogenise_layered(replace(cell, angle_deg=30.0), PLASTIC).stiffness
    assert turned == pytest.approx(rotate(C, about_axis_3(np.pi / 6)), rel=1e-6, abs=1e-8)


@pytest.mark.slow
def test_gyroid_at_a_fifth_is_good_to_two_per_cent():
    bead = Bead(0.45, 0.2)
    pattern = find("gyroid")
    cell = pattern.cell(bead, pattern.pitch(bead.width, 0.2))
    solved = homogenise_layered(cell, PLASTIC, 0.02)
    assert solved.met
    # Grids of 13 and 17.5 boxes across the bead (0.9 million unknowns), extrapolated by hand like the edge squared.
    expected = {"E1": 0.0244, "E3": 0.0471, "G13": 0.01347, "G12": 0.01097}
    found = solved.engineering.as_dict()
    for name, value in expected.items():
        assert found[name] == pytest.approx(value, rel=0.02)


def test_the_mean_stiffness_is_symmetric_to_the_last_digit():
    # The iteration's residual must not reach the section, which refuses what is not symmetric.
    C = solve(find("gyroid").cell(Bead(0.45, 0.2), 1.5, 0.1, 0.0), 1, 16)
    assert (C == C.T).all()


@pytest.mark.slow
@pytest.mark.parametrize("orientation", ["flat", "on_edge", "upright"])
def test_a_core_of_stacked_plans_makes_a_beam(orientation):
    setting = Setting(
        Specimen("rectangle", 10.0, 8.0, 120.0),
        Printing(orientation, Bead(0.45, 0.2)),
        Core("gyroid", 0.3),
        BendTest("three_point", span=80.0),
        shipped_card("PLA"),
    )
    empty = replace(setting, core=Core("gyroid", 0.0))
    assert estimate(setting).EI.best > estimate(empty).EI.best > 0
