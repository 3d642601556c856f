"""A pulled section: the same fibres as a bent one, all at one strain."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from fem.strength.bent import Bent
from fem.strength.fibres import FAR, Laws
from fem.strength.moment_curvature import Carried

Draws = Mapping[str, np.ndarray]


@dataclass(frozen=True)
class Pulled(Bent):
    """Fibres under a uniform stretch: forces in N where `Bent` has moments, strain where it has curvature.

    Stress falls only where a kind breaks, so the largest force is one of those just before a break.
    """

    @classmethod
    def of(cls, bent: Bent, EA: float) -> "Pulled":
        """Return the pulled section of a bent one, scaled to its solved axial stiffness, N."""
        fibres = bent.fibres
        scale = EA / float(fibres.moduli @ fibres.totals[0])
        kinds = bent.without_buckling().kinds
        return cls(replace(fibres, moduli=fibres.moduli * scale), kinds, bent.places)

    def carried(self, draws: Draws, growth: np.ndarray) -> Carried:
        """Return the largest force of every draw."""
        laws = self.laws(draws, growth)
        strains, forces = self.at_breaks(laws)
        kind, n = np.argmax(forces, axis=0), np.arange(forces.shape[1])
        whole = (laws.tension > 0) & (laws.fracture >= strains[kind, n])
        return Carried(forces[kind, n], strains[kind, n], kind, whole)

    def first_damage(self, draws: Draws, growth: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Return the force at first yield or break of every draw, and the kind; exact, since all is elastic."""
        laws = self.laws(draws, growth)
        E = laws.moduli(self.fibres)
        strain = np.where(laws.tension > 0, np.minimum(laws.tension / E, laws.fracture), np.inf)
        kind = np.argmin(strain, axis=0)
        return strain[kind, np.arange(strain.shape[1])] * (self.fibres.totals[0] @ E), kind

    def breaks(self, draws: Draws, growth: np.ndarray) -> np.ndarray:
        """Return the force (k, n) at which each kind breaks; of one that breaks earlier, the largest force."""
        laws = self.laws(draws, growth)
        forces = self.at_breaks(laws)[1]
        reached = np.maximum(forces, forces.max(axis=0))
        return np.where(np.isfinite(laws.fracture) & (laws.tension > 0), reached, np.inf)

    def at_breaks(self, laws: Laws) -> tuple[np.ndarray, np.ndarray]:
        """Return the strain (k, n) at which each kind breaks, and the force just before."""
        E = laws.moduli(self.fibres)
        strains = np.minimum(np.where(laws.tension > 0, laws.fracture, FAR), FAR)
        stress = np.minimum(E * strains[:, None, :], laws.tension)  # (break, kind, n)
        held = strains[:, None, :] <= laws.fracture
        return strains, np.einsum("k,jkn->jn", self.fibres.totals[0], np.where(held, stress, 0.0))
