"""A core drawn line by line against its homogenised stiffness, inside a wall: mean and spread over line phase."""

import time

import numpy as np
import pytest

from fem.material.stiffness import isotropic, rotate
from fem.prismatic.homogenise import homogenise
from fem.section.mesh import section_mesh
from fem.section.solve import solve_section
from fem.slices.resolved import core_lines
from patterns.bead import Bead
from patterns.catalogue import find
from patterns.fill import fill_for
from patterns.outlines.layout import lay_out
from patterns.outlines.orientation import beam_from_print
from patterns.setting import Core, Printing, Specimen

BEAD, NU, WALLS = Bead(0.45, 0.2), 0.35, 2
PHASES = (0.0, 0.25, 0.5, 0.75)
SOLID = isotropic(1.0, NU)


def ratios(slug, set_fill, cells):
    """Resolved over homogenised EI, GA and GJ, (n_phases, 3), of a square beam with ``cells`` pitches in its core."""
    radius = BEAD.width / 4
    pitch = fill_for(find(slug), BEAD.width, radius, set_fill=set_fill).pitch
    side = cells * pitch + 2 * WALLS * BEAD.width
    C = rotate(
        homogenise(find(slug).cell(BEAD, pitch, radius, 0.0), SOLID).stiffness, beam_from_print("upright")
    )
    smooth = None
    found = []
    for phase in PHASES:
        core = Core(slug, set_fill, phase=phase)
        layout = lay_out(Specimen("rectangle", side, side, 5 * side), Printing("upright", BEAD, WALLS), core)
        if smooth is None:
            made = section_mesh([layout.area("wall"), layout.area("core")], side / 16)
            smooth = solve_section(made.mesh, np.stack([SOLID, C])[made.zone])
        drawn = solve_section(section_mesh([layout.area("wall"), core_lines(layout)], side).mesh, SOLID)
        found.append(
            [
                drawn.bending_stiffness() / smooth.bending_stiffness(),
                drawn.shear_stiffness() / smooth.shear_stiffness(),
                drawn.GJ / smooth.GJ,
            ]
        )
    return np.array(found)


@pytest.mark.slow
def test_square_grid_tends_to_its_homogenised_core_as_the_cells_get_many():
    means, spreads = [], []
    for cells in (2, 4, 6, 9):
        found = ratios("square", 0.3, cells)
        means.append(found.mean(axis=0))
        spreads.append(np.ptp(found, axis=0))
    means, spreads = np.array(means), np.array(spreads)
    assert means[2:, :2] == pytest.approx(1.0, abs=0.02)  # EI and GA from six cells on
    # A line more or less at the wall matters ever less to bending and torsion; shear hardly minds beyond four cells.
    assert (np.diff(spreads[:, [0, 2]], axis=0) < 0).all()
    assert (spreads[1:, 1] < 0.25 * spreads[0, 1]).all()
    assert spreads[-1, 0] < 0.7 * spreads[0, 0]


@pytest.mark.slow
@pytest.mark.parametrize(("slug", "set_fill"), [("triangular", 0.3), ("hexagonal", 0.25), ("square", 0.7)])
def test_six_cells_of_a_pattern_meet_its_homogenised_core(slug, set_fill):
    assert ratios(slug, set_fill, 6).mean(axis=0)[:2] == pytest.approx(1.0, abs=0.02)


@pytest.mark.slow
def test_meshes_as_used_err_less_than_their_band_against_overkill():
    radius = BEAD.width / 4
    pitch = fill_for(find("square"), BEAD.width, radius, set_fill=0.5).pitch
    side = 3 * pitch + 2 * WALLS * BEAD.width
    layout = lay_out(
        Specimen("rectangle", side, side, 5 * side), Printing("upright", BEAD, WALLS), Core("square", 0.5)
    )
    wall, core, drawn = layout.area("wall"), layout.area("core"), core_lines(layout)
    soft = np.stack([SOLID, np.diag([0.1, 0.01, 0.01, 0.002, 0.03, 0.03])])
    for zones, materials, size, within in (
        ([wall, drawn], np.stack([SOLID, SOLID]), BEAD.width, 2e-3),
        ([wall, core], soft, side / 12, 5e-4),
    ):
        used, overkill = (section_mesh(zones, each) for each in (size, size / 8))
        assert overkill.mesh.nelements > 4 * used.mesh.nelements
        found, exact = (solve_section(made.mesh, materials[made.zone]) for made in (used, overkill))
        for name in ("EA", "EI_y", "EI_z", "GJ", "GA_y", "GA_z"):
            assert getattr(found, name) == pytest.approx(getattr(exact, name), rel=within)


@pytest.mark.slow
@pytest.mark.parametrize("set_fill", [0.2, 0.8])
def test_a_drawn_section_of_20_mm_takes_less_than_half_a_minute(set_fill):
    core = Core("square", set_fill)
    layout = lay_out(Specimen("rectangle", 20, 20, 100), Printing("upright", BEAD, WALLS), core)
    start = time.process_time()
    made = section_mesh([layout.area("wall"), core_lines(layout)], BEAD.width)
    section = solve_section(made.mesh, SOLID)
    assert time.process_time() - start < 30
    assert section.EA == pytest.approx(layout.area("wall").area + core_lines(layout).area, rel=2e-3)
