"""One period of a flat or on-edge beam as boxes: every core line drawn layer by layer, or its core homogenised.

Axes are those of the print: 1 along the beam, 2 across it in the layer, 3 up. Grid planes lie on the layers and, where
they are few, on the borders of walls and core; lines that fall between planes fill boxes in part. The core's cell comes
from the same grid, lines at the same places between its planes, so that what boxes do wrong is wrong in both. Beads are
square-edged: only ratios of drawn to homogenised are meant to be used.
"""

import math
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
import shapely

from fem.beam.section_model import beads_of
from fem.material.bonded import laminate
from fem.material.stiffness import about_axis_3, isotropic, rotate
from fem.slices.box_body import Block
from fem.strength.criteria import Beam
from patterns.errors import InputError
from patterns.infill import Infill
from patterns.outlines.areas import Area, polygons
from patterns.outlines.layout import Role, to_stack
from patterns.paths.covered import covered

LONGEST_PERIODS = 8  # of the lattice, in steps along either vector: longer slices are refused
_ALIGNED = 1e-6  # of the step; lattice points this near an axis lie on it
_LEAST_SHARE = 0.02  # emptier boxes are left out
_MOST_BORDERS = 12  # more of them, as in round sections, are not made grid planes
_NEAR = 0.3  # of the spacing; a grid plane so near a border moves onto it


def period(infill: Infill) -> tuple[float, float]:
    """Return after what length along and across the beam the core's lines repeat, mm.

    Raises
    ------
    InputError
        If they do not within `LONGEST_PERIODS` steps of the pattern's lattice.
    """
    if not infill.pattern.periodic:
        raise InputError("lines that follow the outline have no period along the beam", key="core.pattern")
    lattice = infill.cell().lattice
    steps = np.arange(-LONGEST_PERIODS, LONGEST_PERIODS + 1)
    pairs = np.stack(np.meshgrid(steps, steps), axis=-1).reshape(-1, 2) @ lattice
    found = []
    for axis in (0, 1):
        on_axis = np.abs(pairs[:, 1 - axis]) < _ALIGNED * np.abs(lattice).max()
        ahead = pairs[on_axis & (pairs[:, axis] > _ALIGNED), axis]
        if not len(ahead):
            angles = ", ".join(f"{angle:g}" for angle in infill.angles_deg)
            raise InputError(
                f"lines at {angles} degrees do not "
                f"repeat along and across the beam within {LONGEST_PERIODS} steps of the pattern, so no slice of one "
                "period can be cut; multiples of 45 degrees do",
                key="core.angles_deg" if infill.pattern.takes_angles else "core.angle_deg",
            )
        found.append(float(ahead.min()))
    return found[0], found[1]


@dataclass(frozen=True)
class SliceGrid:
    """Boxes of one period of a beam whose layers are stacked across its length.

    Attributes
    ----------
    beam : Beam
        Layout and materials; the layout's phase places the lines.
    values : dict of str to float
        Card values.
    across : float
        Boxes wanted across a bead.
    sublayers : int
        Boxes in a layer's height.
    """

    beam: Beam
    values: dict[str, float]
    across: float
    sublayers: int = 1

    @cached_property
    def period(self) -> tuple[float, float]:
        """Length of the slice and width of the core's cell, mm."""
        return period(self._infill)

    @cached_property
    def _infill(self) -> Infill:
        infill = self.beam.layout.infill
        if infill is None:
            raise InputError("the core holds no lines, so a slice of the beam has no period")
        return infill

    @cached_property
    def counts(self) -> tuple[int, int]:
        """Boxes along the slice, and across the core's cell; fours, so that lines at all quarter phases lie alike."""
        edge = self.beam.layout.printing.bead.width / self.across
        along, across = (max(4, 4 * round(size / edge / 4)) for size in self.period)
        return along, across

    @cached_property
    def along(self) -> np.ndarray:
        """Grid planes along the beam, mm."""
        return np.linspace(0.0, self.period[0], self.counts[0] + 1)

    @cached_property
    def across_beam(self) -> np.ndarray:
        """Grid planes across the beam in the layer: whole spacings from the middle, moved onto near borders, mm."""
        spacing = self.period[1] / self.counts[1]
        corners = np.concatenate([shapely.get_coordinates(area)[:, 0] for area in self._areas.values()])
        fixed = np.unique(np.round(corners, 6))
        if len(fixed) > _MOST_BORDERS:
            fixed = fixed[[0, -1]]
        whole = spacing * np.arange(math.ceil(fixed[0] / spacing), math.floor(fixed[-1] / spacing) + 1)
        far = np.abs(whole[:, None] - fixed).min(axis=1) > _NEAR * spacing
        return np.sort(np.concatenate([fixed, whole[far]]))

    @cached_property
    def layers(self) -> np.ndarray:
        """Planes between the layers, mm."""
        layout = self.beam.layout
        _, low, _, high = to_stack(layout.outline, layout.printing.orientation).bounds
        return np.linspace(low, high, layout.layers + 1)

    @cached_property
    def _areas(self) -> dict[Role, Area]:
        """Zones in the plane across the beam: axis 2 and axis 3."""
        layout = self.beam.layout
        return {zone.role: to_stack(zone.area, layout.printing.orientation) for zone in layout.zones}

    @cached_property
    def _zones(self) -> dict[Role, np.ndarray]:
        """Share of each zone in each box (n_2, n_layers) of the plane across the beam."""
        return {role: _box_shares(area, self.across_beam, self.layers) for role, area in self._areas.items()}

    def _zone(self, role: Role) -> np.ndarray:
        empty = np.zeros((len(self.across_beam) - 1, len(self.layers) - 1))
        return self._zones.get(role, empty)

    @cached_property
    def _turns(self) -> int:
        return self._infill.layers_per_period

    @cached_property
    def materials(self) -> list[np.ndarray]:
        """Core lines, walls and each face layer's raster, print axes, MPa."""
        beam = self.beam
        lines = isotropic(beam.young, beam.poisson)
        if self._infill.pattern.alike:  # stacked bead on bead, see `CoreCell.stacked`
            lines = beads_of({**self.values, "across_bead_ratio": 1.0}, beam.weld.modulus_ratio)
        turns = [about_axis_3(np.radians(angle)) for angle in beam.layout.printing.face_angles_deg]
        return [lines, beam.beads, *(rotate(beam.beads, turn) for turn in turns)]

    def drawn(self) -> Block:
        """Return one period with every core line and every face layer drawn."""
        covers = [self._cover(turn, self.across_beam) for turn in range(self._turns)]
        core, face, angles = self._zone("core"), self._zone("face"), len(self.materials) - 2
        shares = np.zeros((2 + angles, self.counts[0], *core.shape))
        shares[1] = self._zone("wall")
        for k in range(core.shape[1]):
            shares[0, :, :, k] = covers[k % self._turns] * core[:, k]
            shares[2 + k % angles, :, :, k] = face[:, k]
        return self._block(shares, self.along, np.stack(self.materials))

    def homogenised(self, core_stiffness: np.ndarray) -> Block:
        """Return the same section with the core (6 x 6 in print axes, MPa) and the faces homogenised, one box long."""
        shares = np.stack([self._zone(role) for role in ("core", "wall", "face")])[:, None]
        smooth = [core_stiffness, self.materials[1], laminate(self.materials[2:])]
        return self._block(shares, self.along[:2], np.stack(smooth))

    def cell(self) -> Block:
        """Return one period of the core's lines along all axes, on the grid's spacing."""
        across = np.linspace(0.0, self.period[1], self.counts[1] + 1)
        covers = np.stack([self._cover(turn, across) for turn in range(self._turns)], axis=-1)
        up = (self.layers[1] - self.layers[0]) * np.arange(self._turns + 1)
        return Block(
            (self.along, across, self._up(up)),
            self._split(covers[None]),
            np.stack(self.materials[:1]),
            (True, True, True),
        )

    def _block(self, shares: np.ndarray, along: np.ndarray, materials: np.ndarray) -> Block:
        lines = (along, self.across_beam, self._up(self.layers))
        return Block(lines, self._split(shares), materials, (True, False, False))

    def _split(self, shares: np.ndarray) -> np.ndarray:
        """Return shares of layers cut into sublayers, nearly empty boxes emptied."""
        return np.repeat(np.where(shares < _LEAST_SHARE, 0.0, shares), self.sublayers, axis=-1)

    def _up(self, layers: np.ndarray) -> np.ndarray:
        """Return the planes of layers cut into sublayers."""
        steps = np.linspace(layers[:-1], layers[1:], self.sublayers, endpoint=False).T.ravel()
        return np.append(steps, layers[-1])

    def _cover(self, turn: int, across: np.ndarray) -> np.ndarray:
        """Return the share (n_1, n_2) of each box that the lines of one layer cover, as if the core had no end."""
        infill, margin = self._infill, 2 * max(self.period)
        frame = (self.along[0], across[0], self.along[-1], across[-1])
        around = shapely.box(frame[0] - margin, frame[1] - margin, frame[2] + margin, frame[3] + margin)
        area = covered(infill.lines(around, turn), infill.bead.width, infill.corner_radius)
        return _box_shares(area.intersection(shapely.box(*frame)), self.along, across)


def _box_shares(area: Area, first: np.ndarray, second: np.ndarray) -> np.ndarray:
    """Return the share of each box between planes along two axes (n_first, n_second) that an area covers."""
    found = np.zeros((len(first) - 1, len(second) - 1))
    low, high = second[:-1], second[1:]
    for i, (a, b) in enumerate(pairwise(first)):
        strips = polygons(area.intersection(shapely.box(a, second[0], b, second[-1])))
        for strip in strips:
            _, bottom, _, top = strip.bounds
            near = np.flatnonzero((low < top) & (high > bottom))
            boxes = shapely.box(a, low[near], b, high[near])
            found[i, near] += shapely.area(shapely.intersection(boxes, strip))
    result: np.ndarray = found / np.outer(np.diff(first), np.diff(second))
    return result
