"""Shear of walls and core side by side: what yields keeps its stress, what breaks at its welds drops.

Walls and core shear by one angle. Each part takes its share of the force until its plateau: the yield stress in shear
on the area that takes part. Parts whose layers slide on their welds across the beam are brittle.

At collapse of a ductile section what yields in shear holds its stress, and the rest then bends by itself. Bending
stress that grows along the beam is held by shear flow q(h), the longitudinal force per length across a cut at height h.
Any flow in equilibrium that overstresses nothing is carried (static theorem of limit analysis):

- across no cut more than the shear plateaus on the widths side by side there, each part at its own;
- from cut to cut no more than the plateaus in bending, reached over the lever M/V of the test;
- none at the outer fibres.

The force is the integral of q over the depth. A web that yields holds its flow, and walls or faces above and below it
go on as beams of their own. Shear and bending stress of one fibre do not lower each other, and flow sideways to
the web within a wall is not asked about: both make it an upper bound of this family of states. Kinds that crack before
the section is plastic throughout lower all plateaus in bending, by its largest moment over the plastic one.
"""

from dataclasses import dataclass, replace

import numpy as np

from fem.material.flow import flow
from fem.strength.bent import Bent
from fem.strength.fibres import Fibres, Laws
from fem.strength.moment_curvature import carried
from fem.strength.welds import Draws, Welds

_VON_MISES = 3**-0.5
_NO_LIMIT = 1e12
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


def largest_shear(
    webs: tuple[Web, ...], bent: Bent | None, draws: Draws, growth: np.ndarray, lever: float
) -> tuple[np.ndarray, np.ndarray] | None:
    """Return the shear force (n,) at first yield or break, and the largest; None where no strength is known.

    The larger of what `sheared` gives, whose areas are those of the elastic field, and, where nothing is brittle,
    of the flow at collapse.

    Parameters
    ----------
    webs : tuple of Web
        What shears.
    bent : Bent or None
        What bends.
    draws : mapping of str to ndarray, shape (n,)
        Card values.
    growth : ndarray, shape (n,)
        Moduli over the best ones.
    lever : float
        Largest moment over shear force, mm.
    """
    found = sheared(webs, draws)
    if found is None or bent is None or bent.missing(draws) or any(web.brittle for web in webs):
        return found
    first, largest = found
    growth = np.broadcast_to(growth, first.shape)
    laws = bent.laws(draws, growth)
    shear = np.zeros_like(laws.tension)
    for row, kind in enumerate(bent.kinds):
        plateaus = [
            stress for web in webs if web.role == kind.role and (stress := web.stress(draws)) is not None
        ]
        shear[row] = np.min(plateaus, axis=0) if plateaus else 0.0
    whole = flow_force(bent.fibres, laws, np.full_like(shear, _NO_LIMIT), lever) * lever
    bends = np.minimum(carried(bent.fibres, laws).largest / np.maximum(whole, 1 / _NO_LIMIT), 1.0)
    lasting = replace(laws, tension=bends * laws.tension, compression=bends * laws.compression)
    return first, np.maximum(largest, flow_force(bent.fibres, lasting, shear, lever))


def flow_force(fibres: Fibres, laws: Laws, shear: np.ndarray, lever: float) -> np.ndarray:
    """Return the shear force (n,) along the load at collapse, N.

    Parameters
    ----------
    fibres : Fibres
        Strips and their kinds.
    laws : Laws
        Plateaus in bending, (k, n), MPa.
    shear : ndarray, shape (k, n)
        Plateau of each kind in shear, MPa.
    lever : float
        Largest moment over shear force, mm.
    """
    depths = np.diff(fibres.heights)
    most = fibres.widths.T @ shear
    most = np.pad(np.minimum(most[1:], most[:-1]), ((1, 1), (0, 0)))
    areas = fibres.widths.T * depths[:, None]
    # first from the side in tension down, then from the side in compression up
    flow = _reached(most[::-1], (areas @ laws.tension)[::-1] / lever)[::-1]
    flow = _reached(flow, areas @ laws.compression / lever)
    found: np.ndarray = depths @ (flow[1:] + flow[:-1]) / 2
    return found


def _reached(most: np.ndarray, steps: np.ndarray) -> np.ndarray:
    """Return the largest values (m + 1, n) below ``most`` that rise from one to the next by no more than ``steps``."""
    risen = np.concatenate([np.zeros_like(steps[:1]), np.cumsum(steps, axis=0)])
    found: np.ndarray = risen + np.minimum.accumulate(most - risen, axis=0)
    return found
