"""Torsion between two bounds: warping energy from above, Prandtl's stress function (scikit-fem alone) from below."""

import numpy as np
import pytest
import scipy.sparse as sp
from skfem import Basis, BilinearForm, ElementTriP2, LinearForm, MeshTri, condense, solve
from skfem.helpers import dot, grad

from fem.material.stiffness import isotropic
from fem.section.solve import solve_section
from tests.closed_forms import torsion


@BilinearForm
def laplace(u, v, _):
    return dot(grad(u), grad(v))


@LinearForm
def unit_twist(v, _):
    return 2.0 * v


def prandtl(mesh: MeshTri, hole: np.ndarray | None = None) -> float:
    """Twice the volume under the stress function; on the rim of ``hole`` (facets) it is one unknown constant.

    The hole counts as a plateau: its area times its height adds to the volume.
    """
    basis = Basis(mesh, ElementTriP2())
    K, f = laplace.assemble(basis), unit_twist.assemble(basis)
    outline = mesh.boundary_facets()
    if hole is None:
        phi = solve(*condense(K, f, D=basis.get_dofs(outline)))
        return float(f @ phi)
    rim = basis.get_dofs(hole).flatten()
    a, b = mesh.p[:, mesh.facets[:, hole]].transpose(1, 0, 2)
    area = np.prod(np.ptp(np.hstack([a, b]), axis=1))
    f[rim[0]] += f[rim[1:]].sum() + 2 * area
    others = np.setdiff1d(np.arange(basis.N), rim[1:])
    place = np.searchsorted(others, np.where(np.isin(np.arange(basis.N), rim), rim[0], np.arange(basis.N)))
    P = sp.csr_matrix((np.ones(basis.N), (np.arange(basis.N), place)), shape=(basis.N, len(others)))
    load = f[others]
    fixed = np.searchsorted(others, basis.get_dofs(np.setdiff1d(outline, hole)).flatten())
    phi = solve(*condense((P.T @ K @ P).tocsr(), load, D=fixed))
    return float(load @ phi)


@pytest.mark.parametrize("ratio", [1.0, 2.0, 4.0])
def test_rectangle_lies_between_the_bounds_and_they_close(ratio):
    exact, widths = torsion.rectangle(ratio, 1), []
    for n in (4, 8):
        mesh = MeshTri.init_tensor(np.linspace(0, ratio, int(n * ratio) + 1), np.linspace(0, 1, n + 1))
        lower, upper = prandtl(mesh), solve_section(mesh, isotropic(2.6, 0.3)).GJ
        assert lower < exact < upper
        widths.append(upper - lower)
    assert widths[1] < widths[0] / 8


def test_square_tube_lies_between_the_bounds():
    wall = 0.2
    mesh = MeshTri.init_tensor(*[np.linspace(0, 1, 21)] * 2)
    y, z = np.abs(mesh.p[:, mesh.t].mean(axis=1) - 0.5)
    tube = mesh.restrict(np.flatnonzero(np.maximum(y, z) > 0.5 - wall))
    middle = tube.p[:, tube.facets].mean(axis=1)
    inside = (np.abs(middle - 0.5) < 0.4).all(axis=0)
    rim = np.intersect1d(tube.boundary_facets(), np.flatnonzero(inside))
    lower, upper = prandtl(tube, rim), solve_section(tube, isotropic(2.6, 0.3)).GJ
    assert lower < torsion.SQUARE_TUBE[wall] < upper
    assert upper / lower < 1.01
