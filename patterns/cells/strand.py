"""Lines that do not cross: one wavy (or straight) bead per pitch, free on both sides."""

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.special import ellipe

from patterns.bead import Bead
from patterns.cells.cell import Line, PlanCell
from patterns.cells.planar import Curve, PeriodicPair, Planar, Region
from patterns.cells.strokes import rotation

_STEPS = 256  # per wave: a cubic through the points is then true to 1e-8 of the wavelength


@dataclass(frozen=True)
class Wave:
    """Centre-line y = amplitude sin(2 pi x / wavelength), both at pitch 1; straight at amplitude 0."""

    amplitude: float
    wavelength: float

    @property
    def steepness(self) -> float:
        """Largest slope q = 2 pi amplitude / wavelength."""
        return 2 * math.pi * self.amplitude / self.wavelength

    @property
    def stretch(self) -> float:
        """Path length / wavelength: (2/pi) sqrt(1 + q^2) E(q^2 / (1 + q^2)), complete elliptic integral."""
        q2 = self.steepness**2
        return float(2 / math.pi * math.sqrt(1 + q2) * ellipe(q2 / (1 + q2)))

    @property
    def tightest(self) -> float:
        """Smallest radius of curvature, on the crests."""
        return math.inf if self.amplitude == 0 else self.wavelength / (2 * math.pi * self.steepness)

    @property
    def gap(self) -> float:
        """Smallest distance between two neighbouring centre-lines.

        A common normal joins points of equal slope. They lie at x and -x from an inflection, for half way
        between the lines is a centre of symmetry.
        """
        from scipy.optimize import minimize_scalar

        if self.amplitude == 0:
            return 1.0

        def square(x: float) -> float:
            return (2 * x) ** 2 + (1 - 2 * self.amplitude * math.sin(2 * math.pi * x / self.wavelength)) ** 2

        grid = np.linspace(0, self.wavelength / 4, 201)
        near = grid[int(np.argmin([square(x) for x in grid]))]
        step = grid[1]
        best = minimize_scalar(square, bounds=(max(near - step, 0), near + step), method="bounded")
        return math.sqrt(min(best.fun, square(near), 1.0))

    def smallest_pitch(self, width: float, corner_radius: float) -> float:
        """Return the pitch (mm) at which beads touch or a bend is as tight inside as the corner radius."""
        return max(width / self.gap, (width / 2 + corner_radius) / self.tightest)

    def points(self, steps: int = _STEPS) -> tuple[np.ndarray, np.ndarray]:
        """Return points (n, 2) over one wave, from inflection to inflection, and unit normals to the left."""
        steps = steps if self.amplitude else 1
        x = np.linspace(0, self.wavelength, steps + 1)
        angle = 2 * math.pi * x / self.wavelength
        slope = self.steepness * np.cos(angle)
        normal = np.column_stack([-slope, np.ones_like(x)]) / np.sqrt(1 + slope**2)[:, None]
        return np.column_stack([x, self.amplitude * np.sin(angle)]), normal


def strand_cell(
    pattern: str, wave: Wave, bead: Bead, pitch: float, corner_radius: float, angle_deg: float
) -> PlanCell:
    """Return one wave of the bead, cut square at inflections; a straight bead is cut to one width.

    Straight beads at a pitch of one width make a full raster: there the sides are paired and neighbours join.
    """
    if wave.amplitude == 0:
        wave = Wave(0.0, bead.width / pitch)
    turn = rotation(angle_deg).T
    points, normal = wave.points()
    centre, offset = pitch * points @ turn, bead.width / 2 * normal @ turn
    right, left = centre - offset, centre + offset
    side: Literal["spline", "line"] = "spline" if wave.amplitude else "line"
    across = bead.width / 3
    inside = pitch * wave.tightest - bead.width / 2
    around = min(across, max(0.4 * inside, bead.width / 50))
    curves = (
        Curve(side, right, around),
        Curve("line", np.array([right[-1], left[-1]]), across),
        Curve(side, left, around),
        Curve("line", np.array([right[0], left[0]]), across),
    )
    lattice = pitch * np.diag([wave.wavelength, 1.0]) @ turn
    pairs = [PeriodicPair(2, 4, _pair(lattice[0]))]
    if wave.amplitude == 0 and pitch - bead.width <= 1e-9 * bead.width:
        pairs.append(PeriodicPair(3, 1, _pair(lattice[1])))
    fill = wave.stretch * bead.width / pitch
    beyond = np.concatenate([centre[:-1] - lattice[0], centre[:-1], centre + lattice[0]])
    return PlanCell(
        pattern=pattern,
        lattice=lattice,
        planar=Planar(curves, (Region((1, 2, -3, -4), tag=1),)),
        pairs=tuple(pairs),
        lines=(Line(beyond, bead.width),),
        bead_width=bead.width,
        corner_radius=corner_radius,
        pitch=pitch,
        set_fill=fill,
        geometric_fill=fill,
    )


def _pair(vector: np.ndarray) -> tuple[float, float]:
    x, y = vector.tolist()
    return x, y
