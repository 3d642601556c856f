"""Layered cells: exact cases, bounds, invariance, convergence, and the facts of the design page."""

import numpy as np
import pytest

from fem.layered.bead_domain import crossing_domain, square_domain, square_pair_domain
from fem.layered.layered import domains, extrapolate, homogenise_layered, mean_stiffness, pull
from fem.material.bonded import laminate
from fem.material.stiffness import about_axis_3, engineering, isotropic, rotate, transversely_isotropic
from patterns.bead import Bead
from patterns.catalogue import find
from patterns.cells.layered import LayerSection, conserving_section, layered_cell
from patterns.errors import InputError

PLASTIC = isotropic(1.0, 0.35)
FIBROUS = transversely_isotropic(3.0, 1.0, 0.3, 0.4, 0.8)
ONE = np.eye(6)


def alternating(fill, *angles, section="stadium", shift=0.0):
    bead = Bead(0.45, 0.2, section)
    return find("alternating").cell(bead, bead.width / fill, angles_deg=angles or (0.0, 90.0), shift=shift)


def raster(*angles, overlap_mm=None, shift=0.0):
    own = {} if overlap_mm is None else {"overlap_mm": overlap_mm}
    return find("solid").cell(Bead(0.45, 0.2), 0.45, angles_deg=angles, shift=shift, **own)


def coarse(cell, material=PLASTIC, fineness=1):
    """Return the mean stiffness on one coarse mesh: too stiff, with every symmetry exact."""
    return mean_stiffness(domains(cell, material, fineness, 2))[0]


def loewner(C, D, slack=0.0):
    """Return whether C <= D as quadratic forms, up to a share of D."""
    return np.linalg.eigvalsh((1 + slack) * D - C)[0] > -1e-9 * np.abs(D).max()


# Facts of the project's design page, own earlier computations, each +-0.5 %.
@pytest.mark.parametrize(
    ("fill", "E3"), [(0.2, 0.0430), (0.4, 0.172), (0.6, 0.388), (0.8, 0.691), (0.9, 0.861), (0.95, 0.938)]
)
def test_square_edged_crossings_carry_what_the_design_page_says(fill, E3):
    solved = homogenise_layered(alternating(fill, section="square"), PLASTIC, 5e-3)
    assert solved.met
    assert solved.engineering.E3 == pytest.approx(E3, rel=5e-3)


def test_square_edged_beads_in_line_are_sheets():
    # Checks A3, derived: sheets with normal 2, fraction phi: C11 = C33 = phi E/(1 - nu^2), C13 = nu C11, C55 = phi G.
    phi, nu = 0.4, 0.35
    C = homogenise_layered(alternating(phi, 0.0, section="square"), PLASTIC).stiffness
    expected = np.zeros((6, 6))
    expected[0, 0] = expected[2, 2] = phi / (1 - nu**2)
    expected[0, 2] = expected[2, 0] = nu * expected[0, 0]
    expected[4, 4] = phi / (2 * (1 + nu))
    assert C == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize("fill", [0.9965, 0.999, 0.99914])
def test_layers_all_but_full_have_the_stiffness_that_finer_meshes_give(fill):
    """Cubic elements mesh the small voids that quadratic ones fold over; three levels extrapolated, own overkill."""
    cell = alternating(fill, 0.0)
    levels = (2, 3, 4)
    found = [mean_stiffness(domains(cell, PLASTIC, fineness, 3))[0] for fineness in levels]
    fine = engineering(extrapolate(found, levels, 3, 0.1)[0]).as_dict()
    solved = homogenise_layered(cell, PLASTIC)
    assert solved.met
    for name, value in solved.engineering.as_dict().items():
        assert value == pytest.approx(
            fine[name], rel=solved.errors[name] + 2e-4
        )  # 1e-4 is the overkill's own bar


@pytest.mark.parametrize("angles", [(0.0,), (0.0, 90.0)])
def test_stiffness_runs_steadily_into_that_of_the_full_layer(angles):
    """Small voids count by their area, so the loss per void share hardly changes where meshes give way to a line."""
    fills = np.array([0.993, 0.9965, 0.999])  # meshed, and twice on the line
    E3 = [homogenise_layered(alternating(fill, *angles), PLASTIC).engineering.E3 for fill in fills]
    loss = (1 / np.array(E3) - 1) / (1 - fills)
    assert loss == pytest.approx(np.full(3, loss[-1]), rel=0.03)


@pytest.mark.parametrize("shift", [0.0, 0.5])
@pytest.mark.parametrize("overlap", [0.02, None, 0.1])
def test_beads_in_one_direction_obey_the_exact_relations_of_a_prism(overlap, shift):
    # Checks A6, derived, with the prism axis 1: E1 = phi E; nu12 = nu13 = nu; C1a = nu (C2a + C3a).
    solved = homogenise_layered(raster(0.0, overlap_mm=overlap, shift=shift), PLASTIC, 1e-3)
    C, nu = solved.stiffness, 0.35
    constants = solved.engineering
    assert constants.E1 == pytest.approx(solved.geometric_fill, rel=solved.relative_error)
    assert constants.nu12 == pytest.approx(nu, rel=1e-6)
    assert constants.nu13 == pytest.approx(nu, rel=1e-6)
    assert C[0, 1] == pytest.approx(nu * (C[1, 1] + C[1, 2]), rel=1e-6)
    assert C[0, 2] == pytest.approx(nu * (C[2, 2] + C[1, 2]), rel=1e-6)


def test_beads_that_never_touch_carry_nothing_across():
    solved = homogenise_layered(raster(0.0, overlap_mm=-0.02), PLASTIC)
    assert solved.engineering.E2 is None
    assert solved.engineering.G12 is None
    assert np.all(solved.stiffness[[1, 5]] == 0)
    assert solved.engineering.E3 > 0


@pytest.mark.parametrize("angles", [(0.0, 90.0), (20.0, -35.0), (30.0,)])
def test_layers_without_voids_are_the_exact_laminate(angles):
    # Backus 1962 averaging, checks A2; a full raster has no void left to model.
    turned = [rotate(FIBROUS, about_axis_3(np.radians(angle))) for angle in angles]
    solved = homogenise_layered(alternating(1.0, *angles), FIBROUS)
    assert solved.stiffness == pytest.approx(laminate(turned), rel=1e-12, abs=1e-12)
    assert solved.geometric_fill == 1.0


def test_nearly_full_layers_tend_to_the_laminate_from_below():
    full = laminate([FIBROUS, rotate(FIBROUS, about_axis_3(np.pi / 2))])
    sparse, dense = (coarse(alternating(fill), FIBROUS, 2) for fill in (0.96, 0.99))
    assert loewner(sparse, full, slack=1e-3)
    assert loewner(dense, full, slack=1e-3)
    assert np.linalg.norm(full - dense) < 0.5 * np.linalg.norm(full - sparse)


@pytest.mark.parametrize("material", [PLASTIC, FIBROUS], ids=["isotropic", "fibrous"])
def test_a_right_angle_is_the_same_by_both_roads(material):
    # Half turns only (any angle) against mirror planes (right angles): the same nodes, so equal to round-off.
    for cell in (alternating(0.5), alternating(0.95), alternating(0.5, shift=0.5)):
        general = crossing_domain(cell, material, 1, 2)
        C = np.zeros((6, 6))
        C[:3, :3] = pull(general, ONE[:3])[0]
        for k in (3, 4, 5):
            C[k, k] = pull(general, ONE[k : k + 1])[0][0, 0]
        C = rotate(C, about_axis_3(np.pi / 4))
        square = square_domain(cell, material, 1, 2)
        normal = pull(square, np.array([ONE[2], ONE[0] + ONE[1]]))[0]
        assert normal == pytest.approx(
            np.array([[C[2, 2], C[0, 2] + C[1, 2]], [C[0, 2] + C[1, 2], C[:2, :2].sum()]]), rel=1e-9
        )
        assert pull(square, ONE[5:6])[0][0, 0] == pytest.approx(C[5, 5], rel=1e-9)
        pair = square_pair_domain(cell, material, 1, 2)
        assert pull(pair, ONE[3:4])[0][0, 0] == pytest.approx(C[3, 3], rel=1e-9)
        assert C[3, 3] == pytest.approx(C[4, 4], rel=1e-9)


def test_turning_both_directions_turns_the_stiffness():
    C, turned = coarse(alternating(0.5, 0.0, 90.0)), coarse(alternating(0.5, 45.0, -45.0))
    assert turned == pytest.approx(rotate(C, about_axis_3(np.pi / 4)), rel=1e-9, abs=1e-12)


def test_order_and_sense_of_the_directions_do_not_matter():
    one = coarse(alternating(0.6, 10.0, 80.0))
    for angles in ((80.0, 10.0), (190.0, -100.0)):
        assert coarse(alternating(0.6, *angles)) == pytest.approx(one, rel=1e-8, abs=1e-10)
    flip = np.diag([1.0, 1, 1, -1, 1, -1])
    mirrored = coarse(alternating(0.6, -10.0, -80.0))
    assert flip @ mirrored @ flip == pytest.approx(one, rel=1e-8, abs=1e-10)


def test_angles_near_a_right_one_approach_it():
    # Right angles use mirror planes, others do not.
    right, near = coarse(alternating(0.6, -45.0, 45.0)), coarse(alternating(0.6, -44.99, 44.99))
    assert near == pytest.approx(right, rel=2e-3, abs=1e-4)


def test_stiffness_is_ordered_for_nested_beads():
    # A rectangle as wide as the flats lies in the stadium, one of its full width around it; same pitch, same height.
    bead = Bead(0.45, 0.2)
    pitch, t = bead.width / 0.6, bead.height
    stiffness = [
        homogenise_layered(layered_cell("nested", bead, section, (0.0, 90.0)), PLASTIC, 5e-3).stiffness
        for section in (
            LayerSection(pitch, t, bead.flat_width / 2, 0.0, bead.flat_width / 2),
            conserving_section(bead, pitch),
            LayerSection(pitch, t, bead.full_width / 2, 0.0, bead.full_width / 2),
        )
    ]
    assert loewner(stiffness[0], stiffness[1])
    assert loewner(stiffness[1], stiffness[2])


@pytest.mark.parametrize("fill", [0.1, 0.95])
@pytest.mark.parametrize("material", [PLASTIC, FIBROUS], ids=["isotropic", "fibrous"])
def test_stiffness_lies_between_half_the_beads_alone_and_voigt(fill, material):
    # Taking every second layer away leaves free beads along axis 1: E1 >= F/2 of a bead. Voigt: checks A1.
    C = coarse(alternating(fill), material, 2)
    mean = (material + rotate(material, about_axis_3(np.pi / 2))) / 2
    assert np.linalg.eigvalsh(C)[0] > 0
    assert loewner(C, fill * mean, slack=1e-3)  # the slack covers the meshed volume
    assert engineering(C).E1 > fill / 2 * engineering(material).E1


def test_result_scales_with_modulus_and_not_with_size():
    large = find("alternating").cell(Bead(0.9, 0.4), 2.25, angles_deg=(0.0, 90.0))
    assert coarse(large, 7 * PLASTIC) == pytest.approx(7 * coarse(alternating(0.4)), rel=1e-9, abs=1e-12)


@pytest.mark.parametrize(("order", "levels"), [(2, (1, 2, 3, 4)), (3, (1, 2, 3))])
def test_energy_falls_at_the_rate_of_the_graded_mesh(order, levels):
    # Weld edges: displacement like sqrt(distance), so energy error like element size at the edge, n^-order.
    cell = alternating(0.5)
    energies = [pull(square_domain(cell, PLASTIC, n, order), ONE[2:3])[0][0, 0] for n in levels]
    falls = -np.diff(energies)
    assert np.all(falls > 0)
    expected = -np.diff(np.array(levels, dtype=float) ** -order)
    assert falls[-1] / falls[-2] == pytest.approx(expected[-1] / expected[-2], rel=0.4)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("fill", "angles", "section"),
    [
        (0.15, (0.0, 90.0), "stadium"),
        (0.5, (0.0, 90.0), "stadium"),
        (0.85, (0.0, 90.0), "stadium"),
        (0.5, (0.0, 90.0), "square"),
        (0.5, (0.0, 50.0), "stadium"),
    ],
)
def test_error_bars_hold_against_overkill(fill, angles, section):
    cell = alternating(fill, *angles, section=section)
    overkill = homogenise_layered(cell, PLASTIC, 8e-4)
    quick = homogenise_layered(cell, PLASTIC, 5e-3)
    assert overkill.met
    best, found = overkill.engineering.as_dict(), quick.engineering.as_dict()
    true = max(
        abs(found[name] - best[name]) / (max(abs(best[name]), 0.1) if name.startswith("nu") else best[name])
        for name in best
    )
    assert 0.5 < quick.relative_error / true < 3


def test_bead_material_must_be_orthotropic_in_its_axes():
    tilted = rotate(FIBROUS, about_axis_3(0.3))
    with pytest.raises(InputError, match="orthotropic"):
        homogenise_layered(alternating(0.5), tilted)
