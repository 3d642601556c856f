"""The groove between stacked beads, judged by ngsolve on triangles of its own mesher."""

import math

import pytest

from fem.printed.weld import stack_cell
from patterns.bead import Bead

ngsolve = pytest.importorskip("ngsolve")
occ = pytest.importorskip("netgen.occ")


def _quarter(bead: Bead, radius: float):
    """Return the face of a quarter bead with its cusp filled to a circle, edges named."""
    a, b, H = bead.flat_width / 2, bead.full_width / 2, bead.height / 2
    reach = math.sqrt((H + radius) ** 2 - H**2)
    share = H / (H + radius)
    touch = (a + share * reach, share * H)
    first, second = math.pi, math.pi + math.atan2(H, reach)
    on_circle = [
        (a + reach + radius * math.cos(t), H + radius * math.sin(t)) for t in (first, (first + second) / 2)
    ]
    root, between = on_circle

    def point(xy):
        return occ.Pnt(*xy, 0)

    edges = [
        occ.Segment(point((0, 0)), point((b, 0))),
        occ.ArcOfCircle(point((b, 0)), point(_arc_middle(a, H, touch)), point(touch)),
        occ.ArcOfCircle(point(touch), point(between), point(root)),
        occ.Segment(point(root), point((0, H))),
        occ.Segment(point((0, H)), point((0, 0))),
    ]
    face = occ.Face(occ.Wire(edges))
    for edge in face.edges:
        x, y = edge.center.x, edge.center.y
        flat = "low" if y < 1e-9 else "high" if y > H - 1e-9 else "side"
        edge.name = "middle" if x < 1e-9 else flat
        if flat == "side" and x < touch[0] and x > 1e-9:
            edge.maxh = radius / 3
    return face, root[0]


def _arc_middle(a: float, H: float, touch: tuple[float, float]) -> tuple[float, float]:
    angle = math.atan2(touch[1], touch[0] - a) / 2
    return a + H * math.cos(angle), H * math.sin(angle)


@pytest.mark.parametrize("radius", [0.005, 0.03])
def test_stack_cell_agrees_with_another_library(radius):
    bead, nu = Bead.from_full_width(0.45, 0.2), 0.35
    face, root = _quarter(bead, radius)
    mesh = ngsolve.Mesh(occ.OCCGeometry(face, dim=2).GenerateMesh(maxh=0.03, grading=0.3)).Curve(6)
    space = ngsolve.H1(mesh, order=6, dirichlet="middle") * ngsolve.H1(mesh, order=6, dirichlet="low|high")
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
    e = strain(*field.components)
    across = lam * (e[0] + e[1]) + 2 * mu * e[1]
    peak = across(mesh(root, H - 1e-12))  # symmetry makes it a principal stress at the root
    cell = stack_cell(bead, radius, nu)
    assert cell.modulus_ratio == pytest.approx(force / (bead.full_width / 2) / plane_strain, rel=1e-4)
    assert cell.concentration == pytest.approx(peak / (force / root), rel=5e-3)
