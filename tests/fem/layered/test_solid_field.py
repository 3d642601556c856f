"""Fields of layered cells: uniform strain where nothing else can be, mean stress, equilibrium of single beads."""

import numpy as np
import pytest
from shapely import LineString

from fem.layered.solid_field import solid_field
from fem.material.stiffness import isotropic, transversely_isotropic
from patterns.bead import Bead
from patterns.catalogue import find
from patterns.cells.stack import IDENTITY, StackedCell

PLASTIC = isotropic(2.0, 0.35)
FIBROUS = transversely_isotropic(3.0, 1.0, 0.3, 0.4, 0.8)


def crossing(*angles, fill=0.4, section="stadium"):
    bead = Bead(0.45, 0.2, section)
    return find("alternating").cell(bead, bead.width / fill, angles_deg=angles)


def boxes(angle=0.0):
    bead = Bead(0.45, 0.2, "square")
    line = (LineString([(-1, 0.5), (2, 0.5)]),)
    return StackedCell("test", bead, 1.125, angle, (line,), bead.height, 0.4, (IDENTITY,))


def mean_stress(field):
    """Mean over the piece by unit mean stress, (6, 6); nan without load path."""
    found = np.full((6, 6), np.nan)
    for case in range(6):
        if (strain := field.unit_strain(case)) is not None:
            found[:, case] = np.einsum("m,mvk,k->v", field.sizes, field.stress, strain)
    return found


@pytest.mark.parametrize("angles", [(0.0, 90.0), (20.0, 80.0)])
def test_crossing_beads_have_the_mean_stress_that_was_asked_for(angles):
    # Mean of the local stress = mean stress (Hill 1963). Half of the beads are images of the meshed ones under a turn
    # that maps stresses in the plan, along axis 3 and across it among themselves: traces over these spaces are kept.
    mean = mean_stress(solid_field(crossing(*angles), PLASTIC))
    for space in ([0, 1, 5], [2], [3, 4]):
        assert np.trace(mean[np.ix_(space, space)]) == pytest.approx(len(space), rel=0.03)  # midpoint rule


@pytest.mark.parametrize(
    ("cell", "share"),
    [(crossing(0.0), 0.02), (boxes(), 1e-4), (boxes(25.0), 1e-4)],
    ids=["beads", "boxes", "turned"],
)
def test_parallel_beads_have_the_mean_stress_that_was_asked_for(cell, share):
    mean = np.diag(mean_stress(solid_field(cell, PLASTIC)))
    carried = ~np.isnan(mean)
    assert carried.any()
    assert mean[carried] == pytest.approx(np.ones(carried.sum()), abs=share)


def test_bead_volume_is_the_fill():
    for cell in (crossing(0.0, 90.0), crossing(10.0, 55.0), boxes()):
        fill = getattr(cell, "geometric_fill", cell.set_fill)  # equal for square edges
        assert solid_field(cell, PLASTIC).sizes.sum() == pytest.approx(fill, rel=0.01)  # midpoint rule


def test_parallel_beads_under_tension_along_them_are_in_uniform_tension():
    # Bars side by side: stress 1 / (area share) along, zero across.
    cell = crossing(0.0, fill=0.3)
    field = solid_field(cell, PLASTIC)
    stress = field.stress @ field.unit_strain(0)
    assert np.ptp(stress[:, 0]) < 1e-9
    assert stress[0, 0] == pytest.approx(1 / cell.geometric_fill, rel=2e-3)  # of the mesh's area
    assert np.abs(stress[:, 1:]).max() < 1e-6


def test_turning_a_cell_turns_its_field():
    straight, turned = solid_field(boxes(), PLASTIC), solid_field(boxes(90.0), PLASTIC)
    near = {"rel": 1e-4, "abs": 1e-6}  # the solver's tolerance
    assert turned.stiffness[1, 1] == pytest.approx(straight.stiffness[0, 0], **near)
    along, across = straight.unit_strain(0), turned.unit_strain(1)
    assert (turned.stress @ across)[:, 1] == pytest.approx((straight.stress @ along)[:, 0], **near)
    assert (turned.displacement @ across)[:, 1] == pytest.approx(
        (straight.displacement @ along)[:, 0], **near
    )


def test_hexahedra_are_right_side_out_and_meet_at_their_nodes():
    for cell in (crossing(0.0, 60.0), boxes()):
        field = solid_field(cell, FIBROUS)
        assert (field.sizes > 0).all()
        assert len(np.unique(field.cells)) == len(field.points)


def test_no_load_path_no_strain():
    field = solid_field(
        boxes(), PLASTIC
    )  # single layers of parallel lines, stacked: nothing carries across them
    assert field.unit_strain(1) is None
