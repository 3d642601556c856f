"""What any cell solver must obey, on random cells."""

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fem.material.stiffness import about_axis_3, isotropic, load_paths, rotate, transversely_isotropic
from fem.prismatic.cell_mesh import mesh_cell
from fem.prismatic.homogenise import homogenise
from fem.prismatic.periodic import close_period
from fem.prismatic.plan_system import PlanSystem
from fem.prismatic.stress_field import StressField
from patterns.bead import Bead
from patterns.catalogue import CATALOGUE, find
from patterns.errors import InputError
from patterns.fill import fill_for
from tests.closed_forms import perforated
from tests.fem.prismatic.cells import (
    circle,
    ellipse,
    parallelogram,
    rounded_square,
    square_array,
    square_lattice,
)

few = settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.too_slow], derandomize=True)
BEAD = transversely_isotropic(3000.0, 2000.0, 0.35, 0.4, 900.0)
PRISMATIC = sorted(slug for slug, pattern in CATALOGUE.items() if pattern.alike and pattern.periodic)
QUICK = [slug for slug in PRISMATIC if slug != "voronoi"]


def stiffness(cell, material, order=3, fineness=1.0):
    period = close_period(mesh_cell(cell, fineness), cell.lattice)
    return PlanSystem(period, material, order).solve(order).stiffness


def pattern_cell(slug, fill, width=0.45, radius=0.1, angle=0.0, **own):
    pattern = find(slug)
    pitch = fill_for(pattern, width, radius, set_fill=fill, **own).pitch
    return pattern.cell(Bead(width, 1e-3), pitch, radius, angle, **own)


@few
@given(
    slug=st.sampled_from(QUICK),
    fill=st.floats(0.08, 0.6),
    width=st.floats(0.2, 1.0),
    share=st.floats(0.02, 0.3),
    angle=st.floats(-180, 180),
    nu=st.floats(0.0, 0.45),
)
def test_random_cells_are_solved_within_bounds(slug, fill, width, share, angle, nu):
    cell = pattern_cell(slug, fill, width, share * width, angle)
    found = homogenise(cell, isotropic(2000.0, nu))
    C = found.stiffness
    strengths = np.linalg.eigvalsh(C)
    assert found.met
    assert np.abs(C - C.T).max() == 0
    assert strengths[0] >= -1e-9 * strengths[-1]
    if slug not in ("parallel", "sinusoidal"):
        assert strengths[0] > 0
        assert load_paths(C).all()
    voigt = found.geometric_fill * isotropic(2000.0, nu)
    assert np.linalg.eigvalsh(voigt - C)[0] > -1e-9 * strengths[-1]
    assert found.engineering.E3 == pytest.approx(found.geometric_fill * 2000, rel=1e-8)


@few
@given(
    slug=st.sampled_from(PRISMATIC),
    fill=st.floats(-0.5, 1.5),
    width=st.floats(-0.1, 1.0),
    radius=st.floats(-0.1, 1.0),
    angle=st.floats(-400, 400),
)
def test_any_input_is_solved_or_refused_in_one_line(slug, fill, width, radius, angle):
    line, cell = "", None
    try:
        cell = pattern_cell(slug, fill, width, radius, angle)
    except InputError as error:
        line = str(error)
    assert "\n" not in line
    if cell is not None and slug != "voronoi" and fill > 0.03:
        assert np.isfinite(stiffness(cell, isotropic(1.0, 0.3), 2)).all()


@few
@given(st.sampled_from(QUICK), st.floats(0.15, 0.5), st.floats(-90, 90), st.booleans())
def test_turning_the_cell_turns_the_stiffness(slug, fill, angle, directed):
    """The turned cell has another mesh, so they agree within their errors."""
    material = BEAD if directed else isotropic(2000.0, 0.35)
    straight = homogenise(pattern_cell(slug, fill), material, 1e-3)
    turned = homogenise(pattern_cell(slug, fill, angle=angle), material, 1e-3)
    expected = rotate(straight.stiffness, about_axis_3(np.radians(angle)))
    assert np.abs(turned.stiffness - expected).max() < 1e-3 * np.abs(expected).max()


def shifted(cell, by):
    """The same hole array with the period cut elsewhere: the outline moves, the holes stay."""
    lattice = cell.lattice
    moved = circle(0.3, -np.asarray(by) @ lattice)
    return parallelogram(lattice, [moved])


@few
@given(st.floats(-0.15, 0.15), st.floats(-0.15, 0.15))
def test_where_the_period_is_cut_does_not_matter(x, y):
    cell = square_array(0.3)
    first, second = (stiffness(one, isotropic(1.0, 0.3), 5) for one in (cell, shifted(cell, (x, y))))
    assert np.abs(first - second).max() < 1e-4 * first.max()


@pytest.mark.parametrize("lattice", [[[2, 0], [0, 1]], [[2, 0], [0, 2]], [[1, 1], [-1, 1]]])
def test_larger_periods_give_the_same(lattice):
    lattice = np.asarray(lattice, dtype=float)
    steps = [np.array([i, j]) for i in range(-3, 4) for j in range(-3, 4)]
    inside = [s for s in steps if (np.abs((s + [0.01, 0.003]) @ np.linalg.inv(lattice)) < 0.5).all()]
    assert len(inside) == round(np.linalg.det(lattice))
    offset = np.mean(inside, axis=0)
    many = parallelogram(lattice, [circle(0.3, s - offset) for s in inside])
    one = stiffness(square_array(0.3), isotropic(1.0, 0.3), 5)
    assert np.abs(stiffness(many, isotropic(1.0, 0.3), 5) - one).max() < 2e-4 * one.max()


def moved_boundary(cell, speed, order=6, nu=0.3):
    """Return stiffness (6, 6) and its change as the free surface moves into the void by ``speed`` at each place.

    Hadamard: the fields are stationary, so the solid added with the energy density that it is strained to at the
    surface is all that counts, dC = integral of (stress : strain) speed ds over the cell's area. A work of the inner
    fields that is wrong by a factor, or a stress that is, breaks it.
    """
    solid = isotropic(1.0, nu)
    period = close_period(mesh_cell(cell), cell.lattice)
    solution = PlanSystem(period, solid, order).solve(order)
    field = StressField(period, solid, solution, solution.stiffness)
    shares, weights = np.polynomial.legendre.leggauss(order + 3)
    shares, weights = (shares + 1) / 2, weights / 2
    samples = field.surface(shares)
    x = samples.x.reshape(-1, len(shares), 2)
    # edges are exact arcs: their tangents by interpolation through all the places
    through = np.polynomial.polynomial.polyfit(
        shares, np.moveaxis(x, 1, 0).reshape(len(shares), -1), order + 2
    )
    slope = np.polynomial.polynomial.polyval(shares, np.polynomial.polynomial.polyder(through))
    tangent = slope.T.reshape(len(shares), -1, 2)
    ds = np.linalg.norm(tangent, axis=2).T * weights
    density = np.einsum("nki,kl,nlj->nij", samples.unit, np.linalg.inv(solid), samples.unit)
    added = (ds * speed(x)).ravel()
    return solution.stiffness, np.einsum("n,nij->ij", added, density) / period.area


def gained(make, speed, low, high):
    """Return the difference of the stiffness of ``make(high)`` and ``make(low)``, and the integral of its slope."""
    places, weights = np.polynomial.legendre.leggauss(4)
    at = low + (high - low) * (places + 1) / 2
    slopes = [moved_boundary(make(value), lambda x, value=value: speed(x, value))[1] for value in at]
    first, last = (moved_boundary(make(value), lambda x: 0 * x[..., 0])[0] for value in (low, high))
    return last - first, np.tensordot(weights, slopes, axes=1) * (high - low) / 2


@few
@given(st.floats(0.05, 0.4), st.floats(0.01, 0.05))
def test_a_larger_hole_is_softer_by_the_energy_at_its_surface(radius, more):
    """Stiffness of nested solids is ordered as quadratic forms, and differs by what was stored in the ring."""
    lost, stored = gained(square_array, lambda x, _: -np.ones(x.shape[:2]), radius, radius + more)
    assert np.linalg.eigvalsh(-lost)[0] > -1e-7
    assert np.abs(lost - stored).max() < 1e-4 * np.abs(lost).max()


@few
@given(st.floats(0.1, 0.3), st.floats(0.01, 0.08))
def test_material_added_in_corners_stiffens_by_the_energy_at_its_surface(wall, radius):
    """The solid with round corners contains the one with smaller radius; only the fillets move.

    A fillet about (h - r, h - r) moves into the void by cos t + sin t - 1 per radius at the angle t; on the sides,
    where t is 0 or 90 degrees, that is 0.
    """
    half = (1 - wall) / 2

    def speed(x, r):
        return np.maximum(np.abs(x) - (half - r), 0).sum(axis=-1) / r - 1

    won, stored = gained(lambda r: square_lattice(wall, r), speed, radius, radius + 0.02)
    assert np.linalg.eigvalsh(won)[0] > -1e-4 * won[5, 5]
    assert np.abs(won - stored).max() < 1e-3 * np.abs(won).max()


HOLES = {
    "round": circle(0.3),
    "elliptical": ellipse(0.4, 0.2),
    "square": rounded_square(0.3, 0.05),
    "two": [*circle(0.2, (-0.25, 0.1))],
}


@pytest.mark.parametrize("shape", sorted(HOLES))
def test_moduli_of_perforated_sheets_shift_with_the_solids_ratio(shape):
    """Cherkaev, Lurie and Milton 1992; carried over to prismatic cells by the exact relations of their sheet."""
    outlines = [HOLES[shape]] if shape != "two" else [HOLES[shape], circle(0.15, (0.25, -0.2))]
    cell = parallelogram(np.array([[1.0, 0.1], [0.0, 1.0]]), outlines)
    sheet = []
    for nu in (0.0, 0.3, 0.45):
        found = homogenise(cell, isotropic(1.0, nu), 1e-5)
        S = np.linalg.inv(found.stiffness)
        phi = found.geometric_fill
        plane = S[np.ix_([0, 1, 5], [0, 1, 5])].copy()
        plane[:2, :2] -= nu**2 / phi  # mean stress 33 zero: the sheet in plane strain
        plane[:2, 2] -= S[:2, 2] * S[5, 2] / S[2, 2]
        stress = plane / (1 - nu**2)  # compliance in units of the plane-strain solid
        shift = nu / (1 - nu)
        invariant = stress + shift * np.array([[0, 1, 0], [1, 0, 0], [0, 0, -2]])
        sheet.append(invariant)
    assert np.abs(sheet[0] - sheet[1]).max() < 2e-4 * np.abs(sheet[0]).max()
    assert np.abs(sheet[0] - sheet[2]).max() < 2e-4 * np.abs(sheet[0]).max()


@pytest.mark.parametrize("a", [0.2, 0.35])
def test_shear_shift_matches_the_tables(a):
    row = next(row for row in perforated.SQUARE_PLANE if row[0] == a)
    nu = 0.45
    found = homogenise(square_array(a), isotropic(1.0, nu), 1e-5).engineering
    sheet = perforated.shifted_shear(row[4], 0.3, nu)
    assert found.G12 == pytest.approx(perforated.prismatic_G12(sheet, nu), rel=5e-5)


@few
@given(st.floats(0.1, 10.0), st.sampled_from(["square", "hexagonal", "rhombic"]))
def test_stiffness_scales_with_the_modulus_and_not_with_size(scale, slug):
    one = stiffness(pattern_cell(slug, 0.3), isotropic(1.0, 0.3), 4)
    large = stiffness(pattern_cell(slug, 0.3, 0.45 * scale, 0.1 * scale), isotropic(scale, 0.3), 4)
    assert np.abs(large / scale - one).max() < 1e-4 * one.max()


class Halves:
    """Two phases, one in a round inclusion."""

    def __init__(self, inside, outside):
        self._C = inside, outside

    def sample(self, points):
        inside = np.linalg.norm(points.mean(axis=1), axis=1) < 0.3
        C = np.where(inside[:, None, None, None], *self._C)
        return np.broadcast_to(C, (*points.shape[:2], 6, 6)), np.zeros(len(points), dtype=bool)


def inclusion():
    """Square cell with a round inclusion meshed as a region of its own."""
    from dataclasses import replace

    from patterns.cells.planar import Planar, Region

    cell = square_array(0.3)
    hole = cell.planar.regions[0].holes[0]
    return replace(cell, planar=Planar(cell.planar.curves, (*cell.planar.regions, Region(hole, (), 1))))


@pytest.mark.parametrize("contrast", [2.0, 10.0, 50.0])
def test_antiplane_duality(contrast):
    """Keller 1964: k(s1, s2) k(s2, s1) = s1 s2 in a cell of square symmetry."""
    solid, strong = isotropic(1.0, 0.3), isotropic(contrast, 0.3)
    G = 1 / (2 * 1.3)
    cell = inclusion()
    first, second = (
        stiffness(cell, Halves(*pair), 5, 1.5)[4, 4] / G for pair in ((strong, solid), (solid, strong))
    )
    assert first * second == pytest.approx(contrast, rel=1e-6)


@pytest.mark.parametrize(("contrast", "exact"), [(10.0, 1.65203601), (50.0, 1.81252896)])
def test_conducting_discs(contrast, exact):
    """Rayleigh's multipoles (Perrins, McKenzie and McPhedran 1979): discs of share 0.3, matrix 1."""
    radius = np.sqrt(0.3 / np.pi)
    from dataclasses import replace

    from patterns.cells.planar import Planar, Region

    cell = square_array(radius)
    hole = cell.planar.regions[0].holes[0]
    cell = replace(cell, planar=Planar(cell.planar.curves, (*cell.planar.regions, Region(hole, (), 1))))

    class Discs(Halves):
        def sample(self, points):
            inside = np.linalg.norm(points.mean(axis=1), axis=1) < radius
            C = np.where(inside[:, None, None, None], *self._C)
            return np.broadcast_to(C, (*points.shape[:2], 6, 6)), np.zeros(len(points), dtype=bool)

    found = stiffness(cell, Discs(isotropic(contrast, 0.3), isotropic(1.0, 0.3)), 5, 1.5)
    assert found[4, 4] * 2 * 1.3 == pytest.approx(exact, rel=1e-7)


@pytest.mark.parametrize(("contrast", "rel"), [(4.0, 5e-3), (10.0, 1e-2)])
def test_checkerboard(contrast, rel):
    """Keller 1964, Dykhne 1970: sqrt(s1 s2), slowly from above because of the corners."""

    class Board:
        def sample(self, points):
            x, y = points.mean(axis=1).T
            even = (x * y) > 0
            C = np.where(even[:, None, None, None], isotropic(contrast, 0.3), isotropic(1.0, 0.3))
            return np.broadcast_to(C, (*points.shape[:2], 6, 6)), np.zeros(len(points), dtype=bool)

    found = stiffness(quarters(), Board(), 8)[4, 4] * 2 * 1.3
    assert found > np.sqrt(contrast)
    assert found == pytest.approx(np.sqrt(contrast), rel=rel)


def quarters():
    """A square about the origin cut into four squares."""
    from patterns.cells.cell import PlanCell
    from patterns.cells.planar import Curve, PeriodicPair, Planar, Region

    at = (-1.0, 0.0, 1.0)
    flat = [Curve("line", np.array([[at[i], y], [at[i + 1], y]])) for y in at for i in range(2)]
    upright = [Curve("line", np.array([[x, at[j]], [x, at[j + 1]]])) for x in at for j in range(2)]
    regions = [
        Region((1 + i + 2 * j, 7 + 2 * (i + 1) + j, -(3 + i + 2 * j), -(7 + 2 * i + j)))
        for i in range(2)
        for j in range(2)
    ]
    pairs = [PeriodicPair(5 + i, 1 + i, (0.0, 2.0)) for i in range(2)]
    pairs += [PeriodicPair(11 + j, 7 + j, (2.0, 0.0)) for j in range(2)]
    planar = Planar(tuple(flat + upright), tuple(regions))
    return PlanCell("hand-made", 2 * np.eye(2), planar, tuple(pairs), (), 0.3, 0.0, 1.0, 1.0, 1.0)
