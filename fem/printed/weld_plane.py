"""The plane between two layers of a printed section: what is welded, and how stiff it is across."""

from dataclasses import dataclass

from fem.material.cards import Card
from fem.printed.cell_store import CellStore
from fem.printed.contact import Contact, zone_contacts
from fem.printed.core import CoreCell
from fem.printed.stack import stack_stiffness
from patterns.outlines.layout import Layout


@dataclass(frozen=True)
class WeldPlane:
    """Welds between layers.

    Attributes
    ----------
    walls : Contact
        Welded share of the gross area of walls and faces.
    core : Contact or None
        That of the core; None without one.
    modulus_ratio : float
        Young's modulus across the layers over the bead's.
    """

    walls: Contact
    core: Contact | None
    modulus_ratio: float

    @property
    def contact(self) -> float:
        """Welded share of walls and faces at the card's best."""
        return self.walls.best

    @property
    def core_contact(self) -> float | None:
        """Welded share of the core at the card's best."""
        return self.core.best if self.core else None


def weld_plane(
    layout: Layout, core: CoreCell | None, card: Card, store: CellStore | None = None
) -> WeldPlane:
    """Return the weld plane of a layout.

    In an upright beam the plane is the section, and contact is drawn from its real lines. In the other orientations
    walls and faces are beads stacked in line, and the core is as its cell. Drawn sections are kept in ``store``.
    """
    walls, inside = zone_contacts(layout, core, card, store)
    ratio = stack_stiffness(layout.printing.bead, card.poisson.best).ratio
    return WeldPlane(walls, inside, ratio)
