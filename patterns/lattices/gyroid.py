"""A gyroid as it is printed: in each layer the curve of the surface at mid-layer, one bead wide.

The surface is sin X cos Y + sin Y cos Z + sin Z cos X = 0 with X = 2 pi x / period and so on. At a height Z its
curves are two waves per period: along axis 1 where |sin Z| < 1/sqrt(2), along axis 2 elsewhere.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely
from scipy.special import roots_legendre
from shapely import LineString

from patterns.bead import Bead
from patterns.cells.stack import Motion, StackedCell
from patterns.cells.strokes import Box, Stroke, repeat
from patterns.errors import InputError
from patterns.kinds.checks import LEAST_FILL, require_positive
from patterns.kinds.varying import VaryingPattern

_STEPS = 192  # per wave
_CLOSEST = 0.354  # of the period: distance of neighbouring waves at Z = 0, cos(45 deg) / 2
_HEIGHTS = 12  # sampled for the covered area, over an eighth of the period: the rest repeats it, turned


def _waves(height: float, steps: int = _STEPS) -> list[Stroke]:
    """Return both waves of one period at a height, everything at period 1."""
    Z = 2 * np.pi * height
    s, c = np.sin(Z), np.cos(Z)
    along_1 = s * s <= 0.5
    run = np.linspace(0, 2 * np.pi, steps + 1)
    # a cos(q) + b sin(q) = d, where q is the coordinate across the wave
    a, b, d = (
        (np.sin(run), np.full_like(run, c), -s * np.cos(run))
        if along_1
        else (np.full_like(run, s), np.cos(run), -c * np.sin(run))
    )
    middle = np.unwrap(np.arctan2(b, a))
    half = np.arccos(np.clip(d / np.hypot(a, b), -1, 1))
    waves = []
    for across in (middle - half, middle + half):
        points = np.column_stack([run, across] if along_1 else [across, run]) / (2 * np.pi)
        waves.append(Stroke(points, (1, 0) if along_1 else (0, 1)))
    return waves


@lru_cache(maxsize=1)
def line_density() -> float:
    """Return the length of the curves per plan area, averaged over the height, for period 1."""
    # Heights crowd towards Z = pi/4, where the waves all but meet and bend sharply.
    nodes, weights = roots_legendre(20)
    s = (nodes + 1) / 2
    heights, weights = (1 - (1 - s) ** 3) / 8, weights / 2 * 3 * (1 - s) ** 2
    return float(weights @ [_length(height) for height in heights])


def _length(height: float) -> float:
    return sum(
        float(np.linalg.norm(np.diff(stroke.points, axis=0), axis=1).sum()) for stroke in _waves(height, 4096)
    )


@lru_cache(maxsize=512)
def _covered(width: float) -> float:
    heights = (np.arange(_HEIGHTS) + 0.5) / (8 * _HEIGHTS)
    unit = shapely.box(0, 0, 1, 1)
    around = (-0.2, -0.2, 1.2, 1.2)
    layers = [
        shapely.clip_by_rect(np.array(_curves(around, height), dtype=object), *around) for height in heights
    ]
    plans = [shapely.union_all(shapely.buffer(lines, width / 2, quad_segs=8)) for lines in layers]
    return float(np.mean(shapely.area(shapely.intersection(np.array(plans, dtype=object), unit))))


def _curves(box: Box, height: float) -> list[LineString]:
    """Return the curves of one layer that reach a box, at period 1."""
    return repeat(_waves(height), np.eye(2), box, 1.0)


# Of the symmetries of the surface, those that also map any odd number of equal layers onto itself.
_MOTIONS = tuple(
    Motion(signs, shift)
    for signs, shift in (
        ((1, 1, 1), (0, 0, 0)),
        ((1, 1, -1), (0, 4, 0)),
        ((1, -1, 1), (4, 0, 0)),
        ((1, -1, -1), (4, 4, 0)),
        ((-1, 1, 1), (4, 4, 0)),
        ((-1, 1, -1), (4, 0, 0)),
        ((-1, -1, 1), (0, 4, 0)),
        ((-1, -1, -1), (0, 0, 0)),
    )
)


@dataclass(frozen=True, kw_only=True)
class Gyroid(VaryingPattern):
    """Layers of two waves per period."""

    def one_period(self, **options: float) -> tuple[float, float]:
        """Return the length of the curves, averaged over the height, on a plan of one period by one."""
        self.settle(options)
        return line_density(), 1.0

    def geometric_fill(self, width: float, pitch: float, corner_radius: float, **options: float) -> float:
        """Return the covered plan area, averaged over the height."""
        require_positive(self.slug, width=width, pitch=pitch)
        self._require_room(width, pitch)
        return _covered(round(width / pitch, 12))

    def fill_range(self, width: float, corner_radius: float, **options: float) -> tuple[float, float]:
        """Return the fills from the least to the one at which neighbouring waves touch."""
        require_positive(self.slug, width=width)
        self.settle(options)
        return LEAST_FILL, line_density() * _CLOSEST

    def cell(
        self,
        bead: Bead,
        pitch: float,
        corner_radius: float = 0.0,
        angle_deg: float = 0.0,
        angles_deg: Sequence[float] | None = None,
        **options: float,
    ) -> StackedCell:
        """Return the layers of one period.

        Waves reconnect at odd eighths of the period. A layer right there joins the plan into a net, others miss it, so
        the stiffness depends on where layers meet these heights. An odd number of layers meets the four heights per
        half period at four evenly spread places, as a print does whose layers do not divide the period.
        """
        self._require_room(bead.width, pitch)
        layers = max(5, 2 * round((pitch / bead.height - 1) / 2) + 1)
        heights = (np.arange(layers) + 0.5) / layers
        return StackedCell(
            pattern=self.slug,
            bead=bead,
            period=pitch,
            angle_deg=angle_deg,
            layers=tuple(tuple(_curves((-0.5, -0.5, 1.5, 1.5), height)) for height in heights),
            layer_height=pitch / layers,
            set_fill=self.set_fill(bead.width, pitch, **options),
            motions=_MOTIONS,
            quarter_turn=True,
        )

    def lines(
        self,
        box: Box,
        pitch: float,
        angle_deg: float = 0.0,
        phase: float = 0.0,
        height: float = 0.0,
        **options: float,
    ) -> list[LineString]:
        """Return the curves of the layer whose middle is at a height."""
        require_positive(self.slug, pitch=pitch)
        self.settle(options)
        return repeat(_waves(height / pitch), np.eye(2), box, pitch, angle_deg, phase)

    def _require_room(self, width: float, pitch: float) -> None:
        if width > _CLOSEST * pitch:
            raise InputError(
                f"gyroid: a period of {pitch:.4g} mm leaves no room between beads {width:g} mm wide; "
                f"use at least {width / _CLOSEST:.4g} mm"
            )


PATTERN = Gyroid(
    slug="gyroid",
    summary="the triply periodic gyroid surface, one wavy bead wide in every layer",
    pitch_means="cubic period",
    axis_1="along a cube edge",
    symmetry="square",
)
