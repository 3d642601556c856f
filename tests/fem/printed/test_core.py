"""The core's cell: kept or solved alike, and stretched exactly to beads that are softer across the layers."""

import numpy as np
import pytest

from fem.material.bonded import bonded_beads
from fem.printed.cell_store import CellStore
from fem.printed.core import core_cell
from fem.prismatic.homogenise import homogenise
from patterns.bead import Bead
from patterns.catalogue import find
from patterns.fill import fill_for
from patterns.infill import infill_of
from patterns.setting import Core

BEAD = Bead(0.45, 0.2)


@pytest.mark.parametrize("slug", ["square", "hexagonal"])
def test_stretching_axis_3_is_solving_the_softer_bead(slug):
    pattern = find(slug)
    pitch = fill_for(pattern, 0.45, 0.1125, set_fill=0.3).pitch
    softer = homogenise(pattern.cell(BEAD, pitch, 0.1125, 0.0), bonded_beads(1.0, 1.0, 0.8, 0.33))
    stretched = core_cell(infill_of(Core(slug, 0.3), BEAD), 0.33).stacked(0.8)
    np.testing.assert_allclose(stretched.stiffness, softer.stiffness, atol=2e-5 * softer.stiffness.max())


def test_a_kept_cell_is_the_solved_cell(tmp_path):
    store = CellStore(tmp_path)
    first = core_cell(infill_of(Core("square", 0.25), BEAD), 0.3, store)
    again = core_cell(infill_of(Core("square", 0.25), BEAD), 0.3, CellStore(tmp_path, limit=1_000_000))
    np.testing.assert_array_equal(first.stiffness, again.stiffness)
    np.testing.assert_array_equal(first.concentration, again.concentration)
    assert len(store.entries()) == 1


def test_axial_modulus_is_fill_times_the_beads():
    cell = core_cell(infill_of(Core("triangular", 0.3), BEAD), 0.33)
    assert cell.modulus(2) == pytest.approx(cell.geometric_fill, rel=1e-6)


def test_lines_that_follow_the_outline_have_the_cell_of_straight_ones():
    rings = core_cell(
        infill_of(Core("concentric", 0.3, angle_deg=45.0), BEAD), 0.3
    )  # an outline is not turned
    rows = core_cell(infill_of(Core("parallel", 0.3), BEAD), 0.3)
    assert rings.plateau == pytest.approx(rows.plateau, rel=1e-12)
    assert rings.stiffness == pytest.approx(rows.stiffness, rel=1e-12)
    assert rings.modulus(0) == pytest.approx(0.3, rel=1e-6)  # straight bars: fill times the bead's modulus
    assert rings.modulus(1) == 0


def test_a_kept_cell_cannot_be_changed_by_who_reads_it():
    infill = infill_of(Core("square", 0.3), Bead(0.45, 0.2))
    cell = core_cell(infill, 0.33)
    with pytest.raises(ValueError, match="read-only"):
        cell.stiffness[0, 0] = 0.0
    assert core_cell(infill, 0.33) is cell
