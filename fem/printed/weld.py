"""The plane between two layers: how much of it is welded, what its notch does, how stiff it is across.

Beads touch on their flats only. Contact is the intersection of two consecutive layers' flats plus what squeezes
together. The stack cell looks at the groove between beads stacked in line: a vertical cut through stadium beads in
plane strain, a quarter of one by symmetry. The round sides of two beads meet in a cusp, which a real weld fills up
to a notch radius; contact, concentration and stiffness across the layers follow from that one outline.
"""

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from fem.layered.bead_mesh import SectionGrid, quarter_section
from fem.material.stiffness import isotropic
from fem.numerics.solve import Factorised
from fem.numerics.symmetry import Tie, fold
from fem.numerics.tensor_elements import assemble, element_stiffness, grid_cells, grid_nodes, strains
from patterns.bead import Bead
from patterns.cells.layered import LayeredCell
from patterns.cells.stack import StackedCell
from patterns.errors import InputError
from patterns.infill import Infill

_ORDERS = (5, 7)
_GROWTH = 3.0  # of elements away from the notch
_FILLET_ELEMENTS = 3
_SAMPLES = np.linspace(0, 1, 33)  # along each element of the fillet


@dataclass(frozen=True)
class StackCell:
    """Stadium beads stacked in line, pulled across the layers.

    Attributes
    ----------
    contact_width : float
        Welded width in mm, the filled cusp included.
    contact_share : float
        Welded width / full bead width.
    concentration : float
        Largest principal stress / mean stress on the contact.
    modulus_ratio : float
        Stiffness across the layers per full bead width, over that of solid material (plane strain both).
    error : float
        Estimated relative error of the worse of concentration and modulus ratio.
    """

    contact_width: float
    contact_share: float
    concentration: float
    modulus_ratio: float
    error: float


@lru_cache(maxsize=256)
def stack_cell(bead: Bead, notch_radius: float, nu: float) -> StackCell:
    """Return contact, stress concentration and stiffness of beads stacked in line.

    The concentration grows without limit as the notch radius falls: the radius is a property of the weld, to be
    fixed before any comparison.

    Parameters
    ----------
    bead : Bead
        With stadium section.
    notch_radius : float
        mm; the circle that touches both round sides and rounds the cusp.
    nu : float
        Poisson's ratio of the bead.

    Raises
    ------
    InputError
        If the bead is square-edged (it has no cusp), or the circle does not fit between the layers.
    """
    if bead.section != "stadium":
        raise InputError("the stack cell needs stadium beads: square edges leave no groove")
    if not 0 < notch_radius <= bead.height:
        raise InputError(
            f"notch radius is {notch_radius:g} mm; it must be above 0 and at most the layer height, {bead.height:g} mm "
            "(at 0 the elastic stress has no limit)"
        )
    C = isotropic(1.0, nu)
    groove = _Groove(bead, notch_radius)
    coarse, fine = (_pull(groove, C, order) for order in _ORDERS)
    return StackCell(
        contact_width=2 * groove.root,
        contact_share=groove.root / groove.half_width,
        concentration=fine[0],
        modulus_ratio=fine[1],
        error=max(abs(a / b - 1) for a, b in zip(coarse, fine, strict=True)),
    )


class _Groove:
    """A quarter bead whose cusp is filled to a circle: end of the flat, round side, circle and its root, mm."""

    def __init__(self, bead: Bead, notch_radius: float) -> None:
        self.flat, self.half_width = bead.flat_width / 2, bead.full_width / 2
        self.side, self.notch = bead.height / 2, notch_radius
        # The circle's centre lies on the weld plane, side + notch from the centre of the round side.
        self.reach = math.sqrt(notch_radius * (notch_radius + 2 * self.side))
        self.root = self.flat + self.reach - notch_radius

    def outline(self, order: int) -> tuple[np.ndarray, int]:
        """Return nodes (n, 2) from the end of the flat to mid-height, and the number of the first on the circle."""
        H = r = self.side
        first = self.notch / 2
        weld = self.root - grid_nodes(_growing(first, self.root - self.flat), order)[::-1]
        touch = math.atan2(self.reach, H)  # where circle and side meet, from the vertical
        turn = grid_nodes(np.pi + np.linspace(0, np.pi / 2 - touch, _FILLET_ELEMENTS + 1), order)
        arc = touch + grid_nodes(_growing(first / r, np.pi / 2 - touch), order)
        centre = self.flat + self.reach
        nodes = np.concatenate(
            [
                np.column_stack([weld, np.full(len(weld), H)]),
                np.column_stack([centre + self.notch * np.cos(turn), H + self.notch * np.sin(turn)])[1:],
                np.column_stack([self.flat + r * np.sin(arc), r * np.cos(arc)])[1:],
            ]
        )
        return nodes, len(weld) - 1

    def mesh(self, order: int) -> tuple[SectionGrid, np.ndarray]:
        """Return the mesh and the cells along the circle, whose outer face is the last one in the second index."""
        outline, start = self.outline(order)
        levels = grid_nodes(1 - _growing(self.notch / 2 / self.side, 1.0)[::-1], order)
        across = grid_nodes(np.array([0.0, self.flat]), order)
        grid = quarter_section(across, levels, self.side, outline, order)
        circle = grid.blocks[1][start : start + _FILLET_ELEMENTS * order + 1, -order - 1 :]
        return grid, grid_cells(circle, order)


def _growing(first: float, length: float) -> np.ndarray:
    """Return breaks from 0 to a length: intervals that start near ``first`` and grow by a fixed factor."""
    count = max(1, round(math.log1p(length / first * (_GROWTH - 1)) / math.log(_GROWTH)))
    breaks = np.concatenate([[0.0], np.cumsum(_GROWTH ** np.arange(count))])
    return length * (breaks / breaks[-1])


def _pull(groove: _Groove, C: np.ndarray, order: int) -> tuple[float, float]:
    """Return concentration and modulus ratio under a unit strain across the layers."""
    grid, circle = groove.mesh(order)
    x, nodes = grid.points, np.arange(len(grid.points))
    K = assemble(element_stiffness(x, grid.cells, order, C), grid.cells, len(x))
    eps = np.diag([0.0, 1.0])
    near = 1e-9 * groove.side
    middle = nodes[x[:, 0] < near]
    layers = nodes[(x[:, 1] < near) | (x[:, 1] > groove.side - near)]
    P = fold(
        len(x), [Tie(middle, middle, np.diag([-1.0, 1.0])), Tie(layers, layers, np.diag([1.0, -1.0]))], eps
    )
    u = (x @ eps).ravel()
    u -= P @ Factorised(P.T @ K @ P).solve(P.T @ (K @ u))
    force = u @ (K @ u) / groove.side
    field = strains(x, circle, order, [_SAMPLES, np.array([1.0])])
    sig = (C @ field.B @ u.reshape(-1, 2)[circle].reshape(len(circle), 1, -1, 1))[..., 0]
    peak = (sig[..., 1] + sig[..., 2]) / 2 + np.hypot((sig[..., 1] - sig[..., 2]) / 2, sig[..., 3])
    return float(peak.max() / (force / groove.root)), float(force / groove.half_width / C[2, 2] / _lateral(C))


def _lateral(C: np.ndarray) -> float:
    """Return the plane-strain modulus across the layers with free sides, over C33."""
    return float(1 - C[1, 2] ** 2 / (C[1, 1] * C[2, 2]))


def contact_area(
    lower: Polygon | MultiPolygon, upper: Polygon | MultiPolygon, bead: Bead, squeeze: float = 0.0
) -> float:
    """Return the welded area in mm^2 between two consecutive layers.

    The flats of a layer are its outline drawn in by (full width - flat width)/2. Gaps in an outline below ``squeeze``
    (mm) are taken as closed. Where beads lie a bead width apart, their outline is one: no groove is left inside.

    Parameters
    ----------
    lower, upper : Polygon or MultiPolygon
        Outlines of the two layers at full bead width, mm.
    bead : Bead
        For its full and flat widths.
    squeeze : float
        mm.
    """
    return float(contact(lower, upper, bead, squeeze).area)


def contact(
    lower: Polygon | MultiPolygon, upper: Polygon | MultiPolygon, bead: Bead, squeeze: float = 0.0
) -> Polygon | MultiPolygon:
    """Return where two consecutive layers are welded, see `contact_area`."""
    return flats_of(lower, bead, squeeze).intersection(flats_of(upper, bead, squeeze))


def flats_of(outline: Polygon | MultiPolygon, bead: Bead, squeeze: float) -> Polygon | MultiPolygon:
    """Return the flats of a layer outlined at full bead width (mm), gaps below ``squeeze`` (mm) closed."""
    _require_squeeze(squeeze)
    edge = (bead.full_width - bead.flat_width) / 2
    closed = shapely.buffer(outline, squeeze / 2, join_style="mitre")
    return shapely.buffer(closed, -squeeze / 2 - edge, join_style="mitre")


def _require_squeeze(squeeze: float) -> None:
    if not 0 <= squeeze < math.inf:
        raise InputError(f"squeeze is {squeeze!r} mm; it must be 0 or a positive number")


@lru_cache(maxsize=256)
def core_contact(infill: Infill, squeeze: float = 0.0) -> float:
    """Return the welded share of the plan area between the layers of a core whose layers differ.

    Where it differs from layer to layer, the smallest share is returned: it breaks first.

    Raises
    ------
    InputError
        If the pattern is the same in every layer.
    """
    cell = infill.cell()
    if isinstance(cell, LayeredCell):
        return layer_contact(cell, squeeze)
    if isinstance(cell, StackedCell):
        return stack_contact(cell, squeeze)
    raise InputError(
        f"'{infill.pattern.slug}' is the same in every layer; its beads weld over the flats of the stack cell"
    )


def layer_contact(cell: LayeredCell, squeeze: float = 0.0) -> float:
    """Return the welded share between the layers of a layered cell.

    Neighbouring beads closer than ``squeeze`` (mm) spread until they meet, and their flats with them.
    """
    _require_squeeze(squeeze)
    gap = cell.pitch - 2 * cell.section.half_width
    spread = gap / 2 if 0 < gap <= squeeze else 0.0
    flats = min(2 * (cell.section.half_flat + spread) / cell.pitch, 1.0)
    if len(cell.angles_deg) == 2:
        return flats**2
    return flats if cell.shift == 0 else max(2 * flats - 1, 0.0)


def stack_contact(cell: StackedCell, squeeze: float = 0.0) -> float:
    """Return the smallest welded share between consecutive layers of a stack of plans, first on last included."""
    period = shapely.box(0, 0, cell.period, cell.period)
    flats = [
        flats_of(plan, cell.bead, squeeze).intersection(period) for plan in cell.plans(cell.bead.full_width)
    ]
    following = flats[1:] + flats[:1]
    areas = shapely.area(
        shapely.intersection(np.array(flats, dtype=object), np.array(following, dtype=object))
    )
    return float(areas.min() / period.area)
