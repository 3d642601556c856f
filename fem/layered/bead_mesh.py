"""Mapped meshes of a quarter bead section: a rectangle under the flat, then a fan out to the round side."""

from dataclasses import dataclass

import numpy as np

from fem.numerics.tensor_elements import grid_cells


@dataclass(frozen=True)
class SectionGrid:
    """A mapped mesh of quadrilaterals in the plane across the bead.

    Attributes
    ----------
    points : ndarray, shape (n, 2)
        (distance from the bead's middle, height above mid-height), mm.
    blocks : tuple of ndarray
        Node numbers of each mapped block: first index along the outline, second one from mid-height to the surface.
    order : int
        Polynomial order.
    """

    points: np.ndarray
    blocks: tuple[np.ndarray, ...]
    order: int

    @property
    def cells(self) -> np.ndarray:
        """Cells of all blocks."""
        return np.concatenate([grid_cells(block, self.order) for block in self.blocks])

    @property
    def flat(self) -> np.ndarray:
        """Nodes on the flat, from the middle outwards."""
        return self.blocks[0][:, -1]


def quarter_section(
    across: np.ndarray, levels: np.ndarray, half_height: float, outline: np.ndarray | None, order: int
) -> SectionGrid:
    """Return the mesh of a quarter section.

    Parameters
    ----------
    across : ndarray, shape (n_y,)
        Node coordinates under the flat, from 0 to its end, mm.
    levels : ndarray, shape (n_z,)
        Node levels from 0 (mid-height) to 1 (surface); along the fan's rays the same shares.
    half_height : float
        mm.
    outline : ndarray, shape (n_s, 2), or None
        Nodes on the side, from the end of the flat down to mid-height; None for a straight edge.
    order : int
        Polynomial order; all node rows hold a multiple of it, plus one.

    Notes
    -----
    The rays of the fan start at mid-height below the end of the flat; the cells there are collapsed. Geometry is
    interpolated like displacement, so that they still carry constant strain exactly.
    """
    n_y, n_z = len(across), len(levels)
    core = np.stack(np.meshgrid(across, half_height * levels, indexing="ij"), axis=-1).reshape(-1, 2)
    numbers = np.arange(n_y * n_z).reshape(n_y, n_z)
    if outline is None:
        return SectionGrid(core, (numbers,), order)
    hub = core[numbers[-1, 0]]
    rays = hub + levels[None, 1:, None] * (outline[1:, None, :] - hub)
    fan = np.empty((len(outline), n_z), dtype=int)
    fan[0], fan[:, 0] = numbers[-1], numbers[-1, 0]
    fan[1:, 1:] = n_y * n_z + np.arange(rays[..., 0].size).reshape(rays.shape[:2])
    return SectionGrid(np.concatenate([core, rays.reshape(-1, 2)]), (numbers, fan), order)
