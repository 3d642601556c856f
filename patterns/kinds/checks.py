"""What every pattern asks of lengths, corner radii and the reach of its fills."""

import math

from patterns.errors import InputError

LEAST_FILL = 0.01
"""Below it lines are a hundred widths apart: thinner than anybody prints, a needless burden on meshes."""

LEAST_RADIUS = 1e-3
"""Of the bead width: rounder corners than this, or sharp ones."""


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
