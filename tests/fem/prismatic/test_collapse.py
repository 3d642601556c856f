"""Plastic collapse of cells against closed forms, bounds and invariants."""

from dataclasses import replace

import numpy as np
import pytest
import shapely

from fem.material.stiffness import isotropic
from fem.printed.core import core_cell
from fem.printed.plateau import stretched_plateau
from fem.prismatic.collapse import plan_collapse, upward_collapse
from fem.prismatic.frame import drawn_box, frame_of
from patterns.bead import Bead
from patterns.infill import infill_of
from patterns.setting import Core
from tests.closed_forms import collapse

BEAD = Bead(0.45, 0.2)
LOADS = np.eye(3)
NETS = ("square", "triangular", "kagome", "hexagonal", "rhombic", "reentrant", "voronoi")


def frame(slug, fill, angle=0.0):
    infill = infill_of(Core(slug, fill, angle_deg=angle, corner_radius=0.0), BEAD)
    lattice = infill.cell().lattice
    return frame_of(infill.lines(shapely.box(*drawn_box(lattice))), lattice, BEAD.width)


def cell(core):
    return core_cell(infill_of(core, BEAD), 0.35, None)


@pytest.mark.parametrize("slug", [*NETS, "sinusoidal", "parallel"])
def test_the_frame_holds_every_line_of_a_period_once(slug):
    assert frame(slug, 0.1).fill == pytest.approx(0.1, rel=2e-3)  # curves are drawn with some bars


@pytest.mark.parametrize("axis", [0, 1])
def test_hexagons_collapse_at_two_thirds_of_their_slenderness_squared(axis):
    errors = []
    for fill in (0.04, 0.02, 0.01):
        slender = fill * 3**0.5 / 2
        errors.append(
            plan_collapse(frame("hexagonal", fill), LOADS[axis]) / collapse.hexagon_tension(slender) - 1
        )
    # the joints' size, which the formula leaves out, adds in proportion to the fill
    assert 0 < errors[2] < errors[1] < errors[0]
    assert errors[1] / errors[2] == pytest.approx(2, rel=0.1)
    assert errors[2] < 0.01


@pytest.mark.parametrize("fill", [0.05, 0.2, 0.5])
def test_squares_shear_by_four_hinges(fill):
    one = frame("square", fill)
    pitch = 2 * BEAD.width / fill
    assert plan_collapse(one, LOADS[2]) == pytest.approx(
        collapse.square_shear(BEAD.width, pitch, BEAD.width), rel=1e-6
    )
    bare = replace(one, insets=np.zeros_like(one.insets))
    assert plan_collapse(bare, LOADS[2]) == pytest.approx(collapse.square_shear(BEAD.width, pitch), rel=1e-6)
    # along a family, half of the lines carry; turned by 45 degrees, tension is shear along the lines
    assert plan_collapse(one, LOADS[0]) == pytest.approx(fill / 2, rel=1e-6)
    turned = plan_collapse(frame("square", fill, 45.0), LOADS[2])
    assert turned == pytest.approx(fill / 2, rel=1e-5)  # crossings lie on a grid of 1e-6


@pytest.mark.parametrize("slug", ["triangular", "kagome"])
def test_cells_that_stretch_carry_their_families(slug):
    one = frame(slug, 0.02)
    assert plan_collapse(one, LOADS[0]) == pytest.approx(collapse.triangle_tension(0.02), rel=0.01)
    assert plan_collapse(one, LOADS[1]) == pytest.approx(collapse.triangle_across(0.02), rel=0.01)


def test_plates_of_hexagons_shear_upwards():
    along, across = collapse.hexagon_upward_shear(0.1)
    one = frame("hexagonal", 0.1)
    assert upward_collapse(one, np.array([1.0, 0])) == pytest.approx(along, rel=1e-6)
    assert upward_collapse(one, np.array([0, 1.0])) == pytest.approx(across, rel=1e-6)


@pytest.mark.parametrize("slug", NETS)
def test_collapse_is_bounded_grows_with_fill_and_has_no_sign(slug):
    before = np.zeros(3)
    for fill in (0.05, 0.1, 0.2, 0.4):
        one = frame(slug, fill)
        found = np.array([plan_collapse(one, load) for load in LOADS])
        np.testing.assert_allclose([plan_collapse(one, -load) for load in LOADS], found, rtol=1e-6)
        assert np.all(found > before)
        assert found[:2].max() <= fill
        assert found[2] <= fill / 2  # a line at 45 degrees gives half of its stress to shear
        before = found


@pytest.mark.parametrize("slug", ["hexagonal", "voronoi", "rhombic"])
def test_a_turned_cell_under_a_turned_load_is_the_same(slug):
    turn = np.radians(20.0)
    c, s = np.cos(turn), np.sin(turn)
    here = plan_collapse(frame(slug, 0.2), np.array([1.0, 0.3, 0.2]))
    R = np.array([[c, -s], [s, c]])
    load = R @ np.array([[1.0, 0.2], [0.2, 0.3]]) @ R.T
    there = plan_collapse(frame(slug, 0.2, 20.0), np.array([load[0, 0], load[1, 1], load[0, 1]]))
    assert there == pytest.approx(here, rel=1e-5)


def test_bending_goes_with_the_square_of_the_width_and_stretching_with_the_width():
    one = replace(frame("hexagonal", 0.02), insets=np.zeros((3, 2)))
    twice = replace(one, width=2 * one.width)
    assert plan_collapse(twice, LOADS[0]) == pytest.approx(4 * plan_collapse(one, LOADS[0]), rel=0.02)
    stretched = np.array([1.0, 1.0, 0.0])
    assert plan_collapse(twice, stretched) == pytest.approx(2 * plan_collapse(one, stretched), rel=1e-4)


def test_collapse_lies_above_first_yield_of_the_elastic_cell():
    # lower bound theorem: the elastic stresses of the cell at first yield (without the fillets' peaks) balance the load
    core = cell(Core("hexagonal", 0.2))
    assert 1 / core.concentration[0] < core.plateau[0] < core.geometric_fill


def test_crossing_lines_carry_along_their_own_layers():
    core = cell(Core("alternating", 0.4, angles_deg=(0.0, 90.0)))
    assert core.plateau[0] == pytest.approx(0.2)
    assert core.plateau[1] == pytest.approx(0.2)
    # in shear the frame's hinges, at half of the height each, capped by what the welds can twist
    pitch = BEAD.width / 0.4
    assert 0 < core.plateau[5] < collapse.square_shear(BEAD.width, pitch) / 2


def test_a_cell_known_by_its_stiffness_yields_at_the_yield_strain_of_its_beads():
    # a solid of a third of the bead's modulus stands for any cell: E/E_s in tension, G/G_s in shear
    found = stretched_plateau(isotropic(1 / 3, 0.3), 0.3, 0.5)
    np.testing.assert_allclose(found[:5], 1 / 3, rtol=1e-9)
    assert found[5] == pytest.approx(1 / 3 / 3**0.5)
    assert stretched_plateau(isotropic(1 / 3, 0.3), 0.3, 0.2)[0] == 0.2
