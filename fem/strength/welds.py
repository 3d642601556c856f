"""What welds carry per gross area: strength on contact x contact share x what the groove costs."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from fem.printed.contact import Contact
from fem.printed.groove import WeldCell
from fem.strength.weld_factor import weld_factor
from patterns.bead import Bead

Draws = Mapping[str, np.ndarray]


@dataclass(frozen=True)
class Welds:
    """Welds between the layers of a zone.

    Attributes
    ----------
    contact : Contact or None
        Welded share of the gross area; None for layers welded all over, without a groove.
    bead : Bead
        Its sides make the groove.
    """

    contact: Contact | None
    bead: Bead

    def share(self, draws: Draws) -> np.ndarray:
        """Return the welded share (n,) of the gross area."""
        some = np.shape(next(iter(draws.values())))
        if self.contact is None:
            return np.ones(some)
        closing = draws.get("groove_closing", self.contact.closing)
        share = self.contact.at(closing) * self.lines(draws)
        if "flow" in draws:
            share = share * self.contact.over_set(draws["flow"], closing)
        return np.broadcast_to(share, some)

    def lines(self, draws: Draws) -> np.ndarray:
        """Return the welded share (n,) at each draw's line phase over the mean of all; 1 where draws name none."""
        some = np.shape(next(iter(draws.values())))
        if self.contact is None or "phase" not in draws:
            return np.ones(some)
        closing = draws.get("groove_closing", self.contact.closing)
        return np.broadcast_to(self.contact.over_mean(draws["phase"], closing), some)

    def groove(self, draws: Draws) -> np.ndarray:
        """Return load over that of the net section (n,): 1 without a toughness, or where no groove is."""
        some = np.shape(next(iter(draws.values())))
        asked = ("young_mpa", "weld_toughness_n_per_mm", "weld_tension_mpa")
        if self.contact is None or self.bead.section != "stadium" or any(name not in draws for name in asked):
            return np.ones(some)
        E, toughness, strength = (draws[name] for name in asked)
        cell: WeldCell = "crossing" if self.contact.crossing else "stacked"
        number = E * toughness / (strength**2 * self.bead.width)
        return weld_factor(cell, self.bead.height / self.bead.width, number)

    def tension(self, draws: Draws) -> np.ndarray:
        """Return the tensile strength (n,) of the gross area, MPa."""
        found: np.ndarray = draws["weld_tension_mpa"] * self.share(draws) * self.groove(draws)
        return found

    def shear(self, draws: Draws) -> np.ndarray:
        """Return the shear strength (n,) of the gross area, MPa: net section, since grooves open by tension."""
        found: np.ndarray = draws["weld_shear_mpa"] * self.share(draws)
        return found
