"""Periodic nets of straight centre-lines: nodes, faces and strokes of one period."""

from dataclasses import dataclass, replace

import numpy as np

from patterns.cells.strokes import Stroke, rotation

Corner = tuple[int, int, int]
"""Node number and the whole lattice steps (i, j) by which it is moved."""


@dataclass(frozen=True)
class Net:
    """One period of a net. Faces tile the plan; strokes are its lines, each once.

    Attributes
    ----------
    lattice : ndarray, shape (2, 2)
        Rows are the period vectors, anticlockwise.
    nodes : ndarray, shape (n, 2)
        Where lines meet.
    faces : tuple of tuple of Corner
        Corners of each opening on the centre-lines, anticlockwise, every node on the outline named. Together
        the faces are one period of the plan.
    strokes : tuple of tuple of Corner
        Lines; one that ends in a copy of its first node goes on for ever.
    """

    lattice: np.ndarray
    nodes: np.ndarray
    faces: tuple[tuple[Corner, ...], ...]
    strokes: tuple[tuple[Corner, ...], ...]

    @property
    def area(self) -> float:
        """Plan area of one period."""
        (ax, ay), (bx, by) = self.lattice
        return float(ax * by - ay * bx)

    @property
    def line_length(self) -> float:
        """Length of all lines in one period."""
        return float(sum(np.linalg.norm(np.diff(self.place(s), axis=0), axis=1).sum() for s in self.strokes))

    def place(self, corners: tuple[Corner, ...]) -> np.ndarray:
        """Return the positions (n, 2) of corners."""
        node, i, j = np.array(corners).T
        found: np.ndarray = self.nodes[node] + np.column_stack([i, j]) @ self.lattice
        return found

    def turned(self, angle_deg: float, scale: float = 1.0) -> "Net":
        """Return the net scaled and turned about the origin."""
        matrix = scale * rotation(angle_deg).T
        return replace(self, lattice=self.lattice @ matrix, nodes=self.nodes @ matrix)

    def paths(self) -> list[Stroke]:
        """Return the strokes by their points."""
        found = []
        for stroke in self.strokes:
            (first, *start), (last, *end) = stroke[0], stroke[-1]
            period = (end[0] - start[0], end[1] - start[1]) if first == last else None
            found.append(Stroke(self.place(stroke), period))
        return found
