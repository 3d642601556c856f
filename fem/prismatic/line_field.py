"""Which lines of a plan cell a point belongs to, and which way they run there."""

from dataclasses import dataclass

import numpy as np
import shapely

from patterns.cells.cell import PlanCell
from patterns.errors import InputError

_BEND = 0.2  # rad between pieces of a line: less is a curve, more is a corner


@dataclass(frozen=True)
class NearLines:
    """Lines near clusters of points, one row per cluster and line.

    Attributes
    ----------
    cluster : ndarray of int, shape (g,)
        The cluster.
    angle : ndarray, shape (g, q)
        Direction of the line at each of its points, rad from axis 1.
    distance : ndarray, shape (g, q)
        Of each point from the line, mm.
    inside : ndarray of bool, shape (g, q)
        Whether the point belongs to the line.
    """

    cluster: np.ndarray
    angle: np.ndarray
    distance: np.ndarray
    inside: np.ndarray


class LineField:
    """The lines of a cell, ready for questions about places.

    Parameters
    ----------
    cell : PlanCell
        A point belongs to every line within half a width; a point in a fillet, beyond all of them, to the nearest.

    Raises
    ------
    InputError
        If the cell has no lines.
    """

    def __init__(self, cell: PlanCell) -> None:
        if not cell.lines:
            raise InputError(f"{cell.pattern}: the cell has no lines to give a direction to its material")
        self._start = np.concatenate([line.points[:-1] for line in cell.lines])
        self._step = np.concatenate([np.diff(line.points, axis=0) for line in cell.lines])
        self._angles = np.concatenate([_end_angles(line.points) for line in cell.lines])
        self._line = np.repeat(np.arange(len(cell.lines)), [len(line.points) - 1 for line in cell.lines])
        self._reach = np.array([line.width / 2 for line in cell.lines]) * (1 + 1e-9)
        ends = np.stack([self._start, self._start + self._step], axis=1)
        self._tree = shapely.STRtree(np.asarray(shapely.linestrings(ends)))
        self._margin = self._reach.max() + cell.corner_radius

    def near(self, points: np.ndarray) -> NearLines:
        """Return the lines near clusters (m, q, 2) of points; the nearest piece of a line speaks for it."""
        centre = points.mean(axis=1)
        radius = np.linalg.norm(points - centre[:, None], axis=2).max(axis=1)
        marks = np.asarray(shapely.points(centre))
        cluster, piece = self._tree.query(marks, predicate="dwithin", distance=radius + self._margin)
        if len(lonely := np.setdiff1d(np.arange(len(points)), cluster)):
            at, nearest_piece = self._tree.query_nearest(marks[lonely], all_matches=False)
            cluster, piece = np.append(cluster, lonely[at]), np.append(piece, nearest_piece)
        order = np.lexsort((piece, self._line[piece], cluster))
        cluster, piece = cluster[order], piece[order]
        away = points[cluster] - self._start[piece][:, None]
        step = self._step[piece][:, None]
        share = np.clip((away * step).sum(axis=2) / (step**2).sum(axis=2), 0, 1)
        distance = np.linalg.norm(away - share[..., None] * step, axis=2)
        first, last = self._angles[piece].T[..., None]
        angle = first + share * (last - first)

        line = self._line[piece]
        starts = np.flatnonzero(np.r_[True, (cluster[1:] != cluster[:-1]) | (line[1:] != line[:-1])])
        group = np.repeat(np.arange(len(starts)), np.diff(np.r_[starts, len(piece)]))
        nearest = np.minimum.reduceat(distance, starts, axis=0)
        pieces, places = np.nonzero(distance == nearest[group])
        chosen = np.empty_like(nearest)
        chosen[group[pieces], places] = angle[pieces, places]
        inside = nearest <= self._reach[line[starts]][:, None]

        cluster = cluster[starts]
        closest = np.full(points.shape[:2], np.inf)
        np.minimum.at(closest, cluster, nearest)
        covered = np.zeros(points.shape[:2], dtype=bool)
        np.logical_or.at(covered, cluster, inside)
        inside |= ~covered[cluster] & (nearest == closest[cluster])
        return NearLines(cluster, chosen, nearest, inside)

    def directions(self, points: np.ndarray) -> np.ndarray:
        """Return the direction (n,) of the nearest line at points (n, 2), rad from axis 1."""
        near = self.near(points[:, None])
        order = np.lexsort((near.distance[:, 0], near.cluster))
        cluster, first = np.unique(near.cluster[order], return_index=True)
        found = np.empty(len(points))
        found[cluster] = near.angle[order[first], 0]
        return found


def _end_angles(points: np.ndarray) -> np.ndarray:
    """Angles (n - 1, 2) of a polyline at the ends of its pieces: shared where it bends gently, as a curve does."""
    step = np.diff(points, axis=0)
    angle = np.unwrap(np.arctan2(step[:, 1], step[:, 0]))
    # a direction and its opposite are one, and equal directions must give bitwise equal stiffness
    angle = np.round(angle - np.pi * np.floor(angle[0] / np.pi + 1e-9), 12)
    length = np.linalg.norm(step, axis=1)
    ends = np.column_stack([angle, angle])
    turn = np.diff(angle)
    gentle = np.flatnonzero((turn != 0) & (np.abs(turn) < _BEND))
    middle = angle[gentle] + turn[gentle] * length[gentle] / (length[gentle] + length[gentle + 1])
    ends[gentle, 1], ends[gentle + 1, 0] = middle, middle
    return ends
