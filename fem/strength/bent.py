"""A bent section as fibres of printed kinds: moments in closed form for any card values."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from fem.strength.fibres import Fibres, Laws
from fem.strength.kinds import Kind, Layers
from fem.strength.moment_curvature import Carried, Curve, break_moments, carried, first_damage, follow

Draws = Mapping[str, np.ndarray]


@dataclass(frozen=True)
class Bent:
    """Fibres of a section with the kinds they are of, at the best card values.

    Attributes
    ----------
    fibres : Fibres
        Heights along the load from the origin, scaled so that the elastic bending stiffness is the solved section's.
    kinds : tuple of Kind
    places : tuple of (float, float)
        The outermost point (y, z) of each kind on the side in tension, mm.
    """

    fibres: Fibres
    kinds: tuple[Kind, ...]
    places: tuple[tuple[float, float], ...] = ()

    def missing(self, known: Mapping[str, object]) -> list[str]:
        """Return the card values without which nothing can be said."""
        needed = (name for kind in self.kinds for name in kind.law.needs)
        return [name for name in dict.fromkeys(needed) if name not in known]

    def stood_in(self, known: Mapping[str, object]) -> list[str]:
        """Return the card values that are unknown and for which another stands in."""
        asked = (name for kind in self.kinds for name in kind.law.asks)
        return [name for name in dict.fromkeys(asked) if name not in known]

    def laws(self, draws: Draws, growth: np.ndarray) -> Laws:
        """Return the laws for draws of card values, all moduli ``growth`` (n,) times the best.

        A line more in the core, as the phase has it, carries as much more at the same strain.
        """
        growths = np.array(
            [
                growth * kind.law.lines(draws) if isinstance(kind.law, Layers) else growth
                for kind in self.kinds
            ]
        )
        laws = [
            kind.law.law(draws, modulus * own)
            for kind, modulus, own in zip(self.kinds, self.fibres.moduli, growths, strict=True)
        ]
        shape = np.shape(growth)
        tension, compression, fracture = (
            np.array([np.broadcast_to(getattr(law, name), shape) for law in laws])
            for name in ("tension", "compression", "fracture")
        )
        return Laws(tension, compression, fracture, growths)

    def plain_laws(
        self, values: Mapping[str, Any], growth: float
    ) -> tuple[list[float], list[float], list[float]]:
        """Return plateaus in tension and compression and fracture strains by kind, for plain card values."""
        laws = [
            kind.law.law(values, modulus * growth)
            for kind, modulus in zip(self.kinds, self.fibres.moduli, strict=True)
        ]
        return (
            [float(law.tension) for law in laws],
            [float(law.compression) for law in laws],
            [float(law.fracture) for law in laws],
        )

    def carried(self, draws: Draws, growth: np.ndarray) -> Carried:
        """Return the largest moment of every draw."""
        return carried(self.fibres, self.laws(draws, growth))

    def first_damage(self, draws: Draws, growth: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Return the moment at first yield or break of every draw, and the kind."""
        return first_damage(self.fibres, self.laws(draws, growth))

    def breaks(self, draws: Draws, growth: np.ndarray) -> np.ndarray:
        """Return the moment (k, n) at which each kind breaks; see `moment_curvature.break_moments`."""
        laws = self.laws(draws, growth)
        return break_moments(self.fibres, laws, carried(self.fibres, laws))

    def by_mode(self, draws: Draws, growth: np.ndarray) -> dict[str, np.ndarray]:
        """Return the moment (n,) at which each failure mode ends the section."""
        found: dict[str, np.ndarray] = {}
        for kind, ends in zip(self.kinds, self.breaks(draws, growth), strict=True):
            found[kind.mode] = np.minimum(found[kind.mode], ends) if kind.mode in found else ends
        return {mode: ends for mode, ends in found.items() if np.isfinite(ends).any()}

    def curve(self, draws: Draws, growth: np.ndarray) -> Curve:
        """Return moment over curvature of the first draw to its end."""
        return follow(self.fibres, self.laws(draws, growth).of(np.zeros(1, dtype=int)))

    def with_whole_welds(self) -> "Bent":
        """Return the section with its layers welded over all of their area, without grooves."""
        whole = (
            replace(kind, law=replace(kind.law, welds=replace(kind.law.welds, contact=None)))
            if isinstance(kind.law, Layers)
            else kind
            for kind in self.kinds
        )
        return replace(self, kinds=tuple(whole))
