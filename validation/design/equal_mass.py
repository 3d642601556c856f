"""Settings of equal mass: the set fill that gives a beam a mass, met exactly by where the lines lie.

A section holds a whole number of lines, so its mass comes in steps as the fill rises; small ones in the mean over the
phases that an unknown one may have. Where these are too large, a phase is chosen that meets the mass; and where lines
cross the section from border to border, only their overlap with the walls is left to be changed.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from scipy.optimize import brentq

from fem.setting import Setting
from patterns.catalogue import find
from patterns.errors import InputError
from patterns.fill import default_corner_radius
from patterns.infill import UNKNOWN_PHASE
from patterns.outlines.layout import PHASES, lay_out
from patterns.paths.deposit import deposit
from patterns.setting import Core
from validation.text.numbers import significant

TOLERANCE = 1e-3
_SAME_FILL = 0.01
# Relative distances of the fill from a step at which lines still end beside the border, so that they may be moved.
_BESIDE = (1e-4, 0.01, 0.02, 0.04)
_LEAST_FILL = 0.02
_NEAR = 0.1  # another phase changes the fill by less than this part in all but the smallest sections


@dataclass(frozen=True)
class _Found:
    """A core that gives the wanted mass to ``error`` (relative)."""

    core: Core
    error: float


def mass_of(setting: Setting) -> float:
    """Return the mass of a setting in g, without solving anything."""
    return _masses(setting)(setting.core)


def at_mass(setting: Setting, pattern: str, mass: float) -> Setting:
    """Return the setting with a pattern (the setting's own or another) at a mass.

    An unknown phase stays so where the mean over all phases meets the mass. Otherwise, of the phases at which it can be
    met, the one is taken whose fill is nearest to the mean of all: neither lucky nor unlucky with its lines. Where no
    phase can, the lines end a little nearer to or deeper in the walls. A setting that has the
    mass already, at about that fill, stays as it is.

    Parameters
    ----------
    setting : Setting
        Walls, faces, test and material are kept.
    pattern : str
        Slug; another pattern than the setting's comes with its default options.
    mass : float
        g, met to 0.1 %.

    Raises
    ------
    InputError
        If the pattern cannot reach the mass; the range or the nearest mass is told.
    """
    core, masses = setting.core, _masses(setting)
    own_pattern = core.pattern == pattern
    if not own_pattern:
        core = replace(core, pattern=pattern, options=())
    reach = _reach(core, setting.printing.bead.width)
    if core.phase is None:
        mean = _at_phase(core, masses, mass, reach, None)
        if mean.error <= TOLERANCE:
            same = own_pattern and abs(masses(setting.core) / mass - 1) <= TOLERANCE
            return setting if same else replace(setting, core=mean.core)
        core = replace(core, phase=UNKNOWN_PHASE)
    found: list[_Found] = []
    phases = PHASES if find(pattern).phase_matters else 1
    for step in range(phases):
        shifted = replace(core, phase=((core.phase or 0.0) + step / phases) % 1)
        near = found[0].core.set_fill if found else None
        found.append(_at_phase(shifted, masses, mass, reach, near))
    middle = np.mean([item.core.set_fill for item in found])
    own = setting.core
    if own_pattern and abs(own.set_fill / middle - 1) <= _SAME_FILL:
        if abs(masses(own) / mass - 1) <= TOLERANCE:
            return setting
    met = [item.core for item in found if item.error <= TOLERANCE]
    if met:
        return replace(setting, core=min(met, key=lambda item: abs(item.set_fill - middle)))
    full = [item.core for item in found if item.core.set_fill in reach and _reads(masses(item.core), mass)]
    if full:
        # the end of the reach itself, typed as it is shown
        return replace(setting, core=min(full, key=lambda item: abs(masses(item) - mass)))
    nearest = [masses(item.core) for item in found]
    if min(nearest) > mass or max(nearest) < mass:
        raise InputError(_out_of_reach(pattern, mass, nearest, reach))
    width = setting.printing.bead.width
    met = [item for near in found for item in _by_overlap(near.core, masses, mass, width, reach)]
    if not met:
        best = min(nearest, key=lambda item: abs(item - mass))
        raise InputError(
            f"the lines of {pattern} come in steps here: {mass:.4g} g is missed; the nearest mass is {best:.4g} g"
        )
    return replace(setting, core=min(met, key=lambda item: abs(item.wall_overlap - own.wall_overlap)))


def _masses(setting: Setting) -> Callable[[Core], float]:
    """Return the mass in g by core; walls and faces stay."""
    # The length of a raster face is its area over the bead width at any angle; along the beam it has the fewest lines.
    printing = replace(setting.printing, face_angles_deg=(0.0,))
    layout = lay_out(setting.specimen, printing, setting.core)
    density = setting.card.density_g_cm3.best
    return lambda core: deposit(layout.with_core(core)).mass(density)


def _reach(core: Core, width: float) -> tuple[float, float]:
    pattern = find(core.pattern)
    radius = default_corner_radius(width) if core.corner_radius is None else core.corner_radius
    low, high = pattern.fill_range(width, radius, **pattern.settle(dict(core.options)))
    return max(low, _LEAST_FILL), high


def _at_phase(
    core: Core, masses: Callable[[Core], float], mass: float, reach: tuple[float, float], near: float | None
) -> _Found:
    """Return the core of the fill at which the mass crosses the wanted one, or of the nearer end of the reach.

    The crossing is first looked for around the fill ``near``, where there is one.
    """

    @cache
    def excess(fill: float) -> float:
        return masses(replace(core, set_fill=fill)) / mass - 1

    fill = None
    if near is not None:
        fill = _root(excess, max(reach[0], (1 - _NEAR) * near), min(reach[1], (1 + _NEAR) * near))
    if fill is None:
        fill = _root(excess, *reach)
    if fill is None:
        fill = min(reach, key=lambda end: abs(excess(end)))
    return _Found(replace(core, set_fill=fill), abs(excess(fill)))


def _by_overlap(
    core: Core, masses: Callable[[Core], float], mass: float, width: float, reach: tuple[float, float]
) -> list[Core]:
    """Return cores beside a step whose lines overlap the walls so much that the mass is met."""
    found = []
    for beside in (core.set_fill * (1 + sign * share) for share in _BESIDE for sign in (-1, 1)):
        moved = replace(core, set_fill=min(max(beside, reach[0]), reach[1]))

        def excess(overlap: float, moved: Core = moved) -> float:
            return masses(replace(moved, wall_overlap=overlap)) / mass - 1

        overlap = _root(excess, 0.0, width)
        if overlap is not None and abs(excess(overlap)) <= TOLERANCE:
            found.append(replace(moved, wall_overlap=overlap))
    return found


def _root(excess: Callable[[float], float], low: float, high: float) -> float | None:
    """Return where a function changes its sign between two ends, None if it does not."""
    if excess(low) * excess(high) > 0:
        return None
    return float(brentq(excess, low, high, xtol=1e-5, rtol=1e-5))


def _reads(mass: float, written: float) -> bool:
    """Return whether a mass reads as the one written, in the digits that tables show of masses."""
    return significant(mass) == significant(written)


def _out_of_reach(pattern: str, mass: float, nearest: Sequence[float], reach: tuple[float, float]) -> str:
    lowest = min(nearest) > mass
    end, fill = (min(nearest), reach[0]) if lowest else (max(nearest), reach[1])
    # as many digits as tell the two apart
    digits = next((digits for digits in (3, 4, 5) if f"{end:.{digits}g}" != f"{mass:.{digits}g}"), 6)
    side, compared = ("lowest", "more") if lowest else ("highest", "less")
    return f"{pattern} weighs {end:.{digits}g} g at its {side} fill, {fill:.3g}, {compared} than {mass:.{digits}g} g"
