"""Cells whose layers differ: beads in one or two directions, stacked, with the real outline of each bead."""

import math
from dataclasses import dataclass

import numpy as np

from patterns.bead import Bead
from patterns.cells.strokes import rotation
from patterns.errors import InputError

_LEAST_CROSSING_DEG = 10.0  # flatter crossings shear the mesh beyond use, and nobody prints them
_TOUCH = 1e-9  # relative; closer sides are one


@dataclass(frozen=True)
class LayerSection:
    """Outline of a bead between its neighbours in one layer; mm.

    The bead is symmetric, so a quarter tells all: from the middle of its top the outline runs along the flat to
    ``half_flat``, down an arc of ``radius`` that leaves the flat smoothly, then down the side at ``half_width`` to
    mid-height. Where neighbours touch, their common side is as high as the end of the arc.

    Attributes
    ----------
    pitch, height : float
        Distance of neighbouring beads, and layer height.
    half_flat, radius, half_width : float
        See above. Radius 0 means square edges, with ``half_flat`` equal to ``half_width``.
    """

    pitch: float
    height: float
    half_flat: float
    radius: float
    half_width: float

    @property
    def touching(self) -> bool:
        """Whether neighbours of the same layer are joined at their sides."""
        return 2 * self.half_width >= self.pitch * (1 - _TOUCH) and self.side_height > _TOUCH * self.height

    @property
    def side_height(self) -> float:
        """Height of the straight side, over the whole bead: that of the weld between touching neighbours."""
        reach = self.half_width - self.half_flat
        drop = self.radius - math.sqrt(max(self.radius**2 - reach**2, 0.0))
        return self.height - 2 * drop

    @property
    def area(self) -> float:
        """Area of the whole bead between its sides."""
        reach = self.half_width - self.half_flat
        if reach > self.radius * (1 - _TOUCH):  # the arc sine would magnify round-off
            reach = self.radius
        under = self.height / 2 - self.radius
        cap = 0.0
        if self.radius:
            root = math.sqrt(self.radius**2 - reach**2)
            cap = (reach * root + self.radius**2 * math.asin(reach / self.radius)) / 2
        return 4 * (self.half_flat * self.height / 2 + under * reach + cap)

    @property
    def fill(self) -> float:
        """Bead area / (pitch x height)."""
        return self.area / (self.pitch * self.height)

    @property
    def full(self) -> bool:
        """Whether the layer has no voids."""
        return self.half_flat >= self.pitch / 2 * (1 - _TOUCH)


def conserving_section(bead: Bead, pitch: float) -> LayerSection:
    """Return the outline of beads that keep their deposited area whatever their distance.

    Apart, a bead is the free stadium. Closer than the full width, neighbours press flat sides on each other, and
    the four corners left over are rounded with r = sqrt((pitch - w) t / (4 - pi)): the radius that keeps the area
    w t. It is t/2 when they just touch and 0 at pitch w, where no void is left.

    Raises
    ------
    InputError
        If the pitch is below the bead width: more material than room.
    """
    w, t = bead.width, bead.height
    if pitch < w * (1 - 1e-9):
        raise InputError(
            f"beads {w:g} mm wide at a pitch of {pitch:g} mm overfill their layer; use at least {w:g} mm"
        )
    if bead.section == "square" or pitch <= w * (1 + _TOUCH):
        return LayerSection(pitch, t, w / 2, 0.0, w / 2)
    if pitch >= bead.full_width:
        return LayerSection(pitch, t, bead.flat_width / 2, t / 2, bead.full_width / 2)
    radius = math.sqrt((pitch - w) * t / (4 - math.pi))
    return LayerSection(pitch, t, pitch / 2 - radius, radius, pitch / 2)


def overlapping_section(height: float, pitch: float, overlap: float) -> LayerSection:
    """Return stadium outlines that overlap by some length, without any squeeze.

    Full width = pitch + overlap; what two outlines share is counted once, the voids keep their free shape. It is
    an upper bound on the voids, `conserving_section` a lower one. A negative overlap is a gap.

    Raises
    ------
    InputError
        If the overlap takes more than the round ends of the beads, or leaves no flats.
    """
    full = pitch + overlap
    if not -pitch < overlap < height:
        raise InputError(
            f"overlap is {overlap:g} mm; beads {height:g} mm high at a pitch of {pitch:g} mm take from "
            f"{height - pitch:.4g} mm (their flats vanish) to below {height:g} mm (no void left)"
        )
    if full <= height:
        raise InputError(
            f"overlap is {overlap:g} mm: beads {full:.4g} mm wide and {height:g} mm high have no flats; "
            f"use more than {height - pitch:.4g} mm"
        )
    return LayerSection(pitch, height, (full - height) / 2, height / 2, min(full, pitch) / 2)


@dataclass(frozen=True)
class LayeredCell:
    """One period of beads stacked in one or two directions.

    Attributes
    ----------
    pattern : str
        Slug of the pattern.
    bead : Bead
        Deposited bead.
    section : LayerSection
        Outline of the beads in every layer.
    angles_deg : tuple of float
        Directions of the layers in turn, from axis 1: one, or two that differ.
    shift : float
        How far every second layer of the same direction is moved across its lines, in pitches: 0 (in line) or 0.5.
    set_fill : float
        Bead width / pitch, per layer.
    geometric_fill : float
        Volume share of the beads.
    """

    pattern: str
    bead: Bead
    section: LayerSection
    angles_deg: tuple[float, ...]
    shift: float
    set_fill: float
    geometric_fill: float

    @property
    def pitch(self) -> float:
        """Line distance within a layer, mm."""
        return self.section.pitch

    @property
    def crossing_deg(self) -> float:
        """Angle from the first to the second direction, between 0 and 180; 0 with one direction."""
        return (self.angles_deg[-1] - self.angles_deg[0]) % 180

    @property
    def lattice(self) -> np.ndarray:
        """Rows are the period vectors of the plan (2, 2) in mm, anticlockwise.

        Beads in one direction repeat along it after any length; one pitch is given.
        """
        along = np.array([rotation(angle)[:, 0] for angle in self.angles_deg])
        if len(along) == 1:
            return self.pitch * np.array([along[0], rotation(90) @ along[0]])
        sine = along[0, 0] * along[1, 1] - along[0, 1] * along[1, 0]
        found: np.ndarray = self.pitch / abs(sine) * np.array([along[0], along[1] * np.sign(sine)])
        return found

    @property
    def contact_share(self) -> float:
        """Welded area between consecutive layers / plan area."""
        flats = 2 * self.section.half_flat / self.pitch
        if len(self.angles_deg) == 2:
            return flats**2
        return flats if self.shift == 0 else max(2 * flats - 1, 0.0)


def layered_cell(
    pattern: str, bead: Bead, section: LayerSection, angles_deg: tuple[float, ...], shift: float = 0.0
) -> LayeredCell:
    """Return the cell of layers whose directions take turns; equal directions are one.

    Raises
    ------
    InputError
        If the directions or the shift are not of the kinds above, or two directions cross too flatly.
    """
    if not 1 <= len(angles_deg) <= 2 or not all(math.isfinite(angle) for angle in angles_deg):
        raise InputError(f"{pattern}: angles {angles_deg}; give one or two finite angles in degrees")
    if shift not in (0.0, 0.5):
        raise InputError(f"{pattern}: shift is {shift!r}; layers lie in line (0) or half a pitch apart (0.5)")
    if len(angles_deg) == 2:
        crossing = (angles_deg[1] - angles_deg[0]) % 180
        flat = min(crossing, 180 - crossing)
        if flat < 1e-6:
            angles_deg = angles_deg[:1]
        elif flat < _LEAST_CROSSING_DEG:
            raise InputError(
                f"{pattern}: directions {angles_deg[0]:g} and {angles_deg[1]:g} degrees cross at {flat:.3g} degrees; "
                f"use at least {_LEAST_CROSSING_DEG:g}, or equal ones"
            )
    return LayeredCell(
        pattern=pattern,
        bead=bead,
        section=section,
        angles_deg=tuple(float(angle) for angle in angles_deg),
        shift=float(shift),
        set_fill=bead.width / section.pitch,
        geometric_fill=section.fill,
    )
