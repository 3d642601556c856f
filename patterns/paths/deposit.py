"""What a printed beam is made of: deposited length, volume and moves per role, from its layers' paths."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from shapely import LineString

from patterns.outlines.layout import Layout
from patterns.paths.layer_paths import core_lengths, layer_paths

Role = Literal["wall", "face", "core"]
ROLES: tuple[Role, ...] = ("wall", "face", "core")
_CORNER = np.cos(np.deg2rad(30))
"""Cosine of the turn above which a printer is taken to stop; gentler turns are run through."""


@dataclass(frozen=True)
class Moves:
    """Moves from rest to rest, with and without deposit: lengths (n,) in mm and how often each, (n,)."""

    lengths: np.ndarray
    counts: np.ndarray


@dataclass(frozen=True)
class Deposit:
    """Sums over all layers of a build.

    Attributes
    ----------
    length : mapping from role to float
        Deposited centre-line in mm. Where the lines of a pattern cross, both count: the plastic is laid
        twice. Of the core, the mean over the phases at which its lines may lie.
    core_lengths : tuple of float
        Of the core at each of these phases; one number where the phase is known, none without a core.
    moves : mapping from role to Moves
        All moves, those between two lines included.
    bead_area : float
        w x t in mm^2.
    layers : int
    core_space : float
        Volume between walls and faces, mm^3.
    """

    length: Mapping[Role, float]
    moves: Mapping[Role, Moves]
    bead_area: float
    layers: int
    core_space: float
    core_lengths: tuple[float, ...] = ()

    @property
    def volume(self) -> dict[Role, float]:
        """Deposited volume by role in mm^3."""
        return {role: length * self.bead_area for role, length in self.length.items()}

    @property
    def segments(self) -> int:
        """Moves from rest to rest in the whole build."""
        return int(sum(moves.counts.sum() for moves in self.moves.values()))

    def mass(self, density: float) -> float:
        """Return the mass in g of bead material of ``density`` g/cm^3."""
        return density * sum(self.volume.values()) / 1000


def deposit(layout: Layout) -> Deposit:
    """Return what the layers of a layout deposit.

    Walls count by the centre-line of each bead, the core by its traced lines, overlap included; lines that never cross
    lay no more than their area holds. Faces are solid: their raster is traced, and its flow set so that the area is
    just filled (length = area / w).

    Examples
    --------
    >>> from patterns.bead import Bead
    >>> from patterns.outlines.layout import lay_out
    >>> from patterns.setting import Core, Printing, Specimen
    >>> bar = Specimen("rectangle", width=10, depth=4, length=80)
    >>> solid = lay_out(bar, Printing("flat", Bead(0.5), 2, 10, 10), Core("square", 0.3))
    >>> round(deposit(solid).mass(density=1.25), 6)     # 3.2 cm^3
    4.0
    """
    if layout.specimen.is_bulk:
        return _bulk(layout)
    width, height = layout.printing.bead.width, layout.printing.bead.height
    length: dict[Role, float] = dict.fromkeys(ROLES, 0.0)
    moves: dict[Role, list[tuple[np.ndarray, int]]] = {role: [] for role in ROLES}
    core_space = 0.0
    for plan, numbers in layer_paths(layout):
        n = len(numbers)
        length["wall"] += n * (sum(ring.length for ring in plan.wall) + plan.squeezed_area / width)
        length["face"] += n * plan.face_area / width
        core_space += n * plan.core_area * height
        moves["wall"].append((rest_to_rest(plan.wall), n))
        moves["face"].append((rest_to_rest(plan.face), n))
        moves["core"].append((rest_to_rest(plan.core), n))
    at_phases = core_lengths(layout, layout.phases)
    length["core"] = float(at_phases.mean()) if len(at_phases) else 0.0
    return Deposit(
        length,
        {role: _counted(parts) for role, parts in moves.items()},
        layout.printing.bead.area,
        layout.layers,
        core_space,
        tuple(at_phases.tolist()),
    )


def _bulk(layout: Layout) -> Deposit:
    """Return the volume of a beam that is not printed, as so much bead; nothing moves."""
    area = layout.printing.bead.area
    length: dict[Role, float] = dict.fromkeys(ROLES, 0.0)
    length["wall"] = layout.outline.area * layout.specimen.length / area
    return Deposit(length, {role: _counted([]) for role in ROLES}, area, 0, 0.0)


def rest_to_rest(lines: Sequence[LineString]) -> np.ndarray:
    """Return the lengths (mm) of the moves that lay these lines in order, then of those between the lines."""
    if not lines:
        return np.zeros(0)
    points, line = shapely.get_coordinates(lines, return_index=True)
    step = np.diff(points, axis=0)
    run = np.linalg.norm(step, axis=1)
    within = line[1:] == line[:-1]
    cosine = np.einsum("ij,ij->i", step[1:], step[:-1]) / np.maximum(run[1:] * run[:-1], 1e-30)
    # A move starts with each line and at each corner; pieces between are run through without a stop.
    starts = np.concatenate([[True], (cosine < _CORNER) | ~within[1:] | ~within[:-1]])[within]
    laid = np.bincount(np.cumsum(starts) - 1, weights=run[within])
    return np.concatenate([laid, _hops(points, np.flatnonzero(~within))])


def _hops(points: np.ndarray, last: np.ndarray) -> np.ndarray:
    """Return the moves between lines, each next line taken from its nearer end.

    ``last`` are the numbers of the last point of each line but the final one.
    """
    if not len(last):
        return np.zeros(0)
    here = points[last[0]].tolist()
    starts = points[last + 1].tolist()
    ends = points[[*last[1:], len(points) - 1]].tolist()
    hops = []
    for start, end in zip(starts, ends, strict=True):
        to_start, to_end = math.dist(here, start), math.dist(here, end)
        hops.append(min(to_start, to_end))
        here = end if to_start <= to_end else start
    return np.array(hops)


def _counted(parts: list[tuple[np.ndarray, int]]) -> Moves:
    lengths = [part for part, _ in parts]
    counts = [np.full(len(part), n) for part, n in parts]
    return (
        Moves(np.concatenate(lengths), np.concatenate(counts)) if parts else Moves(np.zeros(0), np.zeros(0))
    )
