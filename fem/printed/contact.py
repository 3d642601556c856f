"""Where a layer is welded to the next: the one definition of contact.

Every line brings its own flat, and welded is what the flats of two consecutive layers both cover. Shares are of the
gross area, in which a line has its bead width w.

- Walls side by side, and any lines stacked in line, keep their grooves however close they lie: flat/w. Upright tubes of
  several walls (Kuznetsov 2018, the same section from 0.4, 0.6 and 0.8 mm nozzles) follow 1 - pi t/(4 w) = flat/w
  within 8 % left out one at a time. Flat over full width misses by 10 % and counts the overlap of neighbours twice;
  grooves closed but for the outer edges miss by 30 % and more.
- Lines that cross the next layer's weld flat on flat. Where lines of one layer touch, their flats widen as in the
  cell's own section (`patterns.cells.layered.conserving_section`: no deposited volume is lost), from the free flat
  where they just touch to the whole pitch at set fill 1. How much of that widening is welded is the card's
  ``groove_closing``: nothing measured tells.
- Walls of one layer weld along their sides over the chord where round sides overlap: `side_share`.
"""

import math
from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from functools import lru_cache

import numpy as np
import shapely

from fem.material.cards import Card
from fem.printed.cell_store import CellStore, kept
from fem.printed.core import CoreCell
from fem.printed.neighbours import neighbours
from fem.printed.section_lines import SectionLines
from patterns.bead import Bead
from patterns.cells.layered import conserving_section
from patterns.cells.stack import StackedCell
from patterns.infill import Infill
from patterns.outlines.layout import Layout

# Without a value on the card: no volume is lost, as in the cell that gives the stiffness.
_CLOSED = 1.0
# Flows at which contact is known; straight between them.
FLOWS = np.linspace(0.8, 1.2, 41)


def flat_at(bead: Bead, pitch: float, closing: float = 0.0) -> float:
    """Return the flat of a line whose neighbours in the layer lie a pitch away, mm.

    Parameters
    ----------
    bead : Bead
        Deposited bead.
    pitch : float
        mm.
    closing : float
        0 to 1: part of the groove between touching lines that is filled, 1 if no volume is lost.

    Examples
    --------
    >>> bead = Bead(0.45, 0.2)
    >>> flat_at(bead, 1.0, 1.0) == flat_at(bead, 0.45, 0.0) == bead.flat_width
    True
    >>> flat_at(bead, 0.45, 1.0)
    0.45
    """
    if pitch >= bead.full_width:
        return bead.flat_width
    closed = 2 * conserving_section(bead, max(pitch, bead.width)).half_flat
    return bead.flat_width + closing * (min(closed, pitch) - bead.flat_width)


def mean_flat(bead: Bead, pitch: float, closing: float = 0.0, scatter: float = 0.0) -> float:
    """Return the mean flat of lines whose widths scatter, mm: of those that touch and those that do not."""
    two = neighbours(bead, pitch, scatter)
    touching = flat_at(two.touching, pitch, closing)
    return two.share * touching + (1 - two.share) * two.apart.flat_width


def stacked_share(bead: Bead) -> float:
    """Return the welded share of walls side by side, their lines stacked in line."""
    return bead.flat_width / bead.width


def side_share(bead: Bead) -> float:
    """Return the welded share of the height between walls side by side.

    Neighbours a bead width apart overlap by full width - w = t (1 - pi/4) and share the chord of their round sides:
    sqrt(1 - pi^2/16) = 0.62 of any stadium's height.
    """
    return math.sqrt(1 - (math.pi / 4) ** 2) if bead.section == "stadium" else 1.0


@dataclass(frozen=True)
class Contact:
    """Welded share of a zone's gross area, by how far grooves between touching crossing lines are closed.

    Attributes
    ----------
    closings : tuple of float
        Rising from 0 to 1; a single 0 where nothing closes.
    shares : tuple of float
        At these, the mean over the line phases.
    crossing : bool
        Whether the lines of consecutive layers cross.
    best : float
        Share at the card's best closing.
    by_phase : tuple of tuple of float
        Shares at the closings for each phase at which lines may lie; empty where they do not matter or are known.
    lines : float
        Share at a stated phase over the mean of all, 1 where the phase is unknown.
    flowed : tuple of tuple of float
        Share over that at flow 1 at each of `FLOWS`, for the closings; empty where it is not followed.
    """

    closings: tuple[float, ...]
    shares: tuple[float, ...]
    crossing: bool
    best: float
    by_phase: tuple[tuple[float, ...], ...] = ()
    lines: float = 1.0
    flowed: tuple[tuple[float, ...], ...] = ()

    @property
    def closing(self) -> float:
        """The card's best closing."""
        return self.closings[self.shares.index(self.best)]

    def at(self, closing: np.ndarray | float) -> np.ndarray:
        """Return the mean share over the phases, of any shape, linear between the closings solved."""
        return np.asarray(np.interp(closing, self.closings, self.shares))

    def over_mean(self, phase: np.ndarray | float, closing: np.ndarray | float) -> np.ndarray:
        """Return the share at phases (0 to 1) over the mean of all, at closings; linear between those solved."""
        if not self.by_phase:
            return np.ones(np.broadcast(phase, closing).shape)
        phases, closed = np.broadcast_arrays(np.asarray(phase, dtype=float), closing)
        place = np.minimum((len(self.by_phase) * phases).astype(int), len(self.by_phase) - 1)
        parts = np.array([np.interp(closed, self.closings, shares) for shares in self.by_phase])
        return np.asarray(np.take_along_axis(parts, place[None], axis=0)[0] / self.at(closed))

    def over_set(self, flow: np.ndarray | float, closing: np.ndarray | float) -> np.ndarray:
        """Return the share at flows over that at flow 1, at closings; linear between those solved."""
        if not self.flowed:
            return np.ones(np.broadcast(flow, closing).shape)
        flows, closed = np.broadcast_arrays(np.asarray(flow, dtype=float), closing)
        parts = np.array([np.interp(closed, self.closings, shares) for shares in self.flowed])
        place = np.clip(np.searchsorted(FLOWS, flows) - 1, 0, len(FLOWS) - 2)
        low, high = (np.take_along_axis(parts, (place + step)[None], axis=0)[0] for step in (0, 1))
        weight = np.clip((flows - FLOWS[place]) / (FLOWS[place + 1] - FLOWS[place]), 0.0, 1.0)
        return np.asarray(low + weight * (high - low))


def contact_of(
    shares: np.ndarray, crossing: bool, card: Card, lines: float = 1.0, flowed: np.ndarray | None = None
) -> Contact:
    """Return the contact of a zone from its shares (phases, `closings`), of one closing where nothing closes.

    ``flowed`` are shares (`FLOWS`, closings) over those at flow 1.
    """
    shares = np.atleast_2d(shares)
    at, best = closings(card), _best(card)
    flowed = np.zeros((0, shares.shape[1])) if flowed is None else flowed
    if np.allclose(shares, shares[:, :1], rtol=1e-9, atol=0) and np.allclose(flowed, flowed[:, :1]):
        at, best, shares, flowed = (0.0,), 0.0, shares[:, :1], flowed[:, :1]
    mean = tuple(shares.mean(axis=0).tolist())
    by_phase = _rows(shares) if len(shares) > 1 else ()
    return Contact(at, mean, crossing, mean[at.index(best)], by_phase, lines, _rows(flowed))


def _rows(table: np.ndarray) -> tuple[tuple[float, ...], ...]:
    return tuple(map(tuple, table.tolist()))


def _flowed(layout: Layout, at: tuple[float, ...]) -> tuple[np.ndarray, np.ndarray]:
    """Return shares of walls and core (`FLOWS`, closings) over those at flow 1: by flats, squared where they cross."""
    bead, infill = layout.printing.bead, layout.infill
    flats = np.maximum(bead.flat_width + (FLOWS - 1) * bead.width, 0.0) / bead.flat_width
    walls = np.repeat(flats[:, None], len(at), axis=1)
    if infill is None or not crosses(infill) or _varies(infill):
        return walls, walls
    scatter = layout.printing.width_scatter
    beads = [
        replace(bead, width=max(flow * bead.width, 1.001 * (bead.width - bead.flat_width))) for flow in FLOWS
    ]
    core = [[mean_flat(one, infill.pitch, closing, scatter) for closing in at] for one in beads]
    best = [mean_flat(bead, infill.pitch, closing, scatter) for closing in at]
    return walls, (np.array(core) / best) ** 2


def closings(card: Card) -> tuple[float, ...]:
    """Return the closings at which contact is solved: both ends and the card's best."""
    return tuple(sorted({0.0, _best(card), 1.0}))


def _best(card: Card) -> float:
    return card.groove_closing.best if card.groove_closing else _CLOSED


def crosses(infill: Infill) -> bool:
    """Return whether the lines of consecutive layers of a core cross."""
    return not infill.pattern.alike and (
        _varies(infill) or len({turn % 180 for turn in infill.turns_deg}) > 1
    )


def _varies(infill: Infill) -> bool:
    """Return whether every layer has lines of a shape of its own, not the same ones turned."""
    return isinstance(infill.cell(), StackedCell)


@lru_cache(maxsize=256)
def cell_contact(infill: Infill, geometric_fill: float, closing: float, scatter: float = 0.0) -> float:
    """Return the welded share of a core's plan area by its cell, without the section's borders.

    Where it differs from layer to layer, the smallest share is returned: it breaks first. Lines of a prismatic pattern
    weld over their flats; where they cross in the layer they are counted once, in proportion to the geometric fill.
    """
    bead = infill.bead
    if infill.pattern.alike:
        return geometric_fill * stacked_share(bead)
    cell = infill.cell()
    if isinstance(cell, StackedCell):
        return _stack_share(cell)
    if crosses(infill):
        return (mean_flat(bead, infill.pitch, closing, scatter) / infill.pitch) ** 2
    return bead.flat_width / infill.pitch


def _stack_share(cell: StackedCell) -> float:
    """Return the smallest welded share between consecutive layers of a stack of plans, first on last included."""
    period = shapely.box(0, 0, cell.period, cell.period)
    flats = [plan.intersection(period) for plan in cell.plans(cell.bead.flat_width)]
    following = flats[1:] + flats[:1]
    areas = shapely.area(
        shapely.intersection(np.array(flats, dtype=object), np.array(following, dtype=object))
    )
    return float(areas.min() / period.area)


def zone_contacts(
    layout: Layout, core: CoreCell | None, card: Card, store: CellStore | None = None
) -> tuple[Contact, Contact | None]:
    """Return the contact of walls and faces, and of the core, None without one; drawn sections kept in a store."""
    bead, infill = layout.printing.bead, layout.infill if core is not None else None
    crossing = infill is not None and crosses(infill)
    at = closings(card) if crossing else (0.0,)
    if layout.printing.orientation == "upright":
        return _upright_contacts(layout, at, crossing, card, store)
    flowed = _flowed(layout, at)
    walls = contact_of(np.array([stacked_share(bead)] * len(at)), False, card, flowed=flowed[0])
    if core is None or infill is None:
        return walls, None
    scatter = layout.printing.width_scatter
    shares = [cell_contact(infill, core.geometric_fill, closing, scatter) for closing in at]
    return walls, contact_of(np.array(shares), crossing, card, flowed=flowed[1])


def _upright_contacts(
    layout: Layout, at: tuple[float, ...], crossing: bool, card: Card, store: CellStore | None
) -> tuple[Contact, Contact | None]:
    """Return the contact from the section's real lines, at every phase at which they may lie.

    The share of a stated phase is compared with the mean of all, which is what the homogenised core has.
    """
    infill, bead = layout.infill, layout.printing.bead
    widens = crossing and infill is not None and not _varies(infill)
    section, flowed = SectionLines(layout, straight=widens), _flowed(layout, at)
    if infill is None:
        return contact_of(np.array([section.wall_share]), False, card, flowed=flowed[0]), None
    scatter = layout.printing.width_scatter
    flats = [mean_flat(bead, infill.pitch, closing, scatter) if widens else bead.flat_width for closing in at]
    asked, every = layout.phases, layout.unknown_phases
    phases = tuple(dict.fromkeys((*asked, *every)))
    table = _drawn(section, infill, phases, flats, store)
    found = dict(zip(phases, table, strict=True))
    walls, core = np.moveaxis(np.array([found[phase] for phase in asked]), 2, 0)
    mean = np.mean([found[phase][-1, 1] for phase in every])
    lines = float(core[:, -1].mean() / mean)
    return (
        contact_of(walls.mean(axis=0), False, card, flowed=flowed[0]),
        contact_of(core, crossing, card, lines, flowed[1]),
    )


def _drawn(
    section: SectionLines,
    infill: Infill,
    phases: Sequence[float],
    flats: Sequence[float],
    store: CellStore | None,
) -> np.ndarray:
    """Return the shares of walls and core (phases, flats, 2) in a section; from the store where kept."""
    layout = section.layout
    made = {name: asdict(getattr(layout, name)) for name in ("specimen", "printing", "core")}

    def draw() -> dict[str, np.ndarray]:
        shares = [[section.shares(infill.shifted(phase), flat) for flat in flats] for phase in phases]
        return {"shares": np.array(shares)}

    key = {"cell": "contact", **made, "phases": list(phases), "flats": list(flats)}
    return kept(store, key, draw, lambda arrays: np.asarray(arrays["shares"]))
