"""Plan cells made by hand for tests: arrays of holes, strips, bends and layers, from outlines alone."""

import itertools

import numpy as np

from patterns.cells.cell import Line, PlanCell
from patterns.cells.planar import Curve, PeriodicPair, Planar, Region


class Places:
    """A material that is a function of place, given on meshes whose elements it does not cut."""

    def __init__(self, stiffness):
        self._stiffness = stiffness

    def sample(self, points):
        return self._stiffness(points), np.zeros(len(points), dtype=bool)


def parallelogram(lattice, outlines=(), width=0.5, lines=()):
    """Return a cell on a parallelogram about the origin with holes given as closed tuples of curves."""
    lattice = np.asarray(lattice, dtype=float)
    corner = np.array([[0, 0], [1, 0], [1, 1], [0, 1]]) @ lattice - lattice.sum(axis=0) / 2
    curves = [Curve("line", corner[[i, j]]) for i, j in ((0, 1), (1, 2), (3, 2), (0, 3))]
    holes, void = [], 0.0
    for outline in outlines:
        holes.append(tuple(range(len(curves) + 1, len(curves) + 1 + len(outline))))
        curves += outline
        void += enclosed(outline)
    area = float(np.linalg.det(lattice))
    fill = 1 - void / area
    pairs = (PeriodicPair(3, 1, tuple(lattice[1])), PeriodicPair(2, 4, tuple(lattice[0])))
    planar = Planar(tuple(curves), (Region((1, 2, -3, -4), tuple(holes)),))
    return PlanCell("hand-made", lattice, planar, pairs, tuple(lines), width, 0.0, 1.0, fill, fill)


def circle(radius, centre=(0.0, 0.0)):
    """Return four arcs."""
    return ellipse_arcs(radius, np.asarray(centre, dtype=float))


def ellipse_arcs(radius, centre):
    corner = centre + radius * np.array([[1, 0], [0, 1], [-1, 0], [0, -1], [1, 0]])
    return [Curve("arc", np.array([corner[k], centre, corner[k + 1]])) for k in range(4)]


def ellipse(a, b):
    """Return four splines through an ellipse of semi-axes a along 1 and b along 2."""
    found = []
    for k in range(4):
        t = np.linspace(k, k + 1, 65) * np.pi / 2
        found.append(Curve("spline", np.column_stack([a * np.cos(t), b * np.sin(t)])))
    return found


def rounded_square(half, radius):
    """Return the outline of a square with rounded corners: eight pieces, or four sides at radius 0."""
    turns = [np.array([[c, -s], [s, c]]) for c, s in ((1, 0), (0, 1), (-1, 0), (0, -1))]
    flat = half - radius
    sides = [turn @ np.array([[half, half], [-flat, flat]]) for turn in turns]
    found = []
    for k, side in enumerate(sides):
        found.append(Curve("line", side.T))
        if radius:
            centre = turns[k] @ np.array([flat, flat])
            found.append(Curve("arc", np.array([side[:, 1], centre, sides[(k + 1) % 4][:, 0]])))
    return found


def enclosed(outline):
    """Area inside a closed outline of lines, arcs and splines (as fine polygons with exact arcs)."""
    total = 0.0
    for curve in outline:
        points = np.asarray(curve.points, dtype=float)
        if curve.kind == "arc":
            start, centre, end = points
            first, last = start - centre, end - centre
            turn = np.arctan2(first[0] * last[1] - first[1] * last[0], first @ last)
            total += first @ first * (turn - np.sin(turn)) / 2
            points = points[[0, 2]]
        x, y = points.T
        total += np.sum(x[:-1] * y[1:] - x[1:] * y[:-1]) / 2
    return abs(float(total))


def square_array(radius, pitch=1.0):
    return parallelogram([[pitch, 0], [0, pitch]], [circle(radius)])


def hexagonal_array(radius, pitch=1.0):
    """Return a hexagon about one hole: the points nearer to it than to its neighbours."""
    lattice = pitch * np.array([[1, 0], [0.5, np.sqrt(3) / 2]])
    angle = np.radians(30 + 60 * np.arange(6))
    corner = pitch / np.sqrt(3) * np.column_stack([np.cos(angle), np.sin(angle)])
    sides = [Curve("line", corner[[k, k + 1]]) for k in range(3)]
    shifts = -np.array([lattice[1], lattice[1] - lattice[0], -lattice[0]])
    sides += [Curve("line", sides[k].points + shifts[k]) for k in range(3)]  # copies across, run the same way
    fill = 1 - np.pi * radius**2 / (pitch**2 * np.sqrt(3) / 2)
    pairs = tuple(PeriodicPair(k + 4, k + 1, tuple(shifts[k])) for k in range(3))
    planar = Planar(tuple(sides + circle(radius)), (Region((1, 2, 3, -4, -5, -6), ((7, 8, 9, 10),)),))
    return PlanCell("hand-made", lattice, planar, pairs, (), 0.5 * pitch, 0.0, pitch, fill, fill)


def square_lattice(wall, radius=0.0, pitch=1.0):
    """Return the square lattice as one face: a ring of half walls around a void."""
    lines = [
        Line(np.array(ends) * pitch, wall)
        for at in (-0.5, 0.5)
        for ends in ([[-1.5, at], [1.5, at]], [[at, -1.5], [at, 1.5]])
    ]
    outline = rounded_square((pitch - wall) / 2, radius)
    return parallelogram([[pitch, 0], [0, pitch]], [outline], wall, lines)


def strip(width, length, radius):
    """Return strips along axis 1 with gaps as wide as they are, each with a row of round holes."""
    x, y = length / 2, width / 2
    corner = np.array([[-x, -y], [x, -y], [x, y], [-x, y]])
    curves = [Curve("line", corner[[i, j]]) for i, j in ((0, 1), (1, 2), (3, 2), (0, 3))] + circle(radius)
    planar = Planar(tuple(curves), (Region((1, 2, -3, -4), ((5, 6, 7, 8),)),))
    pairs = (PeriodicPair(2, 4, (length, 0.0)),)
    lattice = np.array([[length, 0.0], [0.0, 2 * width]])
    fill = (width * length - np.pi * radius**2) / (2 * width * length)
    return PlanCell("hand-made", lattice, planar, pairs, (), width / 2, radius, 2 * width, fill, fill)


def serpentine(inner, outer, leg):
    """Return a bar that runs up and down between half-circle bends, legs along axis 2, gaps above and below it.

    One period: a leg up, a bend at the top, a leg down, half bends at the bottom left and right.
    """
    mid = (inner + outer) / 2
    half = leg / 2
    top, left, right = np.array([0, half]), np.array([-2 * mid, -half]), np.array([2 * mid, -half])

    def arc(centre, radius, start, end):
        way = {"E": (1, 0), "N": (0, 1), "W": (-1, 0), "S": (0, -1)}
        return Curve(
            "arc",
            np.array([centre + radius * np.array(way[start]), centre, centre + radius * np.array(way[end])]),
        )

    def line(a, b):
        return Curve("line", np.array([a, b]))

    # anticlockwise around the solid: lower bend of the left leg, up inside..., starting at the left cut
    pieces = [
        line(left + [0, -inner], left + [0, -outer]),  # cut at the left, downwards
        arc(left, outer, "S", "E"),
        line(left + [outer, 0], top + [-inner, 0]),
        arc(top, inner, "W", "N"),
        arc(top, inner, "N", "E"),
        line(top + [inner, 0], right + [-outer, 0]),
        arc(right, outer, "W", "S"),
        line(right + [0, -inner], right + [0, -outer]),  # cut at the right, downwards too
        arc(right, inner, "S", "W"),
        line(right + [-inner, 0], top + [outer, 0]),
        arc(top, outer, "E", "N"),
        arc(top, outer, "N", "W"),
        line(top + [-outer, 0], left + [inner, 0]),
        arc(left, inner, "E", "S"),
    ]
    planar = Planar(tuple(pieces), (Region((1, 2, 3, 4, 5, 6, 7, -8, 9, 10, 11, 12, 13, 14)),))
    period = 4 * mid
    height = leg + 4 * outer
    lattice = np.array([[period, 0.0], [0.0, height]])
    fill = (2 * leg + 2 * np.pi * mid) * (outer - inner) / (period * height)
    return PlanCell(
        "hand-made",
        lattice,
        planar,
        (PeriodicPair(8, 1, (period, 0.0)),),
        (),
        outer - inner,
        inner,
        height,
        fill,
        fill,
    )


def layers(heights, length=1.0):
    """Return solid layers normal to axis 2, tagged 0, 1, ... from below, one region each."""
    y = np.concatenate([[0], np.cumsum(heights)])
    curves = [Curve("line", np.array([[0, h], [length, h]])) for h in y]
    n = len(y)
    for low, high in itertools.pairwise(y):
        curves += [Curve("line", np.array([[x, low], [x, high]])) for x in (0.0, length)]
    regions, pairs = [], [PeriodicPair(n, 1, (0.0, float(y[-1])))]
    for k in range(n - 1):
        left, right = n + 1 + 2 * k, n + 2 + 2 * k
        regions.append(Region((k + 1, right, -(k + 2), -left), tag=k))
        pairs.append(PeriodicPair(right, left, (length, 0.0)))
    lattice = np.array([[length, 0.0], [0.0, float(y[-1])]])
    return PlanCell(
        "hand-made", lattice, Planar(tuple(curves), tuple(regions)), tuple(pairs), (), 0.3, 0, 1, 1, 1
    )
