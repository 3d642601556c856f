"""Plan cell of a net of beads: a ring of material in each face, joined along the centre-lines."""

from collections import defaultdict
from dataclasses import replace
from itertools import pairwise

import numpy as np

from patterns.bead import Bead
from patterns.cells.cell import Line, PlanCell
from patterns.cells.net import Corner, Net
from patterns.cells.planar import Curve, PeriodicPair, Planar, Region
from patterns.cells.strokes import Stroke, repeat
from patterns.cells.voids import Void, void_in

Key = tuple[int, int, int, int]


class _Edges:
    """Edges of the faces as curves: one per edge of the domain; moved copies of an edge share a key."""

    def __init__(self, net: Net, size: float) -> None:
        self._net, self._size = net, size
        self._number: dict[tuple[Key, int, int], int] = {}
        self.curves: list[Curve] = []

    def signed(self, start: Corner, end: Corner) -> int:
        """Return the signed curve number of an edge; equal edges and moved copies all run the same way."""
        step = (end[1] - start[1], end[2] - start[2])
        forward: Key = (start[0], end[0], *step)
        backward: Key = (end[0], start[0], -step[0], -step[1])
        key, ends, sign = (forward, (start, end), 1) if forward <= backward else (backward, (end, start), -1)
        place = (key, ends[0][1], ends[0][2])
        if place not in self._number:
            self.curves.append(Curve("line", self._net.place(ends), self._size))
            self._number[place] = len(self.curves)
        return sign * self._number[place]

    def pairs(self) -> tuple[PeriodicPair, ...]:
        """Return the edges on the domain's rim, each with its moved copy on the other side."""
        copies: dict[Key, list[tuple[int, np.ndarray]]] = defaultdict(list)
        for (key, i, j), number in self._number.items():
            copies[key].append((number, np.array([i, j])))
        found = []
        for first, *others in copies.values():
            for number, place in others:
                x, y = ((place - first[1]) @ self._net.lattice).tolist()
                found.append(PeriodicPair(number, first[0], (x, y)))
        return tuple(found)


def net_cell(
    pattern: str, net: Net, bead: Bead, pitch: float, corner_radius: float, angle_deg: float
) -> PlanCell:
    """Return the plan cell of a net given at pitch 1 and angle 0.

    Regions are tagged 1, 2, ... in the order of the net's faces.

    Raises
    ------
    InputError
        If the bead leaves no opening, or the corner radius does not fit.
    """
    net = net.turned(angle_deg, pitch)
    edges = _Edges(net, bead.width / 2)
    loops = [tuple(edges.signed(a, b) for a, b in pairwise((*face, face[0]))) for face in net.faces]
    curves, regions, void_area = edges.curves, [], 0.0
    pairs = edges.pairs()
    for tag, (face, loop) in enumerate(zip(net.faces, loops, strict=True), start=1):
        void = void_in(net.place(face), bead.width, corner_radius)
        void_area += void.area
        first = len(curves) + 1
        curves += _sized(void, bead.width, corner_radius)
        hole = tuple(range(first, len(curves) + 1))
        regions.append(Region(loop, (hole,) if hole else (), tag))
    return PlanCell(
        pattern=pattern,
        lattice=net.lattice,
        planar=Planar(tuple(curves), tuple(regions)),
        pairs=pairs,
        lines=straight_lines_near(curves, net.paths(), net.lattice, bead.width),
        bead_width=bead.width,
        corner_radius=corner_radius,
        pitch=pitch,
        set_fill=net.line_length * bead.width / net.area,
        geometric_fill=1 - void_area / net.area,
    )


def _sized(void: Void, width: float, radius: float) -> list[Curve]:
    """Curves of a void with edge lengths: two edges across a bead, four on a quarter turn of a fillet."""
    sizes = {"line": width / 2, "arc": min(width / 2, 0.4 * radius)}
    return [replace(curve, size=sizes[curve.kind]) for curve in void.curves]


def straight_lines_near(
    curves: list[Curve], strokes: list[Stroke], lattice: np.ndarray, width: float
) -> tuple[Line, ...]:
    """Return the straight pieces of all lines that come within a bead width of the curves' box."""
    points = np.concatenate([curve.points for curve in curves])
    box = (*(points.min(axis=0) - width), *(points.max(axis=0) + width))
    pieces = [
        np.array(piece)
        for line in repeat(strokes, lattice, box, pitch=1.0)
        for piece in pairwise(line.coords)
    ]
    return tuple(Line(piece, width) for piece in pieces)
