"""Shear of walls and core side by side: what yields keeps its stress, what breaks at its welds drops.

Walls and core shear by one angle. Each part takes its share of the force until its plateau: the yield stress in shear
on the area that takes part. Parts whose layers slide on their welds across the beam are brittle.
"""

from dataclasses import dataclass

import numpy as np

from fem.material.flow import flow
from fem.strength.welds import Draws, Welds

_VON_MISES = 3**-0.5
SHEAR_SOURCE = (
    "shear of the section's Saint-Venant field to first yield, plastic then; brittle across welded layers"
)


@dataclass(frozen=True)
class Web:
    """A part of the section that carries shear.

    Attributes
    ----------
    role : str
    share : float
        Of the elastic shear force along the load.
    area : float
        That takes part, mm^2.
    between, within : float
        Cosine of the load to the direction across the layers, and to that within a layer.
    plateau_between, plateau_within : float
        Collapse stress per unit yield stress in shear (between) and in tension (within), 1 and 0.58 in solid walls.
    brittle : bool
    welds : Welds
        Between its layers.
    taking_part : float
        Share of those welds that carries this shear.
    beside : float
        Welded share of the height between lines side by side, 1 where lines of the layer do not slide on each other.
    place : tuple of float
        A point (y, z) of it, mm.
    """

    role: str
    share: float
    area: float
    between: float
    within: float
    plateau_between: float
    plateau_within: float
    brittle: bool
    welds: Welds
    taking_part: float = 1.0
    beside: float = 1.0
    place: tuple[float, float] = (0.0, 0.0)

    def force(self, draws: Draws) -> np.ndarray | None:
        """Return the largest shear force (n,), N; None where no strength is known."""
        stress = self.stress(draws)
        return None if stress is None else self.area * stress

    def stress(self, draws: Draws) -> np.ndarray | None:
        """Return the plateau (n,) on its area, MPa; None where no strength is known."""
        bead = draws.get("shear_mpa")
        if bead is None and "tension_along_mpa" in draws:
            bead = _VON_MISES * draws["tension_along_mpa"]
        if bead is None:
            return None
        # arrays also of plain numbers: a plateau of zero carries nothing, it is no error
        bead = bead * flow(draws)
        within = np.asarray(self.plateau_within * bead / _VON_MISES)
        between = np.asarray(self.plateau_between * bead)
        if "weld_shear_mpa" in draws:
            between = np.minimum(between, self.taking_part * self.welds.shear(draws))
            if self.beside < 1:
                within = np.minimum(within, self.beside * draws["weld_shear_mpa"])
        with np.errstate(divide="ignore", invalid="ignore"):
            size = np.where(self.between > 0, (self.between / between) ** 2, 0.0)
            size = size + np.where(self.within > 0, (self.within / within) ** 2, 0.0)
            found: np.ndarray = np.where(size > 0, 1 / np.sqrt(size), 0.0)
        return found

    @property
    def at_welds(self) -> bool:
        """Whether layers slide on each other."""
        return self.between > self.within


def sheared(webs: tuple[Web, ...], draws: Draws) -> tuple[np.ndarray, np.ndarray] | None:
    """Return the shear force (n,) at the first yield or break, and the largest; None where no strength is known."""
    known = [force for web in webs if (force := web.force(draws)) is not None]
    if not known or len(known) < len(webs):
        return None
    forces = np.array(known).reshape(len(webs), -1)
    share = np.array([web.share for web in webs])[:, None]
    brittle = np.array([web.brittle for web in webs])
    ends = (
        forces / share
    )  # the shear angle, as the elastic force of the whole, at which each part is at its plateau
    first = ends.min(axis=0)
    largest = np.zeros_like(first)
    for at in ends[brittle]:
        whole = (ends >= at * (1 - 1e-12)) | ~brittle[:, None]
        largest = np.maximum(largest, np.where(whole, np.minimum(share * at, forces), 0.0).sum(axis=0))
    if not brittle.all():  # what does not break carries on alone
        largest = np.maximum(largest, forces[~brittle].sum(axis=0))
    return first, largest


def shear_mode(webs: tuple[Web, ...]) -> str:
    """Return the failure mode of webs that give way: of the core where there is one."""
    roles = {web.role for web in webs}
    if "core" in roles:
        return "core_shear"
    if any(web.at_welds for web in webs):
        return "weld_tension"
    return "wall_tension" if "wall" in roles else "face_tension"
