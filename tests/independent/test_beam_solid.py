"""Short printed beams as solids, line by line, judge the whole chain from line to beam stiffness (NGSolve, prisms).

Beads of 1 x 0.5 mm make sections of about 8 mm: one wall, two face layers, lines at 45 degrees taking turns. Beads are
isotropic and square-edged, so that nothing but the geometry and the mechanics is compared.
"""

from dataclasses import dataclass

import numpy as np
import pytest

from fem.beam.section_model import mesh_layout, solve_layout
from fem.bending.bending import BendTest
from fem.material.stiffness import isotropic
from fem.printed.contact import Contact
from fem.printed.core import core_cell
from fem.printed.weld_plane import WeldPlane
from fem.slices.slice_error import slice_ratio
from fem.slices.slice_grid import SliceGrid
from fem.strength.criteria import Beam
from patterns.bead import Bead
from patterns.outlines.layout import Layout, lay_out
from patterns.setting import Core, Printing, Specimen

pytest.importorskip("ngsolve", reason="the judge is another library, ngsolve")

YOUNG, NU = 1000.0, 0.35
BEAD = Bead(1.0, 0.5, "square")
STEP = np.sqrt(0.5)  # grid of squares on whose diagonals lie beads 1 mm wide and, at fill 0.4, 2.5 mm apart
CORE = np.arange(-4, 5) * STEP
ACROSS = np.concatenate([[CORE[0] - 1], CORE, [CORE[-1] + 1]])
ALONG = np.arange(-12, 13) * STEP  # a free length with an end wall on its tip
WIDTH, STACK = ACROSS[-1] - ACROSS[0], 8.0
HALF = ALONG[-1] + BEAD.width
PERIOD = 5 * STEP


@dataclass(frozen=True)
class Case:
    """A layout with what of it is meshed: grid of the plan, layers, beam and depth axis, and the window."""

    layout: Layout
    breaks: tuple[np.ndarray, np.ndarray]
    layers: range
    axes: tuple[int, int]
    window: tuple[float, float]


def case(orientation: str, fill: float) -> Case:
    if orientation == "upright":
        sizes, length, faces = (WIDTH, WIDTH), 18.0, (0, 2)
        breaks, layers, axes, window = (ACROSS, ACROSS), range(36), (2, 1), (7.0, 11.0)
    else:
        sizes, length, faces = (WIDTH, STACK) if orientation == "flat" else (STACK, WIDTH), 2 * HALF, (2, 2)
        breaks, layers, axes = (
            (np.append(ALONG, HALF), ACROSS),
            range(16),
            (0, 2 if orientation == "flat" else 1),
        )
        window = (-2 * STEP, PERIOD - 2 * STEP)
    specimen = Specimen("rectangle", *sizes, length)
    printing = Printing(orientation, BEAD, walls=1, bottom_layers=faces[0], top_layers=faces[1])
    core = Core("alternating", fill, phase=0.0)
    return Case(lay_out(specimen, printing, core), breaks, layers, axes, window)


def beam_of(layout: Layout) -> Beam:
    """The layout of isotropic beads, without grooves between its layers."""
    solid = WeldPlane(walls=Contact((0.0,), (1.0,), False, 1.0), core=None, modulus_ratio=1.0)
    core = core_cell(layout.infill, NU)
    return Beam(layout, BendTest("cantilever", lever=40.0), isotropic(YOUNG, NU), YOUNG, NU, core, solid)


def program(layout: Layout) -> dict[str, float]:
    """EI and GA of the homogenised section."""
    return solve_layout(beam_of(layout), *mesh_layout(layout)).elastic(0.0)


def judged(one: Case, order: int):
    from tests.independent.beam_judge import judge, printed_solid

    solid = printed_solid(one.layout, one.breaks, one.layers)
    return judge(solid, *one.axes, one.window, YOUNG, NU, order)


def free_stiffness(one: Case, EI: float, GA: float) -> float:
    """Force over deflection of a cantilever five depths long with a rigid root."""
    depth = one.layout.specimen.depth
    return BendTest("cantilever", lever=5 * depth).stiffness(EI, GA, depth, 0.0)


def test_the_grid_holds_every_line_exactly():
    from tests.independent.beam_judge import printed_solid

    for orientation in ("flat", "on_edge", "upright"):
        one = case(orientation, 0.4)
        solid = printed_solid(one.layout, one.breaks, one.layers)
        a, b, c = (solid.points[solid.prisms[:, k], :2] for k in range(3))
        areas = np.cross(np.pad(b - a, ((0, 0), (0, 1))), np.pad(c - a, ((0, 0), (0, 1))))[:, 2] / 2
        assert areas.sum() * BEAD.height == pytest.approx(solid.volume, rel=1e-6)


@pytest.mark.slow
def test_a_solid_beam_is_judged_as_its_section():
    # Fill 1 leaves no void: the judge must find EI and GA of the solid bar, which closed forms hold elsewhere.
    one = case("flat", 1.0)
    found, mine = judged(one, 2), program(one.layout)
    assert mine["EI"] == pytest.approx(YOUNG * WIDTH * STACK**3 / 12, rel=1e-4)
    assert found.EI == pytest.approx(mine["EI"], rel=5e-4)
    assert found.GA == pytest.approx(mine["GA"], rel=1e-3)


@pytest.mark.slow
@pytest.mark.parametrize("orientation", ["flat", "on_edge", "upright"])
def test_a_printed_beam_is_as_stiff_as_estimated(orientation):
    one = case(orientation, 0.4)
    mine, coarse, fine = program(one.layout), judged(one, 2), judged(one, 3)
    expected, at_first, at_last = (
        free_stiffness(one, *pair)
        for pair in ((mine["EI"], mine["GA"]), (coarse.EI, coarse.GA), (fine.EI, fine.GA))
    )
    assert at_last == pytest.approx(at_first, rel=0.01)  # converged in mesh, from above
    assert at_last <= at_first
    assert at_last == pytest.approx(expected, rel=0.05)
    if orientation != "upright":
        # What is left is the error of the homogenised core, as the program's own slice of the beam tells it.
        told = slice_ratio(SliceGrid(beam_of(one.layout), {}, across=1 / (STEP / 4), sublayers=2)).ratios
        assert fine.EI / mine["EI"] == pytest.approx(told["EI"], rel=0.01)
        assert fine.GA / mine["GA"] == pytest.approx(told["GA"], rel=0.015)
