"""Plateau stresses of a core: the mean stress at which its lines collapse plastically, once per cell at unit yield."""

import numpy as np
import shapely

from fem.prismatic.collapse import Frame, plan_collapse, upward_collapse
from fem.prismatic.frame import drawn_box, frame_of
from patterns.cells.cell import PlanCell
from patterns.infill import Infill

_SHEAR = 3**-0.5  # yield stress in shear over that in tension (distortion energy)
_RECTANGLE = 1.5  # plastic over elastic moment of a rectangular bar


def prismatic_plateau(infill: Infill, cell: PlanCell) -> np.ndarray:
    """Return plateaus (6,) of a prismatic cell, Voigt order: of the frame of its lines, at most what geometry fills.

    Shears along axis 3 are per unit yield stress in shear, all others per unit yield stress. Where the lines are no
    frame (nothing holds them in a period), 0.
    """
    drawn = infill.lines(shapely.box(*drawn_box(cell.lattice)))
    frame = frame_of(drawn, cell.lattice, cell.bead_width)
    found = np.zeros(6) if frame is None else _of_frame(frame)
    found[2] = cell.geometric_fill
    return np.minimum(found, cell.geometric_fill)


def crossing_plateau(infill: Infill, fill: float, bars: np.ndarray | None) -> np.ndarray:
    """Return plateaus (6,) of lines that cross in turn from layer to layer; an estimate.

    In the layer: the frame of two families that share the height, joined by their welds, whose twisting moment (a
    square of the flats' width, plastic: s a^3/3, Nadai) caps the hinges. Along axis 3 the beads bend between their
    welds: 1.5 times the shear at first yield of their outer fibre. Upwards the flats press on each other.
    """
    bead, pitch = infill.bead, infill.pitch
    first, second = np.radians(infill.angles_deg[0]), np.radians(infill.angles_deg[-1])
    directions = np.array([[np.cos(a), np.sin(a)] for a in (first, second)])
    crossing = abs(np.sin(second - first))
    found = np.zeros(6)
    flat = bead.flat_width
    if crossing > 1e-6:
        bars_along = directions * pitch / crossing
        hinge = min(1.0, _SHEAR * flat**3 / 3 / (bead.width**2 * bead.height / 4))
        frame = Frame(
            pitch**2 / crossing, np.zeros((2, 2), dtype=int), bars_along, bead.width, np.zeros((2, 2)), hinge
        )
        found = _of_frame(frame) / 2  # each family has half of the height
    found[2] = (flat / pitch) ** 2 / max(crossing, 1e-6)
    found[3:5] = 1.0
    if bars is not None:
        with np.errstate(divide="ignore"):
            found[3:5] = np.minimum(_RECTANGLE / _SHEAR / bars[3:5], 1.0)
    return np.minimum(found, fill)


def stretched_plateau(stiffness: np.ndarray, nu: float, fill: float) -> np.ndarray:
    """Return plateaus (6,) of a cell of which only its stiffness at unit modulus is known; an estimate.

    Taken as stretching alike everywhere, it yields at the beads' own yield strain: its modulus over theirs. A cell that
    bends yields later than that, its strength falling slower with fill than its stiffness (Gibson and Ashby 1997, from
    memory).
    """
    S = np.linalg.inv(stiffness)
    found = 1 / np.diag(S)
    found[3:] *= 2 * (1 + nu)
    found[5] *= _SHEAR
    return np.minimum(found, fill)


def _of_frame(frame: Frame) -> np.ndarray:
    plan = [plan_collapse(frame, load) for load in np.eye(3)]
    up = [upward_collapse(frame, direction) for direction in np.eye(2)]
    return np.array([plan[0], plan[1], 0.0, up[1], up[0], plan[2]])
