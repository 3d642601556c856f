"""Prismatic cells against exact laminates, identities, tables of other methods, and their own error bars."""

import itertools

import numpy as np
import pytest

from fem.material.stiffness import about_axis_3, engineering, isotropic, rotate, transversely_isotropic
from fem.prismatic.cell_mesh import mesh_cell
from fem.prismatic.homogenise import homogenise
from fem.prismatic.periodic import close_period
from fem.prismatic.plan_system import PlanSystem
from patterns.bead import Bead
from patterns.catalogue import CATALOGUE, find
from patterns.cells.cell import PlanCell
from patterns.cells.net_cell import net_cell
from patterns.cells.planar import Planar, Region
from patterns.errors import InputError, SolverError
from patterns.lattices.reentrant import reentrant
from tests.closed_forms import lattices, perforated
from tests.closed_forms.laminate import WORKED, rank_one, sheets
from tests.fem.prismatic.cells import (
    Places,
    circle,
    hexagonal_array,
    layers,
    square_array,
    square_lattice,
)

NU = 0.3
SOLID = isotropic(1.0, NU)
BEAD = transversely_isotropic(3000.0, 2000.0, 0.35, 0.4, 900.0)
PRISMATIC = sorted(slug for slug, pattern in CATALOGUE.items() if pattern.alike and pattern.periodic)


def some(rows, whole=False):
    """All rows of a table, but only the first and the last of them in the quick set; ``whole``: as one parameter."""
    slow = pytest.mark.slow
    return [
        pytest.param(*([row] if whole else row), marks=() if row in (rows[0], rows[-1]) else slow)
        for row in rows
    ]


def cell_of(slug, fill=0.3, radius=0.1, angle=0.0, **own):
    pattern = find(slug)
    return pattern.cell(Bead(0.45), pattern.pitch(0.45, fill, **own), radius, angle, **own)


def solve(cell, material, order=4, fineness=1.0):
    period = close_period(mesh_cell(cell, fineness), cell.lattice)
    return PlanSystem(period, material, order).solve(order).stiffness


# --- exact answers ---------------------------------------------------------------------------------------------------


def test_a_full_cell_returns_its_material():
    C = transversely_isotropic(3000.0, 2000.0, 0.35, 0.4, 900.0, axis=2)
    assert np.abs(solve(layers([0.4, 0.6]), C) - C).max() < 1e-9 * C.max()


def two_phases(points):
    return np.where((points[..., 1] < 0.6)[..., None, None], isotropic(2000.0, 0.35), isotropic(200.0, 0.25))


@pytest.mark.parametrize("order", [2, 3, 5])
def test_laminate_is_exact_at_every_order(order):
    exact = rank_one([0.6, 0.4], [2000.0, 200.0], [0.35, 0.25])
    assert np.abs(solve(layers([0.6, 0.4]), Places(two_phases), order) - exact).max() < 1e-9 * exact.max()
    for (i, j), value in WORKED.items():
        assert exact[i, j] == pytest.approx(value, rel=1e-8)


def test_laminate_of_coupled_layers_is_exact():
    """Layers whose fibres leave the plan couple plane and antiplane strain: all six are solved together."""
    tilt = np.array([[0.8, 0, -0.6], [0, 1, 0], [0.6, 0, 0.8]]) @ about_axis_3(0.5)
    stiff, soft = rotate(BEAD, tilt), rotate(BEAD / 4, tilt.T)

    def material(points):
        return np.where((points[..., 1] < 0.6)[..., None, None], stiff, soft)

    # strains 11, 33, 13 and stresses 22, 23, 12 are equal in all layers
    same, jump = [0, 2, 4], [1, 3, 5]
    mean = np.zeros((6, 6))
    for share, C in ((0.6, stiff), (0.4, soft)):
        inner = np.linalg.inv(C[np.ix_(jump, jump)])
        across = C[np.ix_(same, jump)] @ inner
        mean[np.ix_(jump, jump)] += share * inner
        mean[np.ix_(same, jump)] += share * across
        mean[np.ix_(same, same)] += share * (C[np.ix_(same, same)] - across @ C[np.ix_(jump, same)])
    exact = np.zeros((6, 6))
    exact[np.ix_(jump, jump)] = np.linalg.inv(mean[np.ix_(jump, jump)])
    exact[np.ix_(same, jump)] = mean[np.ix_(same, jump)] @ exact[np.ix_(jump, jump)]
    exact[np.ix_(jump, same)] = exact[np.ix_(same, jump)].T
    exact[np.ix_(same, same)] = (
        mean[np.ix_(same, same)] + exact[np.ix_(same, jump)] @ mean[np.ix_(same, jump)].T
    )
    assert abs(exact[0, 4]) > 0.01 * exact[0, 0]
    assert np.abs(solve(layers([0.6, 0.4]), Places(material)) - exact).max() < 1e-9 * exact.max()


@pytest.mark.parametrize("fill", [0.1, 0.4, 0.9])
def test_parallel_lines_are_free_sheets(fill):
    found = homogenise(cell_of("parallel", fill), isotropic(2000.0, 0.35))
    exact = sheets(fill, 2000.0, 0.35)
    assert np.abs(found.stiffness - exact).max() < 1e-9 * exact.max()
    assert (found.stiffness[[1, 3, 5]] == 0).all()
    assert found.engineering.E2 is None
    assert found.engineering.G12 is None
    assert found.met


def test_parallel_lines_of_an_anisotropic_bead_keep_its_constants():
    found = homogenise(cell_of("parallel", 0.4), BEAD).engineering
    assert found.E1 == pytest.approx(0.4 * 3000, rel=1e-10)
    assert found.E3 == pytest.approx(0.4 * 2000, rel=1e-10)
    assert found.G13 == pytest.approx(0.4 * 900, rel=1e-10)
    assert found.nu13 == pytest.approx(0.35, rel=1e-10)


@pytest.mark.parametrize("angle", [30.0, 90.0, -77.0])
def test_turned_lines_without_path_across_are_turned_sheets(angle):
    found = homogenise(cell_of("parallel", 0.4, angle=angle), isotropic(2000.0, 0.35))
    exact = rotate(sheets(0.4, 2000.0, 0.35), about_axis_3(np.radians(angle)))
    assert np.abs(found.stiffness - exact).max() < 1e-9 * exact.max()
    assert found.engineering.G12 is None
    assert found.engineering.E3 == pytest.approx(800.0)


def test_sine_lines_carry_nothing_across():
    found = homogenise(cell_of("sinusoidal"), SOLID)
    assert (found.stiffness[[1, 3, 5]] == 0).all()
    assert found.engineering.E1 < 0.2


# --- identities of prismatic cells (uniform sigma_33 is an exact solution) ------------------------------------------


@pytest.mark.parametrize("slug", PRISMATIC)
@pytest.mark.parametrize("fineness", [0.6, 1.0])
def test_prismatic_identities_hold_to_solver_precision(slug, fineness):
    E, nu = 2000.0, 0.35
    C = solve(cell_of(slug, angle=20.0), isotropic(E, nu), order=2, fineness=fineness)
    cell = cell_of(slug, angle=20.0)
    phi = cell.geometric_fill
    assert C[0, 2] == pytest.approx(nu * (C[0, 0] + C[0, 1]), abs=1e-9 * C[2, 2])
    assert C[1, 2] == pytest.approx(nu * (C[0, 1] + C[1, 1]), abs=1e-9 * C[2, 2])
    assert C[2, 2] == pytest.approx(phi * E + nu * (C[0, 2] + C[1, 2]), rel=1e-8)
    assert C[2, 5] == pytest.approx(nu * (C[0, 5] + C[1, 5]), abs=1e-9 * C[2, 2])


@pytest.mark.parametrize("slug", PRISMATIC)
def test_the_meshed_area_is_the_exact_fill(slug):
    cell = cell_of(slug)
    period = close_period(mesh_cell(cell), cell.lattice)
    area = PlanSystem(period, SOLID, 2).elements.solid_area()
    assert area / period.area == pytest.approx(cell.geometric_fill, rel=1e-7)


def test_E3_and_its_ratios_are_exact():
    found = homogenise(cell_of("hexagonal"), isotropic(2000.0, 0.35))
    assert found.engineering.E3 == pytest.approx(2000 * found.geometric_fill, rel=1e-9)
    S = np.linalg.inv(found.stiffness)
    assert -S[0, 2] / S[2, 2] == pytest.approx(0.35, rel=1e-9)
    assert found.errors["E3"] < 1e-9


# --- arrays of holes ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("f", "k"), some(perforated.SQUARE_ANTIPLANE))
def test_antiplane_shear_of_square_hole_arrays(f, k):
    found = homogenise(square_array(np.sqrt(f / np.pi)), SOLID, 1e-5)
    assert found.engineering.G13 * 2 * (1 + NU) == pytest.approx(k, rel=2e-5)
    assert found.engineering.G23 * 2 * (1 + NU) == pytest.approx(k, rel=2e-5)


@pytest.mark.parametrize(("f", "k"), some(perforated.HEXAGONAL_ANTIPLANE))
def test_antiplane_shear_of_hexagonal_hole_arrays(f, k):
    found = homogenise(hexagonal_array(np.sqrt(f * np.sqrt(3) / 2 / np.pi)), SOLID, 1e-5)
    assert found.engineering.G13 * 2 * (1 + NU) == pytest.approx(k, rel=2e-5)


@pytest.mark.parametrize(("a", "f", "E", "nu", "G", "K", "E45"), some(perforated.SQUARE_PLANE))
def test_plane_stiffness_of_square_hole_arrays(a, f, E, nu, G, K, E45):
    found = homogenise(square_array(a), SOLID, 1e-5)
    phi = 1 - f
    assert found.engineering.E1 == pytest.approx(perforated.prismatic_E1(E, phi, NU), rel=2e-5)
    assert found.engineering.G12 == pytest.approx(perforated.prismatic_G12(G, NU), rel=2e-5)
    assert found.engineering.nu12 == pytest.approx(perforated.prismatic_nu12(E, nu, phi, NU), abs=2e-5)
    turned = engineering(rotate(found.stiffness, about_axis_3(np.pi / 4)))
    assert turned.E1 == pytest.approx(perforated.prismatic_E1(E45, phi, NU), rel=2e-5)


@pytest.mark.parametrize(("a", "f", "E", "nu", "G", "K"), some(perforated.HEXAGONAL_PLANE))
def test_plane_stiffness_of_hexagonal_hole_arrays(a, f, E, nu, G, K):
    found = homogenise(hexagonal_array(a), SOLID, 1e-5).engineering
    assert found.E1 == pytest.approx(perforated.prismatic_E1(E, 1 - f, NU), rel=2e-5)
    assert found.E2 == pytest.approx(found.E1, rel=2e-5)
    assert found.G12 == pytest.approx(perforated.prismatic_G12(G, NU), rel=2e-5)
    C = homogenise(hexagonal_array(a), SOLID, 1e-5).stiffness
    assert C[5, 5] == pytest.approx((C[0, 0] - C[0, 1]) / 2, rel=2e-5)


# --- lattices of straight walls -------------------------------------------------------------------------------------


def check(found, phi, E1, E2, nu12, G12, k1, k2, rel):
    """Compare a prismatic cell with the moduli of its sheet in plane stress."""
    assert found.geometric_fill == pytest.approx(phi, rel=1e-6)
    got = found.engineering
    assert got.E1 == pytest.approx(perforated.prismatic_E1(E1, phi, NU), rel=rel)
    assert got.E2 == pytest.approx(perforated.prismatic_E1(E2, phi, NU), rel=rel)
    assert got.G12 == pytest.approx(perforated.prismatic_G12(G12, NU), rel=rel)
    assert got.nu12 == pytest.approx(perforated.prismatic_nu12(E1, nu12, phi, NU), rel=rel, abs=1e-4)
    assert got.G13 * 2 * (1 + NU) == pytest.approx(k1, rel=rel)
    assert got.G23 * 2 * (1 + NU) == pytest.approx(k2, rel=rel)


@pytest.mark.parametrize(("wall", "phi", "E", "nu", "G", "E45", "k", "E1"), some(lattices.SQUARE))
def test_square_lattice_with_sharp_corners(wall, phi, E, nu, G, E45, k, E1):
    found = homogenise(find("square").cell(Bead(wall, 1e-3), 1.0, 0.0), SOLID)
    check(found, phi, E, E, nu, G, k, k, 1e-3)
    assert found.engineering.E1 == pytest.approx(E1, rel=1e-3)


def test_square_lattice_stiffness_entry_by_entry():
    found = homogenise(find("square").cell(Bead(0.2), 1.0, 0.0), SOLID, 2e-4)
    for (i, j), value in lattices.SQUARE_STIFFNESS.items():
        assert found.stiffness[i, j] == pytest.approx(value, rel=5e-4)


@pytest.mark.parametrize("row", some(lattices.HEXAGONAL, whole=True))
def test_hexagonal_and_reentrant_lattices_with_sharp_corners(row):
    e, alpha, theta, phi, E1, E2, nu12, _, G12, k1, k2 = row
    net = reentrant(cell_angle_deg=theta, height_ratio=alpha)
    found = homogenise(net_cell("reentrant", net, Bead(e, 1e-3), 1.0, 0.0, 0.0), SOLID)
    check(found, phi, E1, E2, nu12, G12, k1, k2, 1e-3)


@pytest.mark.parametrize(("e", "phi", "E", "nu", "G", "k"), some(lattices.TRIANGULAR))
def test_triangular_lattice_with_sharp_corners(e, phi, E, nu, G, k):
    found = homogenise(find("triangular").cell(Bead(e, 1e-3), np.sqrt(3) / 2, 0.0), SOLID)
    check(found, phi, E, E, nu, G, k, k, 1e-3)


@pytest.mark.parametrize(("e", "phi", "E", "nu", "G", "k"), some(lattices.KAGOME))
def test_kagome_lattice_with_sharp_corners(e, phi, E, nu, G, k):
    found = homogenise(find("kagome").cell(Bead(e, 1e-3), np.sqrt(3), 0.0), SOLID)
    check(found, phi, E, E, nu, G, k, k, 1e-3)


@pytest.mark.parametrize(
    ("wall", "radius", "phi", "E", "nu", "G", "k", "_u", "_s"), some(lattices.ROUNDED_SQUARE)
)
def test_square_lattice_with_round_corners(wall, radius, phi, E, nu, G, k, _u, _s):
    found = homogenise(find("square").cell(Bead(wall, 1e-3), 1.0, radius), SOLID, 1e-5)
    check(found, phi, E, E, nu, G, k, k, 1e-5)


# --- convergence and error bars -------------------------------------------------------------------------------------


@pytest.mark.parametrize("order", [2, 3, 4])
def test_energy_converges_with_twice_the_order(order):
    """Smooth hole: the mean stiffness errs as h^(2p); meshes are not nested, so rates scatter by a few tenths."""
    cell = square_array(0.3)
    exact = solve(cell, SOLID, order=8, fineness=3.0)
    errors = []
    for fineness in (2.8, 8.0):
        period = close_period(mesh_cell(cell, fineness), cell.lattice)
        C = PlanSystem(period, SOLID, order).solve(order).stiffness
        errors.append((len(period.vertex) ** -0.5, C[5, 5] / exact[5, 5] - 1, C[4, 4] / exact[4, 4] - 1))
    (h, *coarse), (h_fine, *fine) = errors
    rates = np.log(np.array(coarse) / fine) / np.log(h / h_fine)
    assert min(fine) > 0
    assert (rates > 2 * order - 0.75).all()
    assert (rates < 2 * order + 1).all()


@pytest.mark.parametrize("cell", [square_array(0.35), cell_of("hexagonal"), square_lattice(0.2)])
def test_stiffness_falls_from_order_to_order(cell):
    period = close_period(mesh_cell(cell), cell.lattice)
    system = PlanSystem(period, SOLID, 6)
    C = [system.solve(order).stiffness for order in range(2, 7)]
    for coarse, fine in itertools.pairwise(C):
        assert np.linalg.eigvalsh(coarse - fine)[0] > -1e-12
        assert np.linalg.eigvalsh(coarse - fine)[-1] > 0


@pytest.mark.parametrize("slug", ["square", "hexagonal", "kagome", "rhombic", "reentrant"])
@pytest.mark.parametrize(("fill", "radius"), [(0.25, 0.1), (0.5, 0.05), (0.3, 0.0)])
@pytest.mark.slow
def test_error_bar_of_the_worst_constant_is_within_half_and_three_times_the_error(slug, fill, radius):
    cell = cell_of(slug, fill, radius)
    found = homogenise(cell, SOLID)
    best = engineering(solve(cell, SOLID, order=8, fineness=1.7)).as_dict()
    got = found.engineering.as_dict()
    true = max(
        abs(got[name] - best[name]) / max(abs(best[name]), 0.1 if name.startswith("nu") else 0)
        for name in got
    )
    assert found.met
    assert true < 1e-3
    assert 0.5 < found.relative_error / true < 3


@pytest.mark.parametrize(("fill", "radius"), [(0.7, 0.05), (0.5, 0.05)])
def test_error_bar_of_the_ratio_in_the_plan_does_not_rely_on_errors_that_cancel(fill, radius):
    """Within a factor of two, as the bars of Young's moduli are; errors of the compliances behind it nearly cancel."""
    cell = cell_of("square", fill, radius)
    found = homogenise(cell, SOLID)
    best = engineering(solve(cell, SOLID, order=8, fineness=1.7))
    true = abs(found.engineering.nu12 - best.nu12) / max(abs(best.nu12), 0.1)
    assert 1e-7 < true < 2 * found.errors["nu12"]


def test_a_tighter_tolerance_is_met():
    cell = cell_of("square", 0.3, 0.02)
    rough, fine = (homogenise(cell, SOLID, tolerance) for tolerance in (1e-2, 1e-7))
    assert fine.met
    assert fine.relative_error < 1e-7
    assert fine.unknowns > rough.unknowns
    assert rough.engineering.G12 == pytest.approx(fine.engineering.G12, rel=1e-2)


def test_a_tolerance_out_of_reach_is_said_to_be_missed(monkeypatch):
    monkeypatch.setattr("fem.prismatic.homogenise._FINENESS", (1.0,))
    found = homogenise(cell_of("square", 0.3, 0.0), SOLID, 1e-9)
    assert not found.met
    assert found.relative_error > 1e-9


# --- anisotropic beads ----------------------------------------------------------------------------------------------


def test_a_bead_of_equal_constants_is_the_isotropic_one():
    cell = cell_of("triangular", 0.4)
    almost = transversely_isotropic(1.0 + 1e-7, 1.0, 0.3, 0.3, 1 / 2.6)
    assert np.abs(homogenise(cell, almost).stiffness - homogenise(cell, SOLID).stiffness).max() < 1e-5


@pytest.mark.parametrize("slug", ["triangular", "hexagonal", "kagome"])
def test_patterns_of_sixfold_symmetry_stay_isotropic_with_beads_stiff_along(slug):
    found = homogenise(cell_of(slug, 0.4), BEAD)
    C = found.stiffness
    assert C[0, 0] == pytest.approx(C[1, 1], rel=5e-4)
    assert C[5, 5] == pytest.approx((C[0, 0] - C[0, 1]) / 2, rel=5e-4)
    assert found.met


def test_error_bar_covers_jumps_of_the_bead_direction():
    from fem.prismatic.bead_material import BeadMaterial

    cell = cell_of("square", 0.5)
    found = homogenise(cell, BEAD)
    best = engineering(solve(cell, BeadMaterial(cell, BEAD), order=4, fineness=4.0))
    assert abs(found.engineering.E1 / best.E1 - 1) < 3 * found.errors["E1"]
    assert found.errors["E1"] < 1e-3


def test_thin_lines_along_1_show_the_modulus_along_the_bead():
    """Two families of sheets that share strain 33: E1 = fill/2 E_along/(1 - nu^2 E_across/(2 E_along)) when thin.

    Derived: family 1 carries 11 and 33, family 2 only 33, and their mean 33 is zero. The crossings' part shrinks with
    the fill and is extrapolated away.
    """
    first, second = (
        homogenise(cell_of("square", f, 0.05), BEAD).engineering.E1 / (f / 2) for f in (0.02, 0.04)
    )
    exact = 3000 / (1 - 0.35**2 * 2000 / (2 * 3000))
    assert first == pytest.approx(exact, rel=1e-3)
    assert 2 * first - second == pytest.approx(exact, rel=2e-4)


# --- refusals -------------------------------------------------------------------------------------------------------


def test_islands_are_refused():
    curves = tuple(circle(0.3))
    cell = PlanCell(
        "hand-made", np.eye(2), Planar(curves, (Region((1, 2, 3, 4)),)), (), (), 0.3, 0, 1, 0.28, 0.28
    )
    with pytest.raises(SolverError, match="islands"):
        homogenise(cell, SOLID)


def test_a_material_that_cannot_be_is_refused():
    with pytest.raises(InputError, match="positive definite"):
        homogenise(cell_of("square"), -SOLID)


def test_a_directed_material_needs_lines():
    with pytest.raises(InputError, match="no lines"):
        homogenise(square_array(0.3), BEAD)
