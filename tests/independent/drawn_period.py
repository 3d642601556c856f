"""A piece of a printed beam between planes, meshed with prisms that hold its drawn lines exactly (netgen).

The plan of every layer is cut from one triangulation on which the outlines of all layers lie, so the prisms of all
layers fit on each other. Beads are square-edged and welded wherever they touch.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import netgen.geom2d as plane
import netgen.meshing as ng
import ngsolve
import numpy as np
import shapely

from patterns.outlines.layout import Layout
from patterns.paths.layer_paths import LayerPaths, layer_paths
from tests.independent.beam_judge import faces_at

_GRID = 1e-6  # mm; outlines that pass this near are one
_NEAR = 1e-4  # mm; faces this near a plane lie on it


@dataclass(frozen=True)
class Piece:
    """Prisms in print axes: points (n, 3) in mm, nodes (m, 6) of each, and the volume of what was drawn."""

    points: np.ndarray
    prisms: np.ndarray
    volume: float


@dataclass(frozen=True)
class Course:
    """Layers of one plan between two heights, cut into so many sheets of prisms."""

    plan: shapely.Geometry
    low: float
    high: float
    sheets: int


def courses(layout: Layout, low: np.ndarray, high: np.ndarray, sheet: float) -> list[Course]:
    """Return the body of a layout between two corners (3,) of a box in print axes; neighbours alike are one course.

    Heights count from the middle of the build; ``sheet`` is the largest thickness of prisms, mm.
    """
    bead = layout.printing.bead
    box = shapely.box(low[0], low[1], high[0], high[1])
    plans: dict[int, shapely.Geometry] = {}
    for paths, numbers in layer_paths(layout):
        plan = _plan(paths, bead.width).intersection(box)
        plans |= dict.fromkeys(numbers, plan)
    found: list[Course] = []
    for number in range(layout.layers):
        bottom = (number - layout.layers / 2) * bead.height
        start, stop = max(bottom, low[2]), min(bottom + bead.height, high[2])
        if stop - start < _GRID:
            continue
        if found and found[-1].plan is plans[number]:
            start = found.pop().low
        found.append(Course(plans[number], start, stop, int(np.ceil((stop - start) / sheet - _GRID))))
    return found


def _plan(paths: LayerPaths, width: float) -> shapely.Geometry:
    lines = [*paths.wall, *paths.face, *paths.core]
    strips = shapely.buffer(np.array(lines, dtype=object), width / 2, cap_style="flat", join_style="mitre")
    return shapely.set_precision(shapely.union_all(strips).buffer(_GRID, join_style="mitre"), 10 * _GRID)


def extruded(stack: Sequence[Course], size: float) -> Piece:
    """Return the prisms of courses on each other; ``size`` is the largest edge in the plan, mm."""
    corners, triangles = _triangles([course.plan for course in stack], size)
    middles = shapely.points(corners[triangles].mean(axis=1))
    heights, found, volume = [stack[0].low], [], 0.0
    for course in stack:
        inside = triangles[shapely.contains(course.plan, middles)]
        for top in np.linspace(course.low, course.high, course.sheets + 1)[1:]:
            level = (len(heights) - 1) * len(corners)
            found.append(np.hstack([inside + level, inside + level + len(corners)]))
            heights.append(float(top))
        volume += course.plan.area * (course.high - course.low)
    used, prisms = np.unique(np.concatenate(found), return_inverse=True)
    points = np.column_stack(
        [np.tile(corners, (len(heights), 1)), np.repeat(np.array(heights), len(corners))]
    )
    return Piece(points[used], prisms.reshape(-1, 6), volume)


def _triangles(plans: Sequence[shapely.Geometry], size: float) -> tuple[np.ndarray, np.ndarray]:
    """Return corners (n, 2) and triangles (m, 3), anticlockwise, of all that plans cover, their outlines as edges."""
    kinds = list({id(plan): plan for plan in plans}.values())
    lines = shapely.node(shapely.union_all([shapely.boundary(plan) for plan in kinds], grid_size=10 * _GRID))
    regions = [
        shapely.orient_polygons(region)
        for region in shapely.get_parts(shapely.polygonize(shapely.get_parts(lines)))
        if any(plan.contains(region.representative_point()) for plan in kinds)
    ]
    geometry, numbers = plane.SplineGeometry(), {}
    sides: dict[tuple[int, int], list[int]] = {}
    for domain, region in enumerate(regions, start=1):
        for ring in (region.exterior, *region.interiors):
            places = []
            for corner in np.round(shapely.get_coordinates(ring), 5).tolist():
                if tuple(corner) not in numbers:
                    numbers[tuple(corner)] = geometry.AppendPoint(*corner)
                places.append(numbers[tuple(corner)])
            for a, b in pairwise(places):  # a region lies to the left of its outline
                sides.setdefault((min(a, b), max(a, b)), [0, 0])[int(a > b)] = domain
    for (a, b), (left, right) in sides.items():
        geometry.Append(["line", a, b], leftdomain=left, rightdomain=right)
    mesh = geometry.GenerateMesh(maxh=size, grading=0.9)
    corners = np.array([point.p for point in mesh.Points()])[:, :2]
    triangles = np.array([[v.nr - 1 for v in element.vertices] for element in mesh.Elements2D()])
    a, b, c = (corners[triangles[:, k]] for k in range(3))
    turned = (b - a)[:, 0] * (c - a)[:, 1] < (b - a)[:, 1] * (c - a)[:, 0]
    triangles[turned] = triangles[turned][:, ::-1]
    return corners, triangles


def ngsolve_mesh(piece: Piece, planes: Mapping[str, tuple[int, float]]) -> ngsolve.Mesh:
    """Return the mesh with its faces on planes (axis and place, mm) as boundaries of these names."""
    mesh = ng.Mesh(dim=3)
    numbers = [mesh.Add(ng.MeshPoint(ng.Pnt(*point))) for point in piece.points.tolist()]
    for index, name in enumerate(planes):
        mesh.Add(ng.FaceDescriptor(surfnr=1, domin=1, domout=0, bc=index + 1))
        mesh.SetBCName(index, name)
    for prism in piece.prisms.tolist():
        mesh.Add(ng.Element3D(1, [numbers[node] for node in prism]))
    for index, (axis, place) in enumerate(planes.values(), start=1):
        for face in faces_at(piece.prisms, np.abs(piece.points[:, axis] - place) < _NEAR):
            mesh.Add(ng.Element2D(index, [numbers[node] for node in face]))
    return ngsolve.Mesh(mesh)
