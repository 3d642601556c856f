"""Printed beams of plastic beads as solids, line by line, judge stiffness and largest moment of an estimate (NGSolve).

One period of each beam in pure bending, between planes of symmetry that stay plane. Beads of 1 x 0.5 mm are isotropic,
square-edged, alike in tension and compression and welded all over where they touch, so that nothing but geometry and
mechanics is compared. Upright beams break at their welds; here welds are stronger than beads, so that these yield.
"""

from dataclasses import dataclass

import numpy as np
import pytest

from fem.bending.bending import BendTest
from fem.estimation import Estimate, estimate, prepare
from fem.material.cards import card_from
from fem.setting import Setting
from fem.slices.slice_error import slice_ratio
from fem.slices.slice_grid import SliceGrid
from patterns.bead import Bead
from patterns.outlines.layout import lay_out
from patterns.setting import Core, Printing, Specimen

pytest.importorskip("ngsolve", reason="the judge is another library, ngsolve")

YOUNG, NU, YIELDS = 1000.0, 0.35, 10.0
YIELD_STRAIN = YIELDS / YOUNG
BEAD = Bead(1.0, 0.5, "square")
LEVER = 200.0  # far beyond the depth: bending decides
# of the outermost fibre: the first is elastic, the last near the limit
STRAINS = np.array([0.3, 2.0, 8.0, 12.0]) * YIELD_STRAIN
EARLY = 1  # where beads of little fracture strain break, the section partly elastic


@dataclass(frozen=True)
class Case:
    """A beam with the piece of it that stands for the whole, beside the middle planes of its section.

    Attributes
    ----------
    specimen, printing, core
    axes : tuple of int
        Print axes along the beam, across it and along the load.
    low, high : ndarray, shape (3,)
        Corners of the piece in print axes, mm.
    sheet : float
        Thickness of prisms, mm.
    """

    specimen: Specimen
    printing: Printing
    core: Core
    axes: tuple[int, int, int]
    low: np.ndarray
    high: np.ndarray
    sheet: float


def flat_square(angle_deg: float = 0.0) -> Case:
    """Three periods across, whether the lines are along the beam or at 45 degrees; faces fill without a gap."""
    period = 4.0
    pitch = period if angle_deg == 0 else period / 2**0.5
    core = Core("square", 2 * BEAD.width / pitch, angle_deg=angle_deg, phase=0.0, corner_radius=0.0)
    specimen = Specimen("rectangle", 3 * period + 2 * BEAD.width, 8.0, 100.0)
    high = np.array([period, specimen.width, specimen.depth]) / 2
    return Case(specimen, _printing("flat"), core, (0, 1, 2), np.zeros(3), high, 1.0)


def on_edge_triangular() -> Case:
    """Three rows of triangles in the depth."""
    pitch = 6.0
    core = Core("triangular", 3 * BEAD.width / pitch, phase=0.0, corner_radius=0.0)
    specimen = Specimen("rectangle", 8.0, 3 * pitch + 2 * BEAD.width, 100.0)
    high = np.array([pitch / np.sin(np.pi / 3), specimen.depth, specimen.width]) / 2
    return Case(specimen, _printing("on_edge"), core, (0, 2, 1), np.zeros(3), high, 1.0)


def upright_alternating() -> Case:
    """Lines along and across the load, three in the width; from the middle of one layer to that of the next."""
    pitch = 2.5
    size = 3 * pitch + 2 * BEAD.width
    core = Core("alternating", BEAD.width / pitch, angles_deg=(0.0, 90.0), phase=0.0)
    low, high = np.array([0, 0, -BEAD.height / 2]), np.array([size, size, BEAD.height]) / 2
    specimen = Specimen("rectangle", size, size, 40.0)
    return Case(specimen, _printing("upright"), core, (2, 0, 1), low, high, BEAD.height / 2)


def _printing(orientation: str) -> Printing:
    return Printing(orientation, BEAD, walls=1, bottom_layers=2, top_layers=2, face_angles_deg=(0.0,))


# with a coarse and a fine mesh: edge in the plan (mm) and polynomial order
CASES = [
    pytest.param(flat_square, ((1.0, 2), (1.0, 3)), id="flat_square"),
    pytest.param(on_edge_triangular, ((1.0, 2), (1.0, 3)), id="on_edge_triangular"),
    pytest.param(upright_alternating, ((1.0, 3), (0.5, 3)), id="upright_alternating"),
]


def estimated(case: Case, fracture_strain: float = 1.0) -> Estimate:
    """The estimate for beads without a range, welds a fifth stronger than they."""
    values = {"young_mpa": YOUNG, "poisson": NU, "across_bead_ratio": 1.0, "density_g_cm3": 1.0}
    values |= dict.fromkeys(("tension_along_mpa", "tension_across_mpa", "compression_mpa"), YIELDS)
    values |= {"shear_mpa": YIELDS / 3**0.5, "fracture_strain": fracture_strain}
    values |= dict.fromkeys(("weld_tension_mpa", "weld_shear_mpa"), 1.2 * YIELDS)
    test = BendTest("cantilever", lever=LEVER, root=0.0)
    return estimate(Setting(case.specimen, case.printing, case.core, test, card_from(values, "judge")))


def judged(case: Case, strains: np.ndarray, size: float, order: int) -> np.ndarray:
    """Moments (n,) of the drawn beam at strains (n,) of its outermost fibre, N mm."""
    import ngsolve
    from ngsolve import CF

    from tests.independent.drawn_period import courses, extruded, ngsolve_mesh
    from tests.independent.plastic_judge import Body, Plastic

    along, across, depth = case.axes
    layout = lay_out(case.specimen, case.printing, case.core)
    piece = extruded(courses(layout, case.low, case.high, case.sheet), size)
    planes = {"start": (along, case.low[along]), "stop": (along, case.high[along])}
    mesh = ngsolve_mesh(piece, planes | {"side": (across, 0.0), "middle": (depth, 0.0)})
    assert ngsolve.Integrate(1.0, mesh) == pytest.approx(piece.volume, rel=1e-6)
    # stresses of the lower half mirror those of the upper with the other sign
    held = {along: "start|stop|middle", across: "side|middle", depth: ""}
    body = Body(mesh, [held[axis] for axis in range(3)], Plastic(YOUNG, NU, YIELDS), order)
    height = (ngsolve.x, ngsolve.y, ngsolve.z)[depth]
    stretch = CF(tuple(height if place == 4 * along else 0.0 for place in range(9)), dims=(3, 3))
    work = body.bend(stretch, 2 * strains / case.specimen.depth)
    return 4 * work / (case.high - case.low)[along]


def stiffness(moments: np.ndarray, case: Case) -> float:
    """EI (N mm^2) of a beam whose first moment is elastic."""
    return float(moments[0] / (2 * STRAINS[0] / case.specimen.depth))


@pytest.mark.slow
@pytest.mark.parametrize(("make", "meshes"), CASES)
def test_a_beam_of_plastic_beads_carries_what_is_estimated(make, meshes):
    case, mine = make(), estimated(make())
    coarse, fine = (judged(case, STRAINS, *mesh) for mesh in meshes)
    assert 0.985 * coarse[-1] <= fine[-1] <= coarse[-1]  # converged in mesh, from above
    assert fine[-1] == pytest.approx(fine[-2], rel=0.01)  # and near the limit
    assert stiffness(fine, case) == pytest.approx(mine.EI.best, rel=0.03)
    assert fine[-1] == pytest.approx(mine.breaking_force.best * LEVER, rel=0.10)
    early = estimated(case, STRAINS[EARLY]).breaking_force.best
    assert fine[EARLY] == pytest.approx(early * LEVER, rel=0.10)


@pytest.mark.slow
def test_lines_that_bend_carry_what_is_estimated():
    # Lines at 45 degrees stretch by bending at their joints. The faces of a core two pitches deep hold them, so that
    # this is the hardest of the four: 9.4 % here, falling with the mesh.
    case = flat_square(45.0)
    found = judged(case, STRAINS[[0, EARLY, -1]], 0.5, 3)
    assert found[-1] == pytest.approx(estimated(case).breaking_force.best * LEVER, rel=0.10)


@pytest.mark.slow
def test_how_faces_hold_lines_that_bend_is_told_by_the_slice_of_the_beam():
    case = flat_square(45.0)
    mine = estimated(case)
    beam, values = prepare(mine.setting, mine.layout)
    told = slice_ratio(SliceGrid(beam, values, across=4)).ratios["EI"]
    found = stiffness(judged(case, STRAINS[:1], 0.5, 3), case)
    assert found == pytest.approx(told * mine.EI.best, rel=0.01)


@pytest.mark.slow
@pytest.mark.xfail(
    strict=True, reason="faces hold bending lines of a core two pitches deep: EI estimated 4.6 % too low"
)
def test_lines_that_bend_are_as_stiff_as_estimated():
    case = flat_square(45.0)
    assert stiffness(judged(case, STRAINS[:1], 0.5, 3), case) == pytest.approx(
        estimated(case).EI.best, rel=0.03
    )
