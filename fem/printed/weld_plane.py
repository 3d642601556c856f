"""The plane between two layers of a printed section: what is welded, where it is notched, how stiff it is across."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from functools import lru_cache

import numpy as np
import shapely

from fem.material.cards import Card
from fem.printed.cell_store import CellStore, kept
from fem.printed.core import CoreCell
from fem.printed.squeeze import Welded, tolerances, welded
from fem.printed.weld import StackCell, core_contact, flats_of, stack_cell
from patterns.bead import Bead
from patterns.outlines.layout import Layout
from patterns.paths.covered import covered

# Without a notch radius on the card: only the contact share and the stiffness of the stack are used then.
_SOME_RADIUS = 0.015


@dataclass(frozen=True)
class WeldPlane:
    """Welds between layers.

    Attributes
    ----------
    contact : float
        Welded share of the gross area of walls and faces.
    core_contact : float or None
        Welded share of the core's gross area; None without a core.
    radii : tuple of float
        Notch radii in mm, rising.
    peaks : tuple of float
        Largest principal stress / mean stress on the contact at these radii.
    modulus_ratio : float
        Young's modulus across the layers over the bead's.
    squeezed, core_squeezed : Welded or None
        How both welded shares change over the range of the squeeze tolerance; None where they do not.
    """

    contact: float
    core_contact: float | None
    radii: tuple[float, ...]
    peaks: tuple[float, ...]
    modulus_ratio: float
    squeezed: Welded | None = None
    core_squeezed: Welded | None = None


def weld_plane(
    layout: Layout, core: CoreCell | None, card: Card, store: CellStore | None = None
) -> WeldPlane:
    """Return the weld plane of a layout; stack cells from ``store`` where they were kept before.

    In an upright beam the plane is the section: the flats of two consecutive layers are drawn from their real lines,
    and what both cover is welded. In the other orientations walls and faces are taken as beads stacked in line.
    """
    bead, nu = layout.printing.bead, card.poisson.best
    radius = card.notch_radius_mm
    radii = tuple(sorted({radius.low, radius.best, radius.high})) if radius else (_SOME_RADIUS,)
    cells = [_stack(bead, r, nu, store) for r in radii]
    middle = cells[len(cells) // 2]
    at = tolerances(card)
    if layout.printing.orientation == "upright":
        shares = upright_contacts(layout, at)
    else:
        shares = [
            (middle.contact_share, _stacked_core(layout, core, one, middle.contact_share)) for one in at
        ]
    walls, cores = [wall for wall, _ in shares], [inside for _, inside in shares if inside is not None]
    best = at.index(card.squeeze_mm.best) if card.squeeze_mm else 0
    return WeldPlane(
        contact=walls[best],
        core_contact=cores[best] if cores else None,
        radii=radii,
        peaks=tuple(cell.concentration for cell in cells),
        modulus_ratio=middle.modulus_ratio,
        squeezed=welded(card, walls),
        core_squeezed=welded(card, cores) if cores else None,
    )


@lru_cache(maxsize=256)
def _stack(bead: Bead, notch_radius: float, nu: float, store: CellStore | None) -> StackCell:
    key = {"cell": "stack", "bead": asdict(bead), "notch_radius": notch_radius, "nu": nu}

    def solved() -> dict[str, np.ndarray]:
        cell = asdict(stack_cell(bead, notch_radius, nu))
        return {name: np.asarray(value) for name, value in cell.items()}

    return StackCell(**{name: float(value) for name, value in kept(store, key, solved).items()})


def upright_contacts(layout: Layout, squeezes: Sequence[float]) -> list[tuple[float, float | None]]:
    """Return the welded share of the walls' and of the core's gross area at each squeeze tolerance (mm).

    The least over the pairs of consecutive layers. Lines run into the walls by the overlap, so their welds count where
    they lie. A section without walls has the share of a single stack of beads there.
    """
    bead, wall, core = layout.printing.bead, layout.area("wall"), layout.area("core")
    grown = wall.buffer((bead.full_width - bead.width) / 2, join_style="mitre")
    infill = layout.infill
    if infill is None:
        return [(_share(flats_of(grown, bead, squeeze), wall, bead), None) for squeeze in squeezes]
    plans = [
        shapely.union_all([grown, covered(infill.lines(layout.traced_core, layer), bead.full_width)])
        for layer in range(infill.layers_per_period)
    ]
    found: list[tuple[float, float | None]] = []
    for squeeze in squeezes:
        drawn = [flats_of(plan, bead, squeeze) for plan in plans]
        # two layers in turn make one pair, met twice
        pairs = [drawn[i].intersection(drawn[i - 1]) for i in range(1 if len(plans) == 2 else 0, len(plans))]
        found.append(
            (min(_share(pair, wall, bead) for pair in pairs), min(_share(pair, core, bead) for pair in pairs))
        )
    return found


def _share(joined: shapely.Geometry, zone: shapely.Geometry, bead: Bead) -> float:
    return joined.intersection(zone).area / zone.area if zone.area > 0 else bead.flat_share


def _stacked_core(layout: Layout, core: CoreCell | None, squeeze: float, stack_share: float) -> float | None:
    if core is None or layout.infill is None:
        return None
    if core.in_line:
        return core.geometric_fill * stack_share
    return core_contact(layout.infill, squeeze)
