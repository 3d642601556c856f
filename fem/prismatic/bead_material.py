"""Stiffness that follows the lines of a plan cell: axis 1 along the bead, the mean of theirs where beads meet."""

import numpy as np

from fem.material.stiffness import about_axis_3, rotate
from fem.prismatic.line_field import LineField
from patterns.cells.cell import PlanCell

_HARMONICS = 4  # a fourth-order tensor turned by an angle holds harmonics up to four of it


class BeadMaterial:
    """Stiffness as a function of place.

    Parameters
    ----------
    cell : PlanCell
        Its lines give the directions, as `fem.prismatic.line_field.LineField` says.
    stiffness : ndarray, shape (6, 6)
        MPa, axis 1 along the bead, axis 3 the build direction.

    Raises
    ------
    InputError
        If the cell has no lines.
    """

    def __init__(self, cell: PlanCell, stiffness: np.ndarray) -> None:
        self._lines = LineField(cell)
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
        near = self._lines.near(points)
        count = np.zeros(points.shape[:2])
        np.add.at(count, near.cluster, near.inside)
        waves = np.zeros((*points.shape[:2], 2 * _HARMONICS + 1))
        np.add.at(waves, near.cluster, np.where(near.inside[..., None], _harmonics(near.angle), 0))
        C = ((waves / count[..., None]) @ self._series).reshape(*points.shape[:2], 6, 6)
        jump = np.zeros(len(points), dtype=bool)
        jump[near.cluster[near.inside.any(axis=1) & ~near.inside.all(axis=1)]] = True
        return C, jump & (np.abs(C - C[:, :1]).max(axis=(1, 2, 3)) > 1e-12 * np.abs(C).max())


def _harmonics(angle: np.ndarray) -> np.ndarray:
    """1, cos and sin of 1 to 4 times an angle, (..., 9)."""
    k = np.arange(1, _HARMONICS + 1) * np.asarray(angle)[..., None]
    return np.concatenate([np.ones((*np.shape(angle), 1)), np.cos(k), np.sin(k)], axis=-1)
