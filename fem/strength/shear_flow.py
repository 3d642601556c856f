"""The largest shear force of a ductile section by limit analysis: what yields in shear, and what then bends by itself.

Bending stress that grows along the beam is held by shear flow q(h), the longitudinal force per length across a cut at
height h. Any flow in equilibrium that overstresses nothing is carried (static theorem of limit analysis):

- across no cut more than the shear plateaus on the widths side by side there, each part at its own;
- from cut to cut no more than the plateaus in bending, reached over the lever M/V of the test;
- none at the outer fibres.

The force is the integral of q over the depth. A web that yields holds its flow, and walls or faces above and below it
go on as beams of their own. Shear and bending stress of one fibre do not lower each other, and flow sideways to
the web within a wall is not asked about: both make it an upper bound of this family of states. Kinds that crack before
the section is plastic throughout lower all plateaus in bending, by its largest moment over the plastic one.
"""

from dataclasses import replace

import numpy as np

from fem.strength.bent import Bent
from fem.strength.fibres import Fibres, Laws
from fem.strength.moment_curvature import carried
from fem.strength.webs import Web, sheared
from fem.strength.welds import Draws

_NO_LIMIT = 1e12


def largest_shear(
    webs: tuple[Web, ...], bent: Bent | None, draws: Draws, growth: np.ndarray, lever: float
) -> tuple[np.ndarray, np.ndarray] | None:
    """Return the shear force (n,) at first yield or break, and the largest; None where no strength is known.

    The larger of what `webs.sheared` gives, whose areas are those of the elastic field, and, where nothing is brittle,
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
