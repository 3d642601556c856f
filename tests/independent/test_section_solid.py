"""A solid cantilever of hexahedra (NGSolve, order 3) judges the 6 x 6 of a section of two anisotropic materials."""

import numpy as np
import pytest
from skfem import MeshTri

from fem.material.stiffness import rotate, transversely_isotropic
from fem.section.result import RESULTANTS
from fem.section.solve import solve_section

ngsolve = pytest.importorskip("ngsolve", reason="the judge is another library, ngsolve")

WIDTH, HEIGHT, LENGTH = 2.0, 1.5, 12.0
SLICE = 2.0  # mm along the beam, half way between the clamp and the loaded end


def turn(axis, angle_deg):
    a = np.radians(angle_deg)
    K = np.cross(np.eye(3), np.asarray(axis, dtype=float) / np.linalg.norm(axis))
    return np.eye(3) - np.sin(a) * K + (1 - np.cos(a)) * K @ K


PLY = transversely_isotropic(10.0, 3.0, 0.3, 0.35, 1.2, axis=1)
LOWER = rotate(PLY, turn((1, 2, 3), 35))  # full 6 x 6, no entry zero
UPPER = 2 * rotate(PLY, turn((3, -1, 2), -50))


def solid_energies() -> np.ndarray:
    """Energy products (6, 6) per length of a slice of the solid beam, one load for each resultant at its middle."""
    from ngsolve import (
        BilinearForm,
        CoefficientFunction,
        GridFunction,
        IfPos,
        InnerProduct,
        Integrate,
        LinearForm,
        VectorH1,
        ds,
        dx,
        grad,
        x,
        y,
        z,
    )
    from ngsolve.meshes import MakeStructured3DMesh

    mesh = MakeStructured3DMesh(
        hexes=True,
        nx=12,
        ny=4,
        nz=4,
        mapping=lambda a, b, c: (LENGTH * a, WIDTH * (b - 0.5), HEIGHT * (c - 0.5)),
    )
    V = VectorH1(mesh, order=3, dirichlet="back")  # x = 0
    u, v = V.TnT()
    lower, upper = (CoefficientFunction(tuple(C.ravel()), dims=(6, 6)) for C in (LOWER, UPPER))
    C = IfPos(z, upper, lower)

    def strain(w):
        g = grad(w)
        shear = (g[1, 2] + g[2, 1], g[0, 2] + g[2, 0], g[0, 1] + g[1, 0])
        return CoefficientFunction((g[0, 0], g[1, 1], g[2, 2], *shear))

    K = BilinearForm(InnerProduct(C * strain(u), strain(v)) * dx, symmetric=True).Assemble()
    inverse = K.mat.Inverse(V.FreeDofs(), inverse="sparsecholesky")
    area, I_y, I_z = WIDTH * HEIGHT, WIDTH * HEIGHT**3 / 12, HEIGHT * WIDTH**3 / 12
    arm = LENGTH / 2
    at_end = np.eye(6)
    at_end[2, 4] = arm  # with Vz an end moment, so that My is zero half way
    at_end[1, 5] = -arm
    fields = []
    for N, Vy, Vz, T, My, Mz in at_end:
        swirl = T / (I_y + I_z)
        traction = CoefficientFunction(
            (N / area + My / I_y * z - Mz / I_z * y, Vy / area - swirl * z, Vz / area + swirl * y)
        )
        load = LinearForm(InnerProduct(traction, v) * ds("front")).Assemble()
        field = GridFunction(V)
        field.vec.data = inverse * load.vec
        fields.append(strain(field))
    inside = IfPos(x - (LENGTH - SLICE) / 2, 1, 0) * IfPos((LENGTH + SLICE) / 2 - x, 1, 0)
    product = np.empty((6, 6))
    for i in range(6):
        for j in range(i, 6):
            energy = Integrate(inside * InnerProduct(C * fields[i], fields[j]), mesh, order=6)
            product[i, j] = product[j, i] = energy / SLICE
    return product


@pytest.mark.slow
def test_energies_of_a_solid_beam_are_those_of_its_section():
    mesh = MeshTri.init_tensor(
        np.linspace(-WIDTH / 2, WIDTH / 2, 25), np.linspace(-HEIGHT / 2, HEIGHT / 2, 25)
    )
    above = mesh.p[1, mesh.t].mean(axis=0) > 0
    section = solve_section(mesh, np.where(above[:, None, None], UPPER, LOWER))
    growth = np.zeros((6, 6))  # of the resultants along x, in each load
    growth[2, 4], growth[1, 5] = 1, -1
    F = section.compliance
    expected = F + SLICE**2 / 12 * growth @ F @ growth.T
    size = np.sqrt(np.diag(expected))
    gap = (solid_energies() - expected) / np.outer(size, size)
    assert np.abs(gap).max() < 5e-4, dict(zip(RESULTANTS, np.round(np.diag(gap), 5), strict=True))
    assert (
        np.abs((expected / np.outer(size, size))[~np.eye(6, dtype=bool)]).max() > 0.2
    )  # couplings are there
