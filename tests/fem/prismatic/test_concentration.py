"""Stress factors against single holes, arrays, fillets and bends."""

import numpy as np
import pytest

from fem.material.stiffness import isotropic, transversely_isotropic
from fem.prismatic.cell_mesh import mesh_cell
from fem.prismatic.concentration import CASES, Concentration, concentration, radius_exponents
from fem.prismatic.failure_surface import Strengths, first_failure
from fem.prismatic.homogenise import homogenise
from fem.prismatic.periodic import close_period
from fem.prismatic.plan_system import PlanSystem
from fem.prismatic.stress_field import StressField, largest_principal, tensor, von_mises
from patterns.bead import Bead
from patterns.catalogue import find
from patterns.errors import InputError
from tests.closed_forms import hole, lattices, perforated
from tests.fem.prismatic.cells import (
    circle,
    ellipse,
    hexagonal_array,
    parallelogram,
    rounded_square,
    serpentine,
    square_array,
    square_lattice,
    strip,
)

SOLID = isotropic(1.0, 0.3)


def peaks(cell, material=SOLID, tolerance=5e-3):
    return concentration(cell, homogenise(cell, material), tolerance)


def factor(cell, case, tolerance=5e-3):
    return peaks(cell, tolerance=tolerance).peaks[case].principal


def alone(outline, period=100.0):
    """One hole of size about 1 in a period so large that its copies change the factor by less than 0.2 %."""
    return parallelogram(np.eye(2) * period, [outline], period / 10)


def some(rows, whole=False):
    """All rows of a table, but only the first and the last of them in the quick set; ``whole``: as one parameter."""
    slow = pytest.mark.slow
    return [
        pytest.param(*([row] if whole else row), marks=() if row in (rows[0], rows[-1]) else slow)
        for row in rows
    ]


# --- measures -------------------------------------------------------------------------------------------------------


def test_measures_of_known_stresses():
    stress = np.array([[3.0, 0, 0, 0, 0, 0], [0, 0, 0, 0, 0, 2.0], [1, 1, 1, 0, 0, 0], [0, 0, 0, 5.0, 0, 0]])
    assert largest_principal(stress) == pytest.approx([3, 2, 1, 5])
    assert von_mises(stress) == pytest.approx([3, 2 * np.sqrt(3), 0, 5 * np.sqrt(3)])
    assert tensor(np.arange(6.0)).tolist() == [[0, 5, 4], [5, 1, 3], [4, 3, 2]]


# --- single holes ---------------------------------------------------------------------------------------------------


@pytest.mark.slow
def test_circular_hole():
    """Kirsch 1898: 3 under tension, 4 under shear, 2 under equal tension in both directions."""
    found = peaks(alone(circle(1.0)))
    assert found.peaks["tension_1"].principal == pytest.approx(3, rel=1e-3)
    assert found.peaks["shear_12"].principal == pytest.approx(4, rel=2e-3)
    assert found.under(np.array([1.0, 1, 0, 0, 0, 0])).principal == pytest.approx(2, rel=1e-3)
    x, y = found.peaks["tension_1"].place
    assert (abs(x), abs(y)) == pytest.approx((0, 1), abs=0.03)
    # antiplane shear doubles (the same potential as flow around a cylinder)
    assert found.peaks["shear_13"].principal == pytest.approx(2, rel=1e-3)


@pytest.mark.slow
@pytest.mark.parametrize(("a", "b"), [(1.0, 0.5), (0.5, 1.0)])
def test_elliptical_hole(a, b):
    """Tension along 2 is normal to the axis a along 1."""
    found = peaks(alone(ellipse(a, b)))
    assert found.peaks["tension_2"].principal == pytest.approx(hole.ellipse_tension(a, b), rel=2e-3)
    assert found.peaks["tension_1"].principal == pytest.approx(hole.ellipse_tension(b, a), rel=2e-3)


@pytest.mark.slow
@pytest.mark.parametrize(("radius", "tension", "biaxial", "shear"), hole.ROUNDED_SQUARE)
def test_rounded_square_hole(radius, tension, biaxial, shear):
    found = peaks(alone(rounded_square(1.0, radius)))
    assert found.peaks["tension_1"].principal == pytest.approx(tension, rel=2e-3)
    assert found.under(np.array([1.0, 1, 0, 0, 0, 0])).principal == pytest.approx(biaxial, rel=2e-3)
    assert found.peaks["shear_12"].principal == pytest.approx(shear, rel=3e-3)


@pytest.mark.parametrize(("ratio", "gross"), some(hole.STRIP))
def test_hole_in_a_strip(ratio, gross):
    """Strips and gaps are equally wide, so the mean stress of the cell is half the strip's."""
    found = peaks(strip(1.0, 6.0, ratio / 2))
    assert found.peaks["tension_1"].principal / 2 == pytest.approx(gross, rel=2e-3)
    assert found.peaks["tension_2"] is None
    assert found.peaks["shear_12"] is None


# --- arrays, fillets, bends -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("row", some(perforated.PEAKS, whole=True))
def test_peaks_of_hole_arrays(row):
    a, square_x, square_biaxial, square_shear, hex_x, hex_y, hex_biaxial, hex_shear = row
    both = np.array([1.0, 1, 0, 0, 0, 0])
    square, hexagonal = peaks(square_array(a)), peaks(hexagonal_array(a))
    assert square.peaks["tension_1"].principal == pytest.approx(square_x, rel=3e-3)
    assert square.under(both).principal == pytest.approx(square_biaxial, rel=3e-3)
    assert square.peaks["shear_12"].principal == pytest.approx(square_shear, rel=3e-3)
    assert hexagonal.peaks["tension_1"].principal == pytest.approx(hex_x, rel=3e-3)
    assert hexagonal.peaks["tension_2"].principal == pytest.approx(hex_y, rel=3e-3)
    assert hexagonal.under(both).principal == pytest.approx(hex_biaxial, rel=3e-3)
    assert hexagonal.peaks["shear_12"].principal == pytest.approx(hex_shear, rel=3e-3)


@pytest.mark.parametrize(
    ("wall", "radius", "_p", "_e", "_n", "_g", "_k", "tension", "shear"), lattices.ROUNDED_SQUARE
)
def test_fillets_of_the_square_lattice(wall, radius, _p, _e, _n, _g, _k, tension, shear):
    cell = find("square").cell(Bead(wall, 1e-3), 1.0, radius)
    found = peaks(cell, tolerance=2e-3)
    assert found.peaks["tension_1"].principal == pytest.approx(tension, rel=2e-3)
    assert found.peaks["shear_12"].principal == pytest.approx(shear, rel=2e-3)
    assert found.relative_error < 2e-3


@pytest.mark.parametrize(("ratio", "inner_stress"), some(hole.CURVED_BAR))
def test_bend_of_a_bar(ratio, inner_stress):
    """The peak is force x (lever x bending factor + rest), so two levers give the factor of pure bending."""
    found = []
    for leg in (10.0, 20.0):
        cell = serpentine(1.0, ratio, leg)
        force = cell.lattice[1, 1]  # of a mean stress 1
        found.append(factor(cell, "tension_1", 2e-3) / force)
    assert (found[1] - found[0]) / 5 == pytest.approx(inner_stress, rel=1e-3)
    assert hole.curved_bar(1.0, ratio, 1.0) == pytest.approx(inner_stress, rel=1e-8)


# --- general truths ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("slug", ["square", "hexagonal", "rhombic"])
def test_tension_along_the_build_axis_is_even(slug):
    pattern = find(slug)
    cell = pattern.cell(Bead(0.45), pattern.pitch(0.45, 0.3), 0.1)
    found = peaks(cell).peaks["tension_3"]
    assert found.principal == pytest.approx(1 / cell.geometric_fill, rel=1e-6)
    assert found.von_mises == pytest.approx(1 / cell.geometric_fill, rel=1e-6)


def test_in_plane_peaks_do_not_depend_on_the_solids_ratio():
    """Michell: stresses of a sheet with self-balanced holes do not depend on Poisson's ratio."""
    cell = square_lattice(0.2, 0.05)
    first, second = (peaks(cell, isotropic(1.0, nu), 1e-3).peaks for nu in (0.0, 0.45))
    for case in ("tension_1", "shear_12"):
        assert first[case].principal == pytest.approx(second[case].principal, rel=1e-3)


def test_factors_do_not_depend_on_modulus_or_size():
    first = peaks(square_lattice(0.2, 0.05)).factors()
    large = peaks(square_lattice(2.0, 0.5, 10.0), isotropic(3000.0, 0.3)).factors()
    assert large == pytest.approx(
        first, rel=1e-4
    )  # the mesher's own tolerances do not scale, so meshes differ a little


def test_tension_along_a_direction_joins_the_axes():
    found = peaks(square_lattice(0.2, 0.05))
    assert found.along(0.0).principal == pytest.approx(found.peaks["tension_1"].principal)
    assert found.along(90.0).principal == pytest.approx(found.peaks["tension_2"].principal)
    turned = find("square").cell(Bead(0.2), 1.0, 0.05, 30.0)
    assert peaks(turned).peaks["tension_1"].principal == pytest.approx(found.along(-30.0).principal, rel=5e-3)


def test_a_smaller_radius_concentrates_more():
    factors = [factor(square_lattice(0.2, radius), "shear_12") for radius in (0.1, 0.05, 0.025)]
    assert factors == sorted(factors)


@pytest.mark.slow
@pytest.mark.parametrize("slug", ["square", "hexagonal", "kagome", "rhombic"])
def test_the_error_of_a_peak_is_covered_by_its_error_bar(slug):
    pattern = find(slug)
    cell = pattern.cell(Bead(0.45), pattern.pitch(0.45, 0.35), 0.08)
    rough, fine = peaks(cell), peaks(cell, tolerance=3e-4)
    for case in CASES[:2] + CASES[3:]:
        one, best = rough.peaks[case], fine.peaks[case]
        assert abs(one.principal / best.principal - 1) <= one.error + best.error


@pytest.mark.parametrize("cell", [hexagonal_array(0.325), square_array(0.3)], ids=["hexagonal", "square"])
def test_a_peak_that_agrees_from_order_to_order_by_chance_keeps_its_error(cell):
    """Holes under many mean stresses: some peaks of the last two orders meet while the stress around them moves."""
    found = peaks(cell)
    exact = homogenise(cell, SOLID, 1e-7).stiffness
    period = close_period(mesh_cell(cell, 2.2), cell.lattice)
    field = StressField(period, SOLID, PlanSystem(period, SOLID, 8).solve(8), exact)
    judge = Concentration(found.corner_radius, [field] * 3)
    rng = np.random.default_rng(1)
    turned = [
        [np.cos(a) ** 2, np.sin(a) ** 2, 0, 0, 0, np.sin(2 * a) / 2] for a in np.radians(range(0, 180, 10))
    ]
    for mean in [*np.array(turned), *rng.standard_normal((30, 6))]:
        one, best = found.under(mean), judge.under(mean)
        assert abs(one.principal / best.principal - 1) <= one.error
        assert abs(one.von_mises / best.von_mises - 1) <= one.von_mises_error
        assert one.error < 0.03


def test_peaks_lie_on_the_surface():
    cell = square_lattice(0.2, 0.05)
    for case in ("tension_1", "shear_12", "shear_13"):
        x, y = peaks(cell).peaks[case].place
        centre = np.abs([x, y]) - (0.4 - 0.05)
        assert np.hypot(*np.maximum(centre, 0)) == pytest.approx(0.05, rel=1e-6)


def test_sharp_corners_are_refused():
    with pytest.raises(InputError, match="4 sharp corners"):
        peaks(square_lattice(0.2))


# --- first failure ----------------------------------------------------------------------------------------------------


def test_first_failure_of_equal_strengths_is_the_largest_tension():
    """With one strength for every direction of tension and no limit on shear, the surface is 1/K along the axes."""
    cell = find("square").cell(Bead(0.2), 1.0, 0.05)
    found = peaks(cell, tolerance=1e-3)
    axes = np.eye(6)[[0, 5]]
    surface = first_failure(cell, found, Strengths(along=30.0, across=30.0, shear=np.inf), axes)
    assert surface[0] == pytest.approx(30 / found.peaks["tension_1"].principal, rel=0.1)
    assert (surface > 0).all()


def test_weak_welds_across_the_bead_fail_first():
    cell = find("square").cell(Bead(0.2), 1.0, 0.05)
    found = peaks(cell, transversely_isotropic(3000.0, 2000.0, 0.35, 0.4, 900.0))
    load = np.eye(6)[[0]]
    strong = first_failure(cell, found, Strengths(30.0, 30.0, 30.0), load)
    weak = first_failure(cell, found, Strengths(30.0, 5.0, 30.0), load)
    assert (weak < strong).all()


def test_a_load_without_path_has_no_first_failure():
    cell = find("parallel").cell(Bead(0.45), 1.5, 0.1)
    surface = first_failure(cell, peaks(cell), Strengths(30.0, 20.0, 15.0), np.eye(6)[[0, 1]])
    assert surface[0] == pytest.approx(30 * cell.geometric_fill, rel=1e-6)
    assert np.isnan(surface[1])


def test_small_radii_have_the_exponents_of_the_sharp_corner():
    # Williams 1952: at an inside corner of 90 degrees stress goes like r^(0.5445 - 1) in the plane (symmetric part),
    # like r^(2/3 - 1) in antiplane shear.
    pattern = find("square")
    cells = [pattern.cell(Bead(0.45, 0.2, "square"), 1.5, radius, 0.0) for radius in (0.003, 0.0024)]
    exponents = radius_exponents(*[peaks(cell) for cell in cells])
    assert exponents["shear_12"] == pytest.approx(-0.4555, rel=0.02)
    assert exponents["shear_13"] == pytest.approx(-1 / 3, rel=0.02)
    assert exponents["tension_3"] == pytest.approx(0.0, abs=1e-3)  # the same in every bead
