"""The homogenised core of a printed beam: one cell per pattern, solved once for a unit modulus."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from fem.material import isotropic
from patterns.bead import Bead
from patterns.catalogue import find
from patterns.errors import InputError
from patterns.fill import default_corner_radius, fill_for
from patterns.setting import Core

# Share of the bead's Young's modulus below which a core direction counts as having no stiffness of its own.
_NEGLIGIBLE = 1e-9


@dataclass(frozen=True)
class CoreCell:
    """Stiffness and stress factors of a core for beads of Young's modulus 1 MPa, print axes.

    Attributes
    ----------
    kind : str
        "prismatic", "alternating" or "varying".
    stiffness : ndarray, shape (6, 6)
        Per MPa of bead modulus.
    relative_error : float
        Discretisation error of the worst engineering constant.
    geometric_fill : float
        Volume share of beads.
    pitch : float
        mm, as the pattern defines it.
    directions : ndarray, shape (n, 2)
        Unit vectors of the line families in the layer; empty where they have no few directions.
    concentration : ndarray, shape (6,) or None
        Largest principal over mean stress for each unit mean stress, Voigt order; 0 where there is no load path.
    """

    kind: str
    stiffness: np.ndarray
    relative_error: float
    geometric_fill: float
    pitch: float
    directions: np.ndarray
    concentration: np.ndarray | None

    def modulus(self, axis: int) -> float:
        """Young's modulus along print axis 0, 1 or 2 per MPa of bead modulus; 0 without a load path."""
        block = self.stiffness[:3, :3]
        if block[axis, axis] < _NEGLIGIBLE:
            return 0.0
        return float(1 / np.linalg.pinv(block, rcond=_NEGLIGIBLE)[axis, axis])


def core_cell(core: Core, bead: Bead, nu: float) -> CoreCell | None:
    """Return the core's cell, None for an empty core (set fill 0).

    Raises
    ------
    InputError
        If the fill is out of the pattern's reach, or the pattern has no cell.
    """
    if core.set_fill == 0:
        return None
    radius = default_corner_radius(bead.width) if core.corner_radius is None else core.corner_radius
    return _solved(
        core.pattern, core.set_fill, radius, core.angle_deg, core.angles_deg, core.options, bead, nu
    )


@lru_cache(maxsize=512)
def _solved(
    slug: str,
    set_fill: float,
    radius: float,
    angle_deg: float,
    angles_deg: tuple[float, ...],
    options: tuple[tuple[str, float], ...],
    bead: Bead,
    nu: float,
) -> CoreCell:
    pattern = find(slug)
    own = dict(options)
    if pattern.kind == "section only":
        raise InputError(
            f"core.pattern: '{slug}' follows the outline and has no cell; only a resolved section can hold it"
        )
    if pattern.kind != "prismatic":
        return _layered(slug, set_fill, angles_deg, own, bead, nu)
    from fem.concentration import concentration
    from fem.homogenise import homogenise

    pitch = fill_for(pattern, bead.width, radius, set_fill=set_fill, **own).pitch
    cell = pattern.cell(bead, pitch, radius, angle_deg, **own)  # type: ignore[misc]
    solved = homogenise(cell, isotropic(1.0, nu))
    factors = concentration(cell, isotropic(1.0, nu)) if radius > 0 else None
    return CoreCell(
        kind=pattern.kind,
        stiffness=solved.stiffness,
        relative_error=solved.relative_error,
        geometric_fill=cell.geometric_fill,
        pitch=pitch,
        directions=_families([line.points for line in cell.lines]),
        concentration=factors,
    )


def _families(lines: list[np.ndarray]) -> np.ndarray:
    """Return the distinct directions of straight lines, shape (n, 2); empty for more than eight."""
    steps = np.vstack([np.diff(points, axis=0) for points in lines])
    angles = np.unique(np.round(np.degrees(np.arctan2(steps[:, 1], steps[:, 0])) % 180, 3) % 180)
    if len(angles) > 8:
        return np.zeros((0, 2))
    return np.column_stack([np.cos(np.radians(angles)), np.sin(np.radians(angles))])
