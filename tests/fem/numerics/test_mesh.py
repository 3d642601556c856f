"""Meshes of planar maps: exact outlines, matching periodic nodes, sizes, and clear refusals."""

import builtins
import hashlib
import subprocess
import sys
from dataclasses import replace

import numpy as np
import pytest
from skfem import Basis, ElementTriP2, Functional

from fem.numerics.edges import SHARES
from fem.numerics.mesh import mesh_planar
from patterns.cells.planar import Curve, Planar, Region
from patterns.errors import InputError, SolverError
from tests.fem.prismatic.cells import circle, rounded_square, square_array, square_lattice


def ring(inner, outer):
    return Planar(tuple(circle(outer) + circle(inner)), (Region((1, 2, 3, 4), ((5, 6, 7, 8),), 3),))


def area(plan):
    return Functional(lambda w: 1.0 + 0 * w.x[0]).assemble(Basis(plan.mesh, ElementTriP2()))


def test_area_of_a_ring_converges_with_the_fourth_power_of_the_size():
    errors = [abs(area(mesh_planar(ring(1.0, 2.0), size)) - 3 * np.pi) for size in (0.8, 0.4, 0.2)]
    rates = np.log2(np.array(errors[:-1]) / errors[1:])
    assert errors[-1] < 1e-5
    assert (rates > 3.5).all()


def test_straight_edges_cut_corners_off():
    disc = Planar(tuple(circle(1.0)), (Region((1, 2, 3, 4)),))
    assert area(mesh_planar(disc, 0.4, order=1)) < np.pi * (1 - 1e-2)


def test_the_same_input_gives_the_same_mesh_in_another_process():
    code = (
        "from tests.fem.numerics.test_mesh import ring; from fem.numerics.mesh import mesh_planar; import hashlib;"
        "m = mesh_planar(ring(1.0, 2.0), 0.3).mesh; print(hashlib.sha256(m.p.tobytes() + m.t.tobytes()).hexdigest())"
    )
    elsewhere = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, check=True, text=True
    ).stdout
    mesh = mesh_planar(ring(1.0, 2.0), 0.3).mesh
    assert hashlib.sha256(mesh.p.tobytes() + mesh.t.tobytes()).hexdigest() == elsewhere.strip()


def test_opposite_sides_of_a_period_have_the_same_nodes():
    cell = square_lattice(0.2, 0.05)
    x, y = mesh_planar(cell.planar, 0.1, cell.pairs).mesh.p
    for along, across in ((x, y), (y, x)):
        low, high = (np.sort(along[np.abs(across - side) < 1e-12]) for side in (-0.5, 0.5))
        assert len(low) > 5
        assert np.abs(low - high).max() < 1e-12


def test_a_size_on_one_curve_is_kept_there_and_grows_away_from_it():
    cell = square_array(0.3)
    curves = tuple(
        replace(curve, size=0.02) if curve.kind == "arc" else curve for curve in cell.planar.curves
    )
    plan = mesh_planar(replace(cell.planar, curves=curves), 0.2, cell.pairs)
    a, b, curve = plan.edges
    length = np.linalg.norm(plan.mesh.p[:, a] - plan.mesh.p[:, b], axis=0)
    on_hole = curve > 4
    assert length[on_hole].max() <= 0.02 * 1.001
    assert length[on_hole].min() > 0.015
    assert 0.05 < length[~on_hole].max() <= 0.2 * 1.001


def test_fine_points_grade_the_mesh_into_a_corner():
    square = Planar(tuple(rounded_square(1.0, 0.0)), (Region((1, 2, 3, 4)),))
    plan = mesh_planar(square, 0.5, growth=0.5, fine_points=np.array([[1.0, 1.0, 1e-3]]))
    a, b, _ = plan.edges
    middle = plan.mesh.p[:, [a, b]].mean(axis=1)
    length = np.linalg.norm(plan.mesh.p[:, a] - plan.mesh.p[:, b], axis=0)
    away = np.linalg.norm(middle - 1.0, axis=0)
    # one edge where the integral of ds/(h + g s) is one: h (e^g - 1)/g
    assert length.min() <= 1e-3 * (np.exp(0.5) - 1) / 0.5
    assert (length < 0.002 + 0.8 * away).all()


def test_regions_keep_their_tags_and_share_their_border():
    outer, inner = rounded_square(2.0, 0.5), rounded_square(1.0, 0.0)
    first = tuple(range(1, 9))
    second = tuple(range(9, 13))
    plan = mesh_planar(
        Planar(tuple(outer + inner), (Region(first, (second,), 7), Region(second, (), 5))), 0.5
    )
    assert set(plan.tags.tolist()) == {5, 7}
    on_border = np.isin(plan.edges[2], second)
    shared = plan.edges[:2, on_border].T
    corner = np.sort(plan.mesh.t.T, axis=1)
    for a, b in np.sort(shared, axis=1):
        tags = plan.tags[(corner == a).any(axis=1) & (corner == b).any(axis=1)]
        assert sorted(tags.tolist()) == [5, 7]


def test_traces_lie_on_the_true_curve():
    plan = mesh_planar(ring(1.0, 2.0), 0.5)
    radius = np.linalg.norm(plan.traces, axis=2)
    true = np.where(plan.edges[2] <= 4, 2.0, 1.0)
    assert plan.traces.shape[1] == len(SHARES)
    assert np.abs(radius - true[:, None]).max() < 1e-12


def test_a_thin_ring_asked_for_with_coarse_edges_is_refined_until_no_element_folds():
    plan = mesh_planar(ring(1.0, 1.005), 2.0)
    assert area(plan) == pytest.approx(np.pi * (1.005**2 - 1), rel=1e-3)


def test_an_open_outline_is_named():
    sides = rounded_square(1.0, 0.0)
    sides[1] = Curve("line", sides[1].points + 0.1)
    with pytest.raises(InputError, match="open after curve 1"):
        mesh_planar(Planar(tuple(sides), (Region((1, 2, 3, 4)),)), 0.5)


def test_crossing_outlines_end_in_one_line():
    outer, inner = rounded_square(1.0, 0.0), rounded_square(1.5, 0.0)
    crossing = [Curve("line", curve.points + np.array([0.7, 0.0])) for curve in inner]
    planar = Planar(tuple(outer + crossing), (Region((1, 2, 3, 4), ((5, 6, 7, 8),)),))
    with pytest.raises(SolverError) as caught:
        mesh_planar(planar, 0.5)
    assert "\n" not in str(caught.value)


def test_a_missing_system_library_is_named_with_its_cure(monkeypatch):
    real = builtins.__import__

    def without_gmsh(name, *args, **kwargs):
        if name == "gmsh":
            raise OSError("libGLU.so.1: cannot open shared object file")
        return real(name, *args, **kwargs)

    monkeypatch.setattr(builtins, "__import__", without_gmsh)
    with pytest.raises(InputError, match=r"libGLU.so.1.*apt-get install libglu1-mesa"):
        mesh_planar(ring(1.0, 2.0), 0.5)


def test_gmsh_works_outside_the_main_thread():
    from concurrent.futures import ThreadPoolExecutor

    with ThreadPoolExecutor(2) as pool:
        found = list(pool.map(lambda size: mesh_planar(ring(1.0, 2.0), size).mesh.nelements, (0.5, 0.5, 0.5)))
    assert len(set(found)) == 1
