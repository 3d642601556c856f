"""Catalogue entries of nets of straight lines: everything follows from one period of the net."""

import math
from collections.abc import Callable
from functools import lru_cache

from shapely import LineString

from patterns.bead import Bead
from patterns.catalogue import Option, Pattern, Symmetry, register, settle
from patterns.cells.cell import PlanCell
from patterns.cells.net import Net
from patterns.cells.net_cell import net_cell
from patterns.cells.strokes import Box, repeat
from patterns.cells.voids import smallest_scale, void_area
from patterns.errors import InputError

LEAST_FILL = 0.01
"""Below it lines are a hundred widths apart: thinner than anybody prints, a needless burden on meshes."""

LEAST_RADIUS = 1e-3
"""Of the bead width: rounder corners than this, or sharp ones."""


def register_net(
    slug: str,
    build: Callable[..., Net],
    *,
    summary: str,
    pitch_means: str,
    axis_1: str,
    symmetry: Symmetry,
    options: tuple[Option, ...] = (),
) -> Pattern:
    """Register a prismatic pattern.

    Parameters
    ----------
    build : ``(**options) -> Net``
        The net at pitch 1 and angle 0. All options are given, checked one by one; `InputError` where they do
        not go together.
    slug, summary, pitch_means, axis_1, symmetry, options
        See `patterns.catalogue.Pattern`.
    """
    build = lru_cache(maxsize=64)(build)

    def net(given: dict) -> Net:
        return build(**settle(slug, options, given))

    def set_fill(width: float, pitch: float, **given: float) -> float:
        require_positive(slug, width=width, pitch=pitch)
        one = net(given)
        return one.line_length * width / (one.area * pitch)

    def pitch_for(width: float, set_fill: float, **given: float) -> float:
        require_positive(slug, width=width, set_fill=set_fill)
        one = net(given)
        return one.line_length * width / (one.area * set_fill)

    def geometric_fill(width: float, pitch: float, corner_radius: float, **given: float) -> float:
        require_positive(slug, width=width, pitch=pitch)
        require_radius(slug, corner_radius, width)
        one = net(given).turned(0, pitch)
        return 1 - sum(void_area(one.place(f), width, corner_radius) for f in one.faces) / one.area

    def fill_range(width: float, corner_radius: float, **given: float) -> tuple[float, float]:
        require_positive(slug, width=width)
        require_radius(slug, corner_radius, width)
        one = net(given)
        closest = max(smallest_scale(one.place(face), width, corner_radius) for face in one.faces)
        return reach(slug, one.line_length * width / (one.area * closest))

    def cell(
        bead: Bead, pitch: float, corner_radius: float, angle_deg: float = 0, **given: float
    ) -> PlanCell:
        require_positive(slug, pitch=pitch)
        require_radius(slug, corner_radius, bead.width)
        return net_cell(slug, net(given), bead, pitch, corner_radius, angle_deg)

    def lines(
        box: Box, pitch: float, angle_deg: float = 0, phase: float = 0, **given: float
    ) -> list[LineString]:
        require_positive(slug, pitch=pitch)
        one = net(given)
        return repeat(one.paths(), one.lattice, box, pitch, angle_deg, phase)

    return register(
        Pattern(
            slug=slug,
            kind="prismatic",
            summary=summary,
            pitch_means=pitch_means,
            axis_1=axis_1,
            symmetry=symmetry,
            set_fill=set_fill,
            pitch=pitch_for,
            geometric_fill=geometric_fill,
            fill_range=fill_range,
            options=options,
            cell=cell,
            lines=lines,
        )
    )


def reach(slug: str, highest: float) -> tuple[float, float]:
    """Return the range of set fills up to the highest that geometry allows, or raise `InputError` if it is empty."""
    if highest < LEAST_FILL:
        raise InputError(
            f"{slug}: with this corner radius and these options the lines meet at a fill of {highest:.2g} already; "
            f"the least fill is {LEAST_FILL:g}"
        )
    return LEAST_FILL, min(1.0, highest)


def require_positive(slug: str, **lengths: float) -> None:
    """Raise `InputError` unless every number given by name is positive and finite."""
    for name, value in lengths.items():
        if not (math.isfinite(value) and value > 0):
            raise InputError(f"{slug}: {name.replace('_', ' ')} is {value!r}; it must be a positive number")


def require_radius(slug: str, corner_radius: float, width: float) -> None:
    """Raise `InputError` unless a corner radius (mm) is zero or a sensible part of the bead width (mm)."""
    least = LEAST_RADIUS * width
    if not (corner_radius == 0 or least <= corner_radius < math.inf):
        raise InputError(
            f"{slug}: corner radius is {corner_radius!r} mm; it must be 0 (sharp corners) or at least {least:.2g} mm"
        )
