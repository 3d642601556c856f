"""Couplings of anisotropic sections against exact bars and laminated strips."""

import numpy as np
import pytest
import shapely
from skfem import MeshTri

from fem.material.stiffness import isotropic, rotate, transversely_isotropic
from fem.section.mesh import section_mesh
from fem.section.result import RESULTANTS
from fem.section.solve import solve_section
from patterns.outlines.outline import outline
from patterns.setting import Specimen
from tests.closed_forms import anisotropic, torsion

PLY = transversely_isotropic(140.0, 10.0, 0.3, 0.4, 5.0, axis=1)


def about_z(angle_deg):
    a = np.radians(angle_deg)
    return np.array([[np.cos(a), -np.sin(a), 0], [np.sin(a), np.cos(a), 0], [0, 0, 1]])


def turned_ply(angle_deg, thickness_axis=about_z):
    return rotate(PLY, thickness_axis(angle_deg))


def entry(section, row, column):
    return section.compliance[RESULTANTS.index(row), RESULTANTS.index(column)]


@pytest.fixture(scope="module")
def generally_anisotropic():
    root = np.random.default_rng(3).standard_normal((6, 6))
    return root @ root.T + np.eye(6)


def assert_homogeneous(section, C, area, I_y, I_z):
    exact = anisotropic.homogeneous_bar(np.linalg.inv(C), area, I_y, I_z)
    size = np.sqrt(np.diag(section.compliance))
    for (row, column), value in exact.items():
        i, j = RESULTANTS.index(row), RESULTANTS.index(column)
        assert section.compliance[i, j] == pytest.approx(value, abs=1e-8 * size[i] * size[j]), (row, column)


def test_homogeneous_rectangle_of_any_anisotropy_has_exact_couplings(generally_anisotropic):
    mesh = MeshTri.init_tensor(np.linspace(-1.5, 1.5, 7), np.linspace(-1, 1, 5))
    section = solve_section(mesh, generally_anisotropic)
    assert_homogeneous(section, generally_anisotropic, 6.0, 3 * 8 / 12, 2 * 27 / 12)


def test_homogeneous_circle_of_any_anisotropy_has_exact_couplings(generally_anisotropic):
    made = section_mesh([outline(Specimen("round", 2, 2, 50))], 0.25)
    section = solve_section(made.mesh, generally_anisotropic)
    exact = anisotropic.homogeneous_bar(np.linalg.inv(generally_anisotropic), np.pi, np.pi / 4, np.pi / 4)
    assert entry(section, "N", "N") == pytest.approx(exact["N", "N"], rel=1e-4)  # the outline's own error
    assert entry(section, "T", "My") == pytest.approx(exact["T", "My"], rel=1e-4)
    assert entry(section, "T", "Mz") == pytest.approx(exact["T", "Mz"], rel=1e-4)


def test_off_axis_bar_stretches_with_its_own_compliance():
    for angle in (0, 30, 45, 90):
        C = turned_ply(angle)
        mesh = MeshTri.init_tensor(np.linspace(-5, 5, 11), np.linspace(-2, 2, 5))
        section = solve_section(mesh, C)
        assert section.EA == pytest.approx(40 / np.linalg.inv(C)[0, 0], rel=1e-10)
        assert section.EI_y == pytest.approx(10 * 4**3 / 12 / np.linalg.inv(C)[0, 0], rel=1e-10)
    assert abs(np.linalg.inv(turned_ply(30))[0, 5]) > 0.01  # so shear and twist do couple at 30 degrees


def test_orthotropic_rectangle_twists_as_the_stretched_series():
    C = np.linalg.inv(np.diag([1 / 10, 1 / 2, 1 / 3, 1 / 0.9, 1 / 0.7, 1 / 2.8]))
    mesh = MeshTri.init_tensor(np.linspace(-1.5, 1.5, 37), np.linspace(-1, 1, 25))
    assert solve_section(mesh, C).GJ == pytest.approx(torsion.orthotropic_rectangle(3, 2, 2.8, 0.7), rel=1e-4)


def plane_stress(C):
    S = np.linalg.inv(C)
    return np.linalg.inv(S[np.ix_([0, 1, 5], [0, 1, 5])])


@pytest.mark.parametrize(
    ("angles", "entries"),
    [
        ([30.0], ["N N", "My My", "T T", "T My", "N Vy"]),
        ([30.0, -30.0, -30.0, 30.0], ["N N", "My My", "T T", "T My"]),
        ([45.0, -45.0], ["N N", "My My", "T T", "N T"]),
        ([0.0, 90.0], ["N N", "My My", "T T"]),
    ],
)
def test_wide_laminated_strip_tends_to_classical_lamination_theory(angles, entries):
    """Free edges disturb a width of about the thickness, so the gap falls with thickness over width."""
    thickness = 1.0 / len(angles)
    plies = np.stack([turned_ply(angle) for angle in angles])
    gaps = []
    for width in (40.0, 160.0):
        limit = anisotropic.laminate_strip([(thickness, plane_stress(C)) for C in plies], width)
        section = strip(width, thickness, plies)
        found = section_about_middle(section)
        gaps.append({name: found[name] / limit[name] - 1 for name in entries})
    for name in entries:
        assert abs(gaps[1][name]) < 0.01
        if abs(gaps[0][name]) > 1e-4:  # single plies meet most entries exactly
            assert gaps[1][name] / gaps[0][name] == pytest.approx(0.25, abs=0.02)


def strip(width, thickness, plies):
    rows = 8 // len(plies) if len(plies) > 1 else 6
    z = thickness * np.linspace(-len(plies) / 2, len(plies) / 2, rows * len(plies) + 1)
    fine = np.linspace(0, 2, 13)
    edge = np.concatenate([fine[:-1], np.linspace(2, width - 2, 31)[:-1], width - fine[::-1]])
    mesh = MeshTri.init_tensor(edge - width / 2, z)
    layer = ((mesh.p[1, mesh.t].mean(axis=0) - z[0]) // thickness).astype(int)
    return solve_section(mesh, plies[layer])


def section_about_middle(section):
    """Entries as classical lamination theory names them: about the middle surface, which is the origin."""
    names = ["N N", "My My", "T T", "T My", "N T", "N Vy"]
    return {name: entry(section, *name.split()) for name in names}


def test_antisymmetric_laminate_twists_under_tension_and_not_under_bending():
    section = strip(10.0, 0.5, np.stack([turned_ply(45), turned_ply(-45)]))
    size = np.sqrt(np.diag(section.compliance))
    relative = section.compliance / np.outer(size, size)
    assert abs(relative[RESULTANTS.index("T"), RESULTANTS.index("N")]) > 0.1
    assert abs(relative[RESULTANTS.index("T"), RESULTANTS.index("My")]) < 1e-9


def test_box_with_walls_of_one_hand_couples_tension_with_torsion():
    """A circumferentially uniform box: every wall's fibres rise by the same angle seen from outside."""
    outer, inner = shapely.box(-10, -5, 10, 5), shapely.box(-9, -4, 9, 4)
    made = section_mesh([outer - inner], 2.0)
    y, z = made.mesh.mapping().F(np.full((2, 1), 1 / 3))[:, :, 0]
    aside = np.abs(y) > 9
    C = np.empty((made.mesh.nelements, 6, 6))
    for sign in (1, -1):
        C[~aside & (sign * z > 0)] = turned_ply(-20 * sign)
        C[aside & (sign * y > 0)] = rotate(PLY, about_y(-20 * sign))
    section = solve_section(made.mesh, C)
    size = np.sqrt(np.diag(section.compliance))
    relative = section.compliance / np.outer(size, size)
    assert abs(relative[0, 3]) > 0.2
    assert abs(relative[3, 4]) < 1e-3
    assert abs(relative[3, 5]) < 1e-3
    wall = np.linalg.inv(plane_stress(turned_ply(20.0)))
    thin = (
        abs(wall[0, 2] / wall[0, 0]) * 56 / (2 * 19 * 9)
    )  # gamma of the middle line s = 56 is twist x 2 A_m/s
    assert abs(section.compliance[3, 0] / section.compliance[0, 0]) == pytest.approx(thin, rel=0.05)


def about_y(angle_deg):
    a = np.radians(angle_deg)
    return np.array([[np.cos(a), 0, np.sin(a)], [0, 1, 0], [-np.sin(a), 0, np.cos(a)]])


def test_poissons_ratio_alone_couples_nothing():
    mesh = MeshTri.init_tensor(np.linspace(-5, 5, 11), np.linspace(-2, 2, 5))
    F = solve_section(mesh, isotropic(3.0, 0.45)).compliance
    size = np.sqrt(np.diag(F))
    assert F / np.outer(size, size) == pytest.approx(np.eye(6), abs=1e-4)  # triangles lean to one side
