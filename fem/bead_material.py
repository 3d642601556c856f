"""Stiffness that follows the lines of a plan cell: axis 1 along the bead, the mean of theirs where beads meet."""

from dataclasses import dataclass

import numpy as np
import shapely

from fem.material import about_axis_3, rotate
from patterns.cell import PlanCell
from patterns.errors import InputError

_HARMONICS = 4  # a fourth-order tensor turned by an angle holds harmonics up to four of it
_BEND = 0.2  # rad between pieces of a line: less is a curve, more is a corner


@dataclass(frozen=True)
class _Groups:
    """Lines near clusters of points: cluster (g,) of each, distances and line angles (g, q), who belongs (g, q)."""

    cluster: np.ndarray
    angle: np.ndarray
    inside: np.ndarray


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
        self._start = np.concatenate([line.points[:-1] for line in cell.lines])
        self._step = np.concatenate([np.diff(line.points, axis=0) for line in cell.lines])
        self._angles = np.concatenate([_end_angles(line.points) for line in cell.lines])
        self._line = np.repeat(np.arange(len(cell.lines)), [len(line.points) - 1 for line in cell.lines])
        self._reach = np.array([line.width / 2 for line in cell.lines]) * (1 + 1e-9)
        ends = np.stack([self._start, self._start + self._step], axis=1)
        self._tree = shapely.STRtree(np.asarray(shapely.linestrings(ends)))
        self._margin = self._reach.max() + cell.corner_radius
        turns = 2 * np.pi * np.arange(2 * _HARMONICS + 1) / (2 * _HARMONICS + 1)
        samples = rotate(stiffness, about_axis_3(turns)).reshape(-1, 36)
        self._series = np.linalg.solve(_harmonics(turns), samples)

    def sample(self, points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Return the stiffness at clusters of points, and which clusters lie astride the edge of a bead.

        Parameters
        ----------
        points : ndarray, shape (m, q, 2)
            Clusters (elements) of neighbouring points, mm.

        Returns
        -------
        C : ndarray, shape (m, q, 6, 6)
            MPa.
        jump : ndarray of bool, shape (m,)
            Whether the stiffness jumps inside the cluster.
        """
        groups = self._groups(points)
        count = np.zeros(points.shape[:2])
        np.add.at(count, groups.cluster, groups.inside)
        waves = np.zeros((*points.shape[:2], 2 * _HARMONICS + 1))
        np.add.at(waves, groups.cluster, np.where(groups.inside[..., None], _harmonics(groups.angle), 0))
        C = ((waves / count[..., None]) @ self._series).reshape(*points.shape[:2], 6, 6)
        jump = np.zeros(len(points), dtype=bool)
        jump[groups.cluster[groups.inside.any(axis=1) & ~groups.inside.all(axis=1)]] = True
        return C, jump & (np.abs(C - C[:, :1]).max(axis=(1, 2, 3)) > 1e-12 * np.abs(C).max())

    def _groups(self, points: np.ndarray) -> _Groups:
        """Gather the lines near each cluster; the nearest piece of a line speaks for it."""
        centre = points.mean(axis=1)
        radius = np.linalg.norm(points - centre[:, None], axis=2).max(axis=1)
        marks = np.asarray(shapely.points(centre))
        cluster, piece = self._tree.query(marks, predicate="dwithin", distance=radius + self._margin)
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
        return _Groups(cluster, chosen, inside)

    def directions(self, points: np.ndarray) -> np.ndarray:
        """Return the angle (n,) in rad, from axis 1, of the line that each of n points (n, 2) is nearest to."""
        groups = self._groups(points[:, None])
        found = np.empty(len(points))
        found[groups.cluster[groups.inside[:, 0]]] = groups.angle[groups.inside[:, 0], 0]
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


def _harmonics(angle: np.ndarray) -> np.ndarray:
    """1, cos and sin of 1 to 4 times an angle, (..., 9)."""
    k = np.arange(1, _HARMONICS + 1) * np.asarray(angle)[..., None]
    return np.concatenate([np.ones((*np.shape(angle), 1)), np.cos(k), np.sin(k)], axis=-1)
