"""Another library's answer for prismatic cells: ngsolve, on a mesh of its own of an outline of its own.

The solid is not taken from the plan cell's curves: the faces between its centre-lines are shrunk by half a width and
rounded by shrinking and growing, and a rectangular period is cut out at an odd place. Netgen meshes the polygons.
"""

import itertools

import ngsolve as ng
import numpy as np
import shapely
from netgen.geom2d import SplineGeometry

from patterns.cells.cell import PlanCell

_ARC = 48  # segments on a quarter turn
_GRID = 1e-6  # mm; places are rounded to it so that lines meet


def rectangular_period(lattice: np.ndarray) -> np.ndarray:
    """Return the sides (2,) of the smallest axis-parallel rectangle that whole lattice steps span."""
    steps = np.array(list(itertools.product(range(-6, 7), repeat=2))) @ lattice
    sides = []
    for axis in (0, 1):
        on_axis = steps[np.abs(steps[:, 1 - axis]) < 1e-9, axis]
        sides.append(on_axis[on_axis > 1e-9].min())
    return np.array(sides)


def solid(cell: PlanCell) -> tuple[list[shapely.Polygon], np.ndarray, np.ndarray]:
    """Return the solid in a rectangular period, the period's low corner and its sides."""
    sides = rectangular_period(cell.lattice)
    corner = np.array([0.2137, 0.1171]) * sides  # cuts no line along its length
    margin = 3 * cell.bead_width
    frame = shapely.box(*(corner - margin), *(corner + sides + margin))
    steps = np.array(list(itertools.product(range(-6, 7), repeat=2))) @ cell.lattice
    lines = [shapely.LineString(line.points + step) for line in cell.lines for step in steps]
    net = shapely.union_all(lines, grid_size=_GRID)
    faces = [face for face in shapely.polygonize(net.geoms).geoms if face.intersects(frame)]
    straight = {"join_style": "mitre", "mitre_limit": 100.0}
    voids = [face.buffer(-cell.bead_width / 2, **straight) for face in faces]
    if radius := cell.corner_radius:
        voids = [void.buffer(-radius, **straight).buffer(radius, quad_segs=_ARC) for void in voids]
    cut = shapely.box(*corner, *(corner + sides)).difference(shapely.union_all(voids))
    parts = [cut] if cut.geom_type == "Polygon" else list(cut.geoms)
    return [shapely.geometry.polygon.orient(part) for part in parts], corner, sides


def periodic_mesh(cell: PlanCell, size: float) -> tuple[ng.Mesh, float]:
    """Return a mesh with opposite cuts tied, and the area of the rectangle."""
    parts, low, sides = solid(cell)
    geometry = SplineGeometry()
    number: dict[tuple[float, float], int] = {}

    def point(x: float, y: float) -> int:
        key = (round(x, 8), round(y, 8))
        if key not in number:
            number[key] = geometry.AppendPoint(x, y)
        return number[key]

    cuts: dict[tuple[int, bool, float, float], tuple[int, int]] = {}
    for ring in itertools.chain.from_iterable((part.exterior, *part.interiors) for part in parts):
        for a, b in itertools.pairwise(np.array(ring.coords)):
            ends = [point(*a), point(*b)]
            for axis, high in itertools.product((0, 1), (False, True)):
                at = low[axis] + high * sides[axis]
                if abs(a[axis] - at) < 1e-9 and abs(b[axis] - at) < 1e-9:
                    first, last = sorted(((a[1 - axis], ends[0]), (b[1 - axis], ends[1])))
                    cuts[axis, high, float(first[0]), float(last[0])] = (first[1], last[1])
                    break
            else:
                geometry.Append(["line", *ends], leftdomain=1, rightdomain=0)
    numbers: dict[tuple, int] = {}
    for (axis, high, *place), ends in sorted(cuts.items()):  # low sides come first
        # run towards growing coordinates, with the solid to the left or to the right
        left = int(high == (axis == 0))
        lows = [key for key in numbers if key[:2] == (axis, False)]
        across = [key for key in lows if np.abs(np.subtract(key[2:], place)).max() < 10 * _GRID]
        assert len(across) == high, "the cuts do not match"
        master = {"copy": numbers[across[0]]} if high else {}
        numbers[axis, high, *place] = geometry.Append(
            ["line", *ends], leftdomain=left, rightdomain=1 - left, bc=f"cut{axis}{high}", **master
        )
    return ng.Mesh(geometry.GenerateMesh(maxh=size)), float(np.prod(sides))


def judge(cell: PlanCell, C: np.ndarray, size: float, order: int = 4) -> np.ndarray:
    """Return the mean stiffness (6, 6) of a cell of one material."""
    mesh, area = periodic_mesh(cell, size)
    space = ng.Periodic(ng.H1(mesh, order=order, dim=3))
    u, v = space.TnT()
    stiffness = ng.CF(tuple(C.ravel()), dims=(6, 6))

    def strain(w):
        g = ng.Grad(w)
        return ng.CF((g[0, 0], g[1, 1], 0, g[2, 1], g[2, 0], g[0, 1] + g[1, 0]))

    form = ng.BilinearForm(space, symmetric=True)
    form += ng.InnerProduct(stiffness * strain(u), strain(v)) * ng.dx
    free = ng.BitArray(space.FreeDofs())
    free[0] = False
    loads = []
    with ng.TaskManager():
        form.Assemble()
        inverse = form.mat.Inverse(free, inverse="sparsecholesky")
        for unit in np.eye(6):
            load = ng.LinearForm(space)
            load += -ng.InnerProduct(stiffness * ng.CF(tuple(unit)), strain(v)) * ng.dx
            load.Assemble()
            answer = ng.GridFunction(space)
            answer.vec.data = inverse * load.vec
            loads.append((load, answer))
    solid_area = ng.Integrate(ng.CF(1.0), mesh)
    work = np.array([[ng.InnerProduct(load.vec, answer.vec) for _, answer in loads] for load, _ in loads])
    return (C * solid_area - work) / area
