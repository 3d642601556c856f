"""A bent section as fibres of printed kinds: moments in closed form for any card values."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from fem.bending.plates import SOURCES
from fem.strength.failure import Event
from fem.strength.fibres import Fibres, Laws
from fem.strength.kinds import Kind, Layers
from fem.strength.moment_curvature import Carried, Curve, break_moments, carried, first_damage, follow

Draws = Mapping[str, np.ndarray]


# Largest moment over that without buckling, below which buckling is told as what ends the beam.
_FELT = 0.95


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
            kind.buckled(draws, modulus * own)
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
            kind.buckled(values, modulus * growth)
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
        """Return the moment (n,) at which each failure mode ends the section.

        Where panels that buckle take more than a twentieth off the largest moment, that of the first of them ends it,
        and the others have the moment that they would end without buckling. Elsewhere it has the moment at which it
        is first seen, or that without buckling, whichever is larger.
        """
        found: dict[str, np.ndarray] = {}
        for kind, ends in zip(self.kinds, self.breaks(draws, growth), strict=True):
            found[kind.mode] = np.minimum(found[kind.mode], ends) if kind.mode in found else ends
        found = {mode: ends for mode, ends in found.items() if np.isfinite(ends).any()}
        seen = self.events(growth)
        if not seen:
            return found
        governs, largest, without = self.felt(draws, growth)
        if governs.any():
            bare = self.without_buckling().by_mode(draws, growth)
            found = {mode: np.where(governs, bare[mode], ends) for mode, ends in found.items()}
        for event in seen:
            ends = np.maximum(event.load, without)
            if event.mode == seen[0].mode:
                ends = np.where(governs, largest, ends)
            found[event.mode] = np.minimum(found.get(event.mode, np.inf), ends)
        return found

    def felt(self, draws: Draws, growth: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Return where (n,) buckling takes more than a twentieth off, and the largest moments with and without it."""
        largest, without = (one.carried(draws, growth).largest for one in (self, self.without_buckling()))
        return largest < _FELT * without, largest, without

    def events(self, growth: np.ndarray) -> list[Event]:
        """Return what buckles with the moment (n,) at which it begins in an elastic section, the first one first."""
        found: dict[str, Event] = {}
        for panel in (panel for kind in self.kinds for panel in kind.panels):
            for mode, what, curvature in panel.events:
                moment = curvature * self.fibres.EI * growth
                if what not in found or moment[0] < found[what].load[0]:
                    found[what] = Event(mode, what, moment, panel.place, "young_mpa", SOURCES[mode])
        return sorted(found.values(), key=lambda event: float(event.load[0]))

    def without_buckling(self) -> "Bent":
        """Return the section as if its panels stayed in shape."""
        return replace(self, kinds=tuple(replace(kind, panels=()) for kind in self.kinds))

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
