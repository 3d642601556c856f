"""The same cell in ngsolve, for comparisons of time: its true outline as curves, periodic cuts, condensed interiors."""

import ngsolve as ng
import numpy as np
from netgen.geom2d import SplineGeometry

from patterns.cells.cell import PlanCell

_PLANE, _ANTIPLANE = (0, 1, 2, 5), (3, 4)


def geometry(cell: PlanCell) -> SplineGeometry:
    """Return the cell's lines and arcs with periodic copies tied."""
    outline, number = SplineGeometry(), {}

    def point(p: np.ndarray) -> int:
        key = (round(float(p[0]), 9), round(float(p[1]), 9))
        if key not in number:
            number[key] = outline.AppendPoint(*map(float, p))
        return number[key]

    sides = _sides(cell)
    master = {pair.curve: pair.partner for pair in cell.pairs}
    made: dict[int, int] = {}
    for k in sorted(range(1, len(cell.planar.curves) + 1), key=lambda k: k in master):
        curve = cell.planar.curves[k - 1]
        tied = {"copy": made[master[k]]} if k in master else {}
        start, end = curve.points[0], curve.points[-1]
        if curve.kind == "line":
            piece = ["line", point(start), point(end)]
        else:  # an arc, by the point where its end tangents meet
            centre = curve.points[1]
            half = (start + end) / 2 - centre
            tip = centre + half * ((start - centre) @ (start - centre)) / (half @ half)
            piece = ["spline3", point(start), point(tip), point(end)]
        left, right = sides[k - 1]
        made[k] = outline.Append(piece, leftdomain=int(left), rightdomain=int(right), bc=f"c{k}", **tied)
    return outline


def _sides(cell: PlanCell) -> np.ndarray:
    """Whether there is solid to the left and to the right of every curve, (n, 2)."""
    curves = cell.planar.curves
    sides = np.zeros((len(curves), 2), dtype=int)
    for region in cell.planar.regions:
        for number, loop in enumerate((region.outer, *region.holes)):
            x, y = np.array([curves[abs(k) - 1].points[0 if k > 0 else -1] for k in loop]).T
            turning_left = np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y) > 0
            for k in loop:
                sides[abs(k) - 1, int((k > 0) != (turning_left == (number == 0)))] = 1
    return sides


def stiffness(mesh: ng.Mesh, C: np.ndarray, order: int, area: float) -> np.ndarray:
    """Return the mean stiffness (6, 6): plane strain and antiplane apart, one factorisation each."""
    material = ng.CF(tuple(C.ravel()), dims=(6, 6))
    work = np.zeros((6, 6))
    for components, loads in ((2, _PLANE), (1, _ANTIPLANE)):
        space = ng.Periodic(ng.H1(mesh, order=order, dim=components))

        def strain(w, components: int = components):
            g = ng.Grad(w)
            plane = (
                (g[0, 0], g[1, 1], 0, 0, 0, g[0, 1] + g[1, 0])
                if components == 2
                else (0, 0, 0, g[1], g[0], 0)
            )
            return ng.CF(plane)

        u, v = space.TnT()
        form = ng.BilinearForm(space, symmetric=True, condense=order > 2)
        form += ng.InnerProduct(material * strain(u), strain(v)) * ng.dx
        form.Assemble()
        free = ng.BitArray(space.FreeDofs(order > 2))
        free[0] = False
        inverse = form.mat.Inverse(free, inverse="sparsecholesky")
        answers = []
        for load in loads:
            f = ng.LinearForm(space)
            f += -ng.InnerProduct(material * ng.CF(tuple(np.eye(6)[load])), strain(v)) * ng.dx
            f.Assemble()
            answer = ng.GridFunction(space)
            right = f.vec.CreateVector()
            right.data = f.vec
            if order > 2:
                right.data += form.harmonic_extension_trans * f.vec
            answer.vec.data = inverse * right
            if order > 2:
                answer.vec.data += form.harmonic_extension * answer.vec
                answer.vec.data += form.inner_solve * f.vec
            answers.append((f, answer))
        block = [[ng.InnerProduct(f.vec, answer.vec) for _, answer in answers] for f, _ in answers]
        work[np.ix_(loads, loads)] = block
    return (C * ng.Integrate(ng.CF(1.0), mesh) - work) / area
