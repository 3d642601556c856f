"""A short printed beam as a solid: the layers' own lines, meshed with prisms and solved by NGSolve.

Every layer's plan is cut from one grid of triangles on which all outlines lie, so the prisms of all layers fit on
each other and the mesh holds the printed body exactly: square-edged beads, welded wherever they touch.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import netgen.meshing as ng
import ngsolve
import numpy as np
import shapely
from ngsolve import (
    BilinearForm,
    GridFunction,
    Id,
    InnerProduct,
    LinearForm,
    Sym,
    Trace,
    VectorH1,
    ds,
    dx,
    grad,
)

from patterns.outlines.layout import Layout
from patterns.paths.layer_paths import LayerPaths, layer_paths


@dataclass(frozen=True)
class Solid:
    """Prisms of a printed body in print axes: points (n, 3) in mm, nodes (m, 6) of each, and the body's volume."""

    points: np.ndarray
    prisms: np.ndarray
    volume: float


def printed_solid(layout: Layout, breaks: tuple[np.ndarray, np.ndarray], layers: Sequence[int]) -> Solid:
    """Return the body of some consecutive layers inside a grid of squares, each cut by both diagonals.

    Parameters
    ----------
    layout : Layout
        With square-edged beads.
    breaks : (ndarray, ndarray)
        Grid lines along axes 1 and 2, mm.
    layers : sequence of int
        From the lowest; the plate's side of the first lies at height 0.
    """
    corners, triangles = _crossed(*breaks)
    middles = shapely.points(corners[triangles].mean(axis=1))
    frame = shapely.box(breaks[0][0], breaks[1][0], breaks[0][-1], breaks[1][-1])
    bead = layout.printing.bead
    plans = {number: _plan(paths, bead.width) for paths, numbers in layer_paths(layout) for number in numbers}
    found, volume = [], 0.0
    for level, number in enumerate(layers):
        inside = triangles[shapely.contains(plans[number], middles)]
        found.append(np.hstack([inside + level * len(corners), inside + (level + 1) * len(corners)]))
        volume += plans[number].intersection(frame).area * bead.height
    heights = np.repeat(np.arange(len(layers) + 1) * bead.height, len(corners))
    used, prisms = np.unique(np.concatenate(found), return_inverse=True)
    points = np.column_stack([np.tile(corners, (len(layers) + 1, 1)), heights])[used]
    return Solid(points, prisms.reshape(-1, 6), volume)


def _crossed(x: np.ndarray, y: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return corners (n, 2) and triangles (m, 3), anticlockwise, of boxes with both diagonals."""
    nodes = np.arange(len(x) * len(y)).reshape(len(x), len(y))
    ring = [nodes[:-1, :-1], nodes[1:, :-1], nodes[1:, 1:], nodes[:-1, 1:]]
    centre = nodes.size + np.arange((len(x) - 1) * (len(y) - 1))
    triangles = [np.column_stack([ring[k].ravel(), ring[(k + 1) % 4].ravel(), centre]) for k in range(4)]
    halves = ((x[1:] + x[:-1]) / 2, (y[1:] + y[:-1]) / 2)
    corners = [
        np.stack(np.meshgrid(*pair, indexing="ij"), axis=-1).reshape(-1, 2) for pair in ((x, y), halves)
    ]
    return np.concatenate(corners), np.concatenate(triangles)


def _plan(paths: LayerPaths, width: float) -> shapely.Geometry:
    lines = [*paths.wall, *paths.face, *paths.core]
    strips = shapely.buffer(np.array(lines, dtype=object), width / 2, cap_style="square", join_style="mitre")
    return shapely.union_all(strips).buffer(1e-7)


def ngsolve_mesh(solid: Solid, axis: int) -> ngsolve.Mesh:
    """Return the mesh with its lower and upper end along an axis as boundaries "root" and "tip"."""
    mesh = ng.Mesh(dim=3)
    numbers = [mesh.Add(ng.MeshPoint(ng.Pnt(*point))) for point in solid.points]
    for name in ("root", "tip"):
        mesh.Add(ng.FaceDescriptor(surfnr=1, domin=1, domout=0, bc=1 + (name == "tip")))
        mesh.SetBCName(int(name == "tip"), name)
    for prism in solid.prisms.tolist():
        mesh.Add(ng.Element3D(1, [numbers[node] for node in prism]))
    place = solid.points[:, axis]
    for index, end in enumerate((place.min(), place.max()), start=1):
        for face in faces_at(solid.prisms, np.abs(place - end) < 1e-9):
            mesh.Add(ng.Element2D(index, [numbers[node] for node in face]))
    return ngsolve.Mesh(mesh)


def faces_at(prisms: np.ndarray, on: np.ndarray) -> list[list[int]]:
    """Return the faces all of whose nodes are ``on``."""
    sides = [[0, 2, 1], [3, 4, 5], [0, 1, 4, 3], [1, 2, 5, 4], [2, 0, 3, 5]]
    return [face for side in sides for face in prisms[:, side][on[prisms[:, side]].all(axis=1)].tolist()]


@dataclass(frozen=True)
class Judged:
    """Bending and shear stiffness (N mm2, N) of a solid beam, and the tip's force over deflection (N/mm)."""

    EI: float
    GA: float
    tip: float
    unknowns: int


def judge(
    solid: Solid, axis: int, depth_axis: int, window: tuple[float, float], young: float, nu: float, order: int
) -> Judged:
    """Return the stiffness of a solid cantilever from the strain energy between two sections, far from both ends.

    A moment M at the tip stores M^2 l/(2 EI) over the length l of the window; a force with a moment that makes the
    bending moment vanish in the window's middle stores F^2/2 (l^3/(12 EI) + l/GA). How the root is held and how the
    load enters does not matter there (Saint-Venant).

    Parameters
    ----------
    solid : Solid
        Held at its lower end along ``axis``, loaded at the upper.
    axis, depth_axis : int
        Print axis, from 0, along the beam and along the force.
    window : (float, float)
        Along ``axis``, mm; whole periods between faces of prisms.
    young, nu : float
        MPa and Poisson's ratio of the beads.
    order : int
        Polynomial order of the displacements.
    """
    mesh = ngsolve_mesh(solid, axis)
    along, depth = (ngsolve.CF((ngsolve.x, ngsolve.y, ngsolve.z))[k] for k in (axis, depth_axis))
    V = VectorH1(mesh, order=order, dirichlet="root")
    u, v = V.TnT()
    lame, shear = young * nu / ((1 + nu) * (1 - 2 * nu)), young / (2 * (1 + nu))

    def stress(w: ngsolve.CF) -> ngsolve.CF:
        return 2 * shear * Sym(grad(w)) + lame * Trace(Sym(grad(w))) * Id(3)

    K = BilinearForm(InnerProduct(stress(u), grad(v)) * dx, symmetric=True, condense=True)
    smoother = ngsolve.Preconditioner(K, "bddc")
    K.Assemble()
    inverse = ngsolve.krylovspace.CGSolver(K.mat, smoother.mat, tol=1e-7, maxiter=1000)

    def deform(load: LinearForm) -> GridFunction:
        load.Assemble()
        field, right = GridFunction(V), load.vec.CreateVector()
        right.data = load.vec + K.harmonic_extension_trans * load.vec
        field.vec.data = inverse * right
        field.vec.data += K.harmonic_extension * field.vec
        field.vec.data += K.inner_solve * load.vec
        return field

    def over_tip(integrand: ngsolve.CF) -> float:
        return ngsolve.Integrate(integrand * ds("tip"), mesh)

    middle = over_tip(depth) / over_tip(ngsolve.CF(1.0))
    push = LinearForm(v[depth_axis] / over_tip(ngsolve.CF(1.0)) * ds("tip"))
    turn = LinearForm((depth - middle) * v[axis] / over_tip((depth - middle) ** 2) * ds("tip"))
    pushed, turned = deform(push), deform(turn)
    tip = solid.points[:, axis].max()
    low, high = window
    # A push along the depth bends like the moment lever x push, of the other sign than the turn.
    lever, length = tip - (low + high) / 2, high - low
    straight = GridFunction(V)
    straight.vec.data = pushed.vec + lever * turned.vec
    inside = ngsolve.IfPos(along - low, 1.0, 0.0) * ngsolve.IfPos(high - along, 1.0, 0.0)

    def compliance(field: GridFunction) -> float:
        return (
            ngsolve.Integrate(inside * InnerProduct(stress(field), grad(field)), mesh, order=2 * order)
            / length
        )

    EI = 1 / compliance(turned)
    return Judged(
        EI=EI,
        GA=1 / (compliance(straight) - length**2 / (12 * EI)),
        tip=1 / InnerProduct(push.vec, pushed.vec),
        unknowns=V.ndof,
    )
