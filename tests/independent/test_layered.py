"""Crossing beads judged by ngsolve: tetrahedra of another mesher, periodic by its own means, refined at the weld.

Displacement elements are too stiff, so the judge's Young's and shear moduli lie above the exact ones.
"""

import math

import numpy as np
import pytest

from fem.layered.layered import homogenise_layered
from fem.material.stiffness import isotropic
from patterns.bead import Bead
from patterns.catalogue import find

ngsolve = pytest.importorskip("ngsolve", reason="the judge is another library, ngsolve")
occ = pytest.importorskip("netgen.occ", reason="the judge is another library, ngsolve")

NU = 0.35
VOIGT = ((0, 0), (1, 1), (2, 2), (1, 2), (0, 2), (0, 1))


def _beads(bead, pitch, crossing_deg):
    """Return the upper half of a bead along x, and the lower half of one that crosses it above, over their periods."""
    a, b, H = bead.flat_width / 2, bead.full_width / 2, bead.height / 2
    length = pitch / math.sin(math.radians(crossing_deg))
    plane = occ.WorkPlane(occ.Axes((-length / 2, 0, 0), n=occ.X, h=occ.Y))
    plane.MoveTo(-b, 0).LineTo(b, 0).Rotate(90).Arc(H, 90).LineTo(-a, H).Arc(H, 90).Close()
    lower = plane.Face().Extrude(length * occ.X)
    upper = lower.Mirror(occ.Axes((0, 0, H), n=occ.Z, h=occ.X)).Rotate(
        occ.Axis((0, 0, 0), occ.Z), crossing_deg
    )
    for solid, angle in ((lower, 0.0), (upper, math.radians(crossing_deg))):
        along = np.array([math.cos(angle), math.sin(angle), 0.0])
        ends = sorted(solid.faces, key=lambda face: np.dot([face.center.x, face.center.y, 0.0], along))
        step = occ.gp_Trsf.Translation(occ.gp_Vec(*(length * along)))
        ends[0].Identify(ends[-1], "period", occ.IdentificationType.PERIODIC, step)
    return lower, upper, length


def _mesh(bead, pitch, crossing_deg, size, levels):
    lower, upper, length = _beads(bead, pitch, crossing_deg)
    both = occ.Glue([lower, upper])
    H = bead.height / 2
    for face in both.faces:
        low, high = face.bounding_box
        flat = abs(high.z - low.z) < 1e-6
        face.name = "plane" if flat and min(abs(low.z), abs(low.z - 2 * H)) < 1e-6 else "free"
    for edge in both.edges:
        low, high = edge.bounding_box
        reach = max(abs(edge.center.x), abs(edge.center.y))
        if abs(low.z - H) < 1e-6 and abs(high.z - H) < 1e-6 and reach < bead.flat_width:
            edge.hpref = 1
    mesh = ngsolve.Mesh(occ.OCCGeometry(both).GenerateMesh(maxh=size))
    if levels:
        mesh.RefineHP(levels, 0.15)
    return mesh.Curve(3), length


def _judge(bead, pitch, crossing_deg, order=3, size=0.13, levels=1):
    """Return the stiffness (6, 6) in axes with axis 1 along the lower bead."""
    mesh, length = _mesh(bead, pitch, crossing_deg, size, levels)
    lam, mu = NU / (1 + NU) / (1 - 2 * NU), 1 / (2 * (1 + NU))
    volume = pitch * length * bead.height

    def stress(e):
        return 2 * mu * e + lam * ngsolve.Trace(e) * ngsolve.Id(3)

    C = np.zeros((6, 6))
    for group, held in (((0, 1, 2, 5), (2,)), ((3, 4), (0, 1))):
        spaces = [
            ngsolve.Periodic(ngsolve.H1(mesh, order=order, dirichlet="plane" if axis in held else ""))
            for axis in range(3)
        ]
        space = ngsolve.FESpace(spaces)
        trial, test = space.TnT()

        def strain(u):
            g = ngsolve.CF(tuple(ngsolve.grad(component) for component in u), dims=(3, 3))
            return 0.5 * (g + g.trans)

        form = ngsolve.BilinearForm(space, symmetric=True)
        form += ngsolve.InnerProduct(stress(strain(trial)), strain(test)) * ngsolve.dx
        form += (
            1e-9 * sum(u * v for u, v in zip(trial, test, strict=True)) * ngsolve.dx
        )  # holds rigid motions
        form.Assemble()
        inverse = form.mat.Inverse(space.FreeDofs(), inverse="sparsecholesky")
        fields, means = [], []
        for load in group:
            i, j = VOIGT[load]
            E = np.zeros((3, 3))
            E[i, j] += 0.5
            E[j, i] += 0.5
            mean = ngsolve.CF(tuple(E.ravel()), dims=(3, 3))
            right = ngsolve.LinearForm(space)
            right += -ngsolve.InnerProduct(stress(mean), strain(test)) * ngsolve.dx
            right.Assemble()
            field = ngsolve.GridFunction(space)
            field.vec.data = inverse * right.vec
            fields.append(field)
            means.append(mean)
        for k, one in enumerate(group):
            total = means[k] + strain(fields[k].components)
            for m, other in enumerate(group):
                C[one, other] = (
                    ngsolve.Integrate(ngsolve.InnerProduct(stress(total), means[m]), mesh) / volume
                )
    return C


def _check(crossing_deg, fill, names, slack):
    bead = Bead(0.45, 0.2)
    pitch = bead.width / fill
    judged = _judge(bead, pitch, crossing_deg)
    cell = find("alternating").cell(bead, pitch, angles_deg=(0.0, crossing_deg))
    solved = homogenise_layered(cell, isotropic(1.0, NU), 5e-3)
    compliance = np.linalg.inv(judged)
    for k, name in enumerate(("E1", "E2", "E3", "G23", "G13", "G12")):
        if name in names:
            ratio = 1 / compliance[k, k] / solved.engineering.as_dict()[name]
            assert 1 - 1e-3 < ratio < 1 + slack
    return judged, solved


@pytest.mark.slow
def test_right_angles_agree_with_another_library():
    judged, solved = _check(90.0, 0.5, {"E1", "E2", "E3", "G23", "G13", "G12"}, 0.012)
    assert judged == pytest.approx(solved.stiffness, rel=0.015, abs=2e-3)


@pytest.mark.slow
def test_oblique_crossings_agree_with_another_library():
    judged, solved = _check(60.0, 0.5, {"E1", "E2", "E3", "G23", "G13", "G12"}, 0.015)
    assert judged == pytest.approx(solved.stiffness, rel=0.015, abs=2e-3)
