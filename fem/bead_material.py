"""Stiffness that follows the lines of a plan cell: axis 1 along the bead, the mean of theirs where beads meet."""

import numpy as np
import scipy.sparse as sp
import shapely

from fem.material import about_axis_3, rotate
from patterns.cell import PlanCell
from patterns.errors import InputError


class BeadMaterial:
    """Stiffness as a function of place.

    Parameters
    ----------
    cell : PlanCell
        Its lines give the directions. A point belongs to every line within half a width; a point in a fillet, beyond
        all of them, to the nearest.
    stiffness : ndarray, shape (6, 6)
        MPa, axis 1 along the bead, axis 3 the build direction.

    Raises
    ------
    InputError
        If the cell has no lines.
    """

    def __init__(self, cell: PlanCell, stiffness: np.ndarray) -> None:
        if not cell.lines:
            raise InputError(f"{cell.pattern}: the cell has no lines to give a direction to its material")
        steps = [np.diff(line.points, axis=0) for line in cell.lines]
        starts = np.concatenate([line.points[:-1] for line in cell.lines])
        along = np.concatenate(steps)
        self._line = np.repeat(np.arange(len(steps)), [len(step) for step in steps])
        self._reach = np.array([line.width / 2 for line in cell.lines])
        self._segments = np.asarray(shapely.linestrings(np.stack([starts, starts + along], axis=1)))
        self._tree = shapely.STRtree(self._segments)
        # a direction and its opposite are one; equal directions must give bitwise equal stiffness
        angle = np.round(np.mod(np.arctan2(along[:, 1], along[:, 0]), np.pi), 12)
        self._angles, self._direction = np.unique(np.where(angle >= np.pi, 0.0, angle), return_inverse=True)
        self._turned = rotate(stiffness, about_axis_3(self._angles))

    def __call__(self, points: np.ndarray) -> np.ndarray:
        """Return the stiffness (..., 6, 6) in MPa at points (..., 2) in mm."""
        counts = self._counts(np.asarray(points, dtype=float).reshape(-1, 2))
        total = counts @ self._turned.reshape(-1, 36) / counts.sum(axis=1)
        return np.asarray(total).reshape(*np.shape(points)[:-1], 6, 6)

    def directions(self, points: np.ndarray) -> np.ndarray:
        """Return the angle (n,) in rad of the nearest line at points (n, 2)."""
        at, segment = self._tree.query_nearest(shapely.points(points), all_matches=False)
        found = np.empty(len(points))
        found[at] = self._angles[self._direction[segment]]
        return found

    def _counts(self, points: np.ndarray) -> sp.csr_matrix:
        """How many lines of each direction a point belongs to, (n, directions)."""
        marks = np.asarray(shapely.points(points))
        at, segment = self._tree.query(marks, predicate="dwithin", distance=self._reach.max())
        distance = np.asarray(shapely.distance(marks[at], self._segments[segment]))
        line = self._line[segment]
        near = distance <= self._reach[line] * (1 + 1e-9)
        at, segment, line, distance = at[near], segment[near], line[near], distance[near]
        order = np.lexsort((distance, line, at))  # the nearest segment speaks for its line
        at, segment, line = at[order], segment[order], line[order]
        first = np.ones(len(at), dtype=bool)
        first[1:] = (at[1:] != at[:-1]) | (line[1:] != line[:-1])
        alone = np.setdiff1d(np.arange(len(points)), at)
        far, nearest = self._tree.query_nearest(marks[alone], all_matches=False)
        rows = np.concatenate([at[first], alone[far]])
        columns = self._direction[np.concatenate([segment[first], nearest])]
        return sp.coo_matrix((np.ones(len(rows)), (rows, columns)), (len(points), len(self._angles))).tocsr()
