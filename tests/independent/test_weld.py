"""The stack of beads, judged by ngsolve on triangles of its own mesher."""

import math

import pytest

from fem.printed.stack import stack_stiffness
from patterns.bead import Bead

ngsolve = pytest.importorskip("ngsolve", reason="the judge is another library, ngsolve")
occ = pytest.importorskip("netgen.occ", reason="the judge is another library, ngsolve")


def _quarter(bead: Bead):
    """Return the face of a quarter bead, edges named."""
    a, b, H = bead.flat_width / 2, bead.full_width / 2, bead.height / 2
    half = math.sqrt(0.5) * H

    def point(x, y):
        return occ.Pnt(x, y, 0)

    edges = [
        occ.Segment(point(0, 0), point(b, 0)),
        occ.ArcOfCircle(point(b, 0), point(a + half, half), point(a, H)),
        occ.Segment(point(a, H), point(0, H)),
        occ.Segment(point(0, H), point(0, 0)),
    ]
    face = occ.Face(occ.Wire(edges))
    for edge, name in zip(face.edges, ("low", "side", "high", "middle"), strict=True):
        edge.name = name
    for corner in face.vertices:
        if abs(corner.p.x - a) < 1e-9 and abs(corner.p.y - H) < 1e-9:
            corner.maxh = 1e-4 * H
    return face


@pytest.mark.parametrize("bead", [Bead(0.45, 0.2), Bead(0.6, 0.5)])
def test_stack_agrees_with_another_library(bead):
    nu = 0.35
    mesh = ngsolve.Mesh(occ.OCCGeometry(_quarter(bead), dim=2).GenerateMesh(maxh=0.03, grading=0.3)).Curve(5)
    space = ngsolve.H1(mesh, order=5, dirichlet="middle") * ngsolve.H1(mesh, order=5, dirichlet="low|high")
    (u, w), (du, dw) = space.TnT()
    lam, mu = nu / (1 + nu) / (1 - 2 * nu), 1 / (2 * (1 + nu))

    def strain(one, two):
        g, h = ngsolve.grad(one), ngsolve.grad(two)
        return g[0], h[1], g[1] + h[0]

    a, b = strain(u, w), strain(du, dw)
    form = ngsolve.BilinearForm(space, symmetric=True)
    form += (
        lam * (a[0] + a[1]) * (b[0] + b[1]) + 2 * mu * (a[0] * b[0] + a[1] * b[1]) + mu * a[2] * b[2]
    ) * ngsolve.dx
    form.Assemble()
    field = ngsolve.GridFunction(space)
    field.components[1].Set(ngsolve.y, definedon=mesh.Boundaries("low|high"))
    rest = (-form.mat * field.vec).Evaluate()
    field.vec.data += form.mat.Inverse(space.FreeDofs()) * rest
    H, plane_strain = bead.height / 2, 1 / (1 - nu**2)
    force = ngsolve.InnerProduct(field.vec, (form.mat * field.vec).Evaluate()) / H
    found = stack_stiffness(bead, nu)
    assert found.ratio == pytest.approx(force / (bead.width / 2) / plane_strain, rel=3e-4)
