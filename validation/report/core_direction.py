"""Young's modulus of the cores of a study by direction."""

from collections.abc import Sequence

import numpy as np

from fem.estimation import Estimate
from fem.material.direction import by_direction
from patterns.errors import InputError
from validation.report.polar import polar
from validation.report.style import SERIES, Picture

# The layer's axes 1 and 2 in each orientation, by the beam's own axes.
_BEAM_AXES = {
    "flat": ("x\nalong\nthe beam", "y, across the load"),
    "on_edge": ("x\nalong\nthe beam", "z, along the load"),
    "upright": ("y\nacross\nthe load", "z, along the load"),
}


def core_direction(estimates: Sequence[Estimate], invented: bool = False) -> Picture:
    """Return the cores' moduli by direction, one curve per pattern at its middle fill, tied to the beam's axes.

    Raises
    ------
    InputError
        If no setting has a core.
    """
    by_pattern: dict[tuple[str, float], list[Estimate]] = {}
    for found in estimates:
        if found.core is not None:
            core = found.setting.core
            by_pattern.setdefault((core.pattern, core.angle_deg), []).append(found)
    if not by_pattern:
        raise InputError("no setting has a core whose stiffness could be drawn")
    angles = np.arange(0.0, 180.0, 1.0)
    cells = {}
    for (pattern, turn), members in list(by_pattern.items())[: len(SERIES)]:
        middle = sorted(members, key=lambda found: found.geometric_fill)[len(members) // 2]
        assert middle.core is not None
        young = middle.setting.card.young_mpa.best
        name = f"{pattern}, geometric fill {middle.geometric_fill:.3g}" + (
            f", turned {turn:g}°" if turn else ""
        )
        cells[name] = by_direction(young * middle.core.stiffness, angles)
    orientations = {found.setting.printing.orientation for found in estimates if found.core is not None}
    axes = _BEAM_AXES[orientations.pop()] if len(orientations) == 1 else ("axis 1", "axis 2")
    pulled = " The beam is pulled along x, out of this plane." if "y" in axes[0] and "z" in axes[1] else ""
    return polar(
        cells,
        note=f"Each pattern at the middle of its fills; compare shapes, not sizes, unless fills agree.{pulled}",
        axes=axes,
        invented=invented,
    )
