"""Stresses of a section against closed forms, equilibrium and free surfaces."""

import numpy as np
import pytest
import shapely
from skfem import MeshTri

from fem.material.stiffness import isotropic
from fem.section.mesh import section_mesh
from fem.section.solve import solve_section
from patterns.outlines.outline import outline
from patterns.setting import Specimen
from tests.closed_forms import shear, torsion

NU = 0.3
UNIT = isotropic(2 * (1 + NU), NU)
XX, XZ, XY = 0, 4, 5


def bar(width, height, n_width, n_height):
    y, z = np.linspace(-width / 2, width / 2, n_width + 1), np.linspace(-height / 2, height / 2, n_height + 1)
    return solve_section(MeshTri.init_tensor(y, z), UNIT)


def at_node(section, sig, y, z):
    where = section.points("nodes")
    return sig[np.hypot(where[..., 0] - y, where[..., 1] - z) < 1e-9].mean(axis=0)


def test_tension_and_bending_leave_only_the_axial_stress():
    section = bar(10, 4, 5, 4)
    sig = section.stresses([40, 0, 0, 0, 80, -90], at="nodes")
    y, z = np.moveaxis(section.points("nodes"), -1, 0)
    exact = 1 + 80 * z / (10 * 4**3 / 12) + 90 * y / (4 * 10**3 / 12)
    assert sig[..., XX] == pytest.approx(exact, abs=1e-9)
    assert sig[..., 1:] == pytest.approx(np.zeros_like(sig[..., 1:]), abs=1e-9)


@pytest.mark.parametrize("ratio", [1.0, 2.0, 3.0])
def test_torsion_stress_peaks_at_the_middle_of_the_long_side(ratio):
    section = bar(ratio, 1, int(24 * ratio), 24)
    sig = section.stresses([0, 0, 0, 1, 0, 0], at="nodes")
    peak = 1 / (torsion.RECTANGLE[ratio][1] * ratio)
    assert abs(at_node(section, sig, 0, 0.5)[XY]) == pytest.approx(peak, rel=3e-3)
    assert np.abs(sig[..., [XZ, XY]]).max() == pytest.approx(peak, rel=5e-3)


def test_shear_stress_of_a_deep_rectangle_is_jourawskis_parabola():
    section, V = bar(0.2, 2, 4, 32), 3.0  # narrow: the stress hardly varies across
    sig = section.stresses([0, 0, V, 0, 0, 0])
    z = section.points()[..., 1]
    exact = shear.jourawski(V, 0.2 * (1 - z**2) / 2, 0.2 * 2**3 / 12, 0.2)
    assert sig[..., XZ] == pytest.approx(exact, abs=2e-3 * exact.max())


def test_mean_shear_stress_across_any_cut_is_jourawskis_whatever_poissons_ratio():
    section, V = bar(4, 1, 32, 8), 1.0
    sig, z = section.stresses([0, 0, V, 0, 0, 0]), section.points()[..., 1]
    row = (z.mean(axis=1) > -0.25) & (z.mean(axis=1) < -0.125)
    mean = np.average(sig[row, :, XZ], weights=section.fields.areas[row])
    zs = np.linspace(-0.25, -0.125, 101)
    exact = np.mean(shear.jourawski(V, 4 * (0.25 - zs**2) / 2, 4 / 12, 4))
    assert mean == pytest.approx(exact, rel=1e-3)


def test_shear_stress_at_the_centre_of_a_circle():
    made = section_mesh([outline(Specimen("round", 2, 2, 50))], 0.15)
    section = solve_section(made.mesh, UNIT)
    sig = section.stresses([0, 0, np.pi, 0, 0, 0])
    near = np.linalg.norm(section.points(), axis=-1) < 0.08
    assert sig[near][:, XZ].mean() == pytest.approx(shear.circle_centre_stress(NU), rel=3e-3)


def test_stress_resultants_are_those_asked_for():
    made = section_mesh([shapely.box(0, 0, 10, 4) - shapely.box(1, 1, 8, 3)], 1.0)
    section = solve_section(made.mesh, UNIT)
    asked = np.array([3.0, -2.0, 5.0, 7.0, 11.0, -13.0])
    sig, area = section.stresses(asked), section.fields.areas
    y, z = np.moveaxis(section.points(), -1, 0)
    xx, xz, xy = sig[..., XX], sig[..., XZ], sig[..., XY]
    found = [np.vdot(area, f) for f in (xx, xy, xz, y * xz - z * xy, z * xx, -y * xx)]
    assert found == pytest.approx(asked, rel=1e-3)


def test_free_surface_carries_no_traction_as_the_mesh_is_refined():
    worst = []
    for n in (4, 8, 16):
        section = bar(2, 1, 2 * n, n)
        sig = section.stresses([0, 1, 0, 1, 0, 0], at="nodes")
        y, z = np.moveaxis(section.points("nodes"), -1, 0)
        side = (np.abs(y - 1) < 1e-9) & (np.abs(z) < 0.3)  # corners converge a little slower
        worst.append(np.sqrt(np.mean(sig[side][:, XY] ** 2)))
    assert np.diff(np.log(worst)) / np.log(0.5) == pytest.approx([2, 2], abs=0.5)


def test_stress_points_are_better_than_nodes():
    errors = {}
    for at in ("points", "nodes"):
        section = bar(1, 1, 8, 8)
        sig, where = section.stresses([0, 0, 0, 1, 0, 0], at), section.points(at)
        errors[at] = np.abs(sig[..., XY] - torsion_stress(where[..., 0], where[..., 1])).mean()
    assert errors["points"] < 0.7 * errors["nodes"]


def torsion_stress(y, z):
    """tau_xy of a unit torque on the unit square (Timoshenko and Goodier, art. 109), per unit torque."""
    total = np.zeros_like(z)
    for n in range(1, 60, 2):
        k = n * np.pi
        ratio = np.exp(k * (np.abs(z) - 0.5)) * (1 - np.exp(-2 * k * np.abs(z))) / (1 + np.exp(-k))
        total -= 8 / np.pi**2 * (-1) ** ((n - 1) // 2) / n**2 * np.cos(k * y) * ratio * np.sign(z)
    return total / torsion.rectangle(1, 1)


def test_nodal_means_keep_materials_apart():
    mesh = MeshTri.init_tensor(np.linspace(0, 2, 5), np.linspace(0, 1, 3))
    right = mesh.p[0, mesh.t].mean(axis=0) > 1
    section = solve_section(mesh, np.where(right[:, None, None], 10 * UNIT, UNIT))
    F = section.bending_resultants(0.0)
    F[0] = 1.0
    F[5] = -section.centroid[0]  # tension through the elastic centroid
    sig = section.stresses(F, at="nodes")
    stiff, soft = section.fields.nodal(sig, right), section.fields.nodal(sig, ~right)
    assert np.nanmean(stiff[:, XX]) == pytest.approx(10 * np.nanmean(soft[:, XX]), rel=1e-9)
    assert np.isnan(stiff[:, XX]).sum() + np.isnan(soft[:, XX]).sum() == section.fields.warping.shape[1] - 5
    both = section.fields.nodal(sig)
    assert np.isfinite(both).all()
