"""Fair comparisons: patterns at equal mass on a named load axis, and what one more of each choice buys.

All estimates share their draws of the material, so the ratio of two settings is known better than either: a tie is a
ratio whose 5 % to 95 % range holds 1.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.optimize import brentq

from fem.bands import Band
from fem.estimate import Estimate, with_fill
from fem.setting import Setting
from patterns.catalogue import CATALOGUE, find
from patterns.deposit import deposit
from patterns.errors import InputError
from patterns.layout import lay_out

Estimator = Callable[[Setting], Estimate]
QUANTITIES = ("stiffness", "breaking_force")


@dataclass(frozen=True)
class Candidate:
    """A pattern at the common mass.

    Attributes
    ----------
    name : str
        Pattern, or "walls only".
    estimate : Estimate or None
        None where the pattern cannot reach the mass.
    reason : str
        Why not.
    ties : dict
        Quantity to the names that it cannot be told from.
    """

    name: str
    estimate: Estimate | None
    reason: str = ""
    ties: dict[str, tuple[str, ...]] | None = None


@dataclass(frozen=True)
class Gain:
    """What one more step of a choice changes: N/mm, N, g, min."""

    step: str
    stiffness: Band
    breaking_force: Band | None
    mass: float
    print_time: float

    def per_gram(self, quantity: str) -> float | None:
        """Return the best gain of a quantity per gram."""
        band = getattr(self, quantity)
        return band.best / self.mass if band and self.mass > 0 else None

    def per_minute(self, quantity: str) -> float | None:
        """Return the best gain of a quantity per minute of print time."""
        band = getattr(self, quantity)
        return band.best / self.print_time if band and self.print_time > 0 else None


def mass_of(setting: Setting) -> float:
    """Return the mass of a setting in g, without solving anything."""
    laid = deposit(lay_out(setting.specimen, setting.printing, setting.core))
    return laid.mass(setting.card.density_g_cm3.best)


def at_mass(setting: Setting, pattern: str, mass: float) -> Setting:
    """Return the setting with another pattern, at the set fill that gives ``mass`` (g) to 0.1 %.

    Raises
    ------
    InputError
        If the pattern cannot reach the mass; the reachable range is told.
    """
    found = find(pattern)
    radius = setting.printing.bead.width / 4
    base = replace(setting, core=replace(setting.core, pattern=pattern, options=(), corner_radius=None))
    low, high = found.fill_range(setting.printing.bead.width, radius, **found.settle({}))
    low = max(low, 0.02)
    ends = [mass_of(with_fill(base, fill)) for fill in (low, high)]
    if not ends[0] <= mass <= ends[1]:
        raise InputError(f"{pattern} reaches {ends[0]:.3g} to {ends[1]:.3g} g, not {mass:.3g} g")
    fill = brentq(lambda f: mass_of(with_fill(base, f)) - mass, low, high, xtol=1e-4, rtol=1e-4)
    return with_fill(base, float(fill))


def rank(setting: Setting, patterns: Sequence[str], mass: float, estimate: Estimator) -> list[Candidate]:
    """Return patterns at equal mass, and the walls alone as a base line, the stiffest first."""
    found = []
    for pattern in patterns:
        try:
            found.append(Candidate(pattern, estimate(at_mass(setting, pattern, mass))))
        except InputError as error:
            found.append(Candidate(pattern, None, str(error)))
    solved = [item for item in found if item.estimate]
    solved.sort(key=lambda item: -item.estimate.stiffness.best)  # type: ignore[union-attr]
    ranked = [replace(item, ties={q: _ties(item, solved, q) for q in QUANTITIES}) for item in solved]
    walls = Candidate("walls only", estimate(with_fill(setting, 0.0)))
    return ranked + [walls] + [item for item in found if item.estimate is None]


def _ties(item: Candidate, others: Iterable[Candidate], quantity: str) -> tuple[str, ...]:
    return tuple(
        other.name
        for other in others
        if other.name != item.name and tied(item.estimate, other.estimate, quantity)  # type: ignore[arg-type]
    )


def tied(one: Estimate, other: Estimate, quantity: str) -> bool:
    """Return whether the 5 % to 95 % range of the ratio of two estimates holds 1."""
    low, high = np.quantile(one.draws[quantity] / other.draws[quantity], [0.05, 0.95])
    return bool(low <= 1 <= high)


def steps(setting: Setting) -> dict[str, Setting]:
    """Return the setting with one more of each choice."""
    printing, core = setting.printing, setting.core
    more_fill = min(core.set_fill + 0.10, 1.0)
    found = {
        "+1 wall": replace(setting, printing=replace(printing, walls=printing.walls + 1)),
        "+1 face layer on both sides": replace(
            setting,
            printing=replace(
                printing, bottom_layers=printing.bottom_layers + 1, top_layers=printing.top_layers + 1
            ),
        ),
        f"+{100 * (more_fill - core.set_fill):.0f} points of fill": with_fill(setting, more_fill),
        "bead wider by a tenth": replace(
            setting, printing=replace(printing, bead=replace(printing.bead, width=1.1 * printing.bead.width))
        ),
    }
    if more_fill == core.set_fill:
        found = {name: value for name, value in found.items() if "fill" not in name}
    return found


def gains(setting: Setting, base: Estimate, estimate: Estimator) -> list[Gain]:
    """Return what one more step of each choice buys, the most force (or stiffness) per gram first."""
    found = []
    for step, changed in steps(setting).items():
        try:
            other = estimate(changed)
        except InputError:
            continue  # the section has no room for it
        found.append(
            Gain(
                step=step,
                stiffness=_difference(other, base, "stiffness"),
                breaking_force=_difference(other, base, "breaking_force")
                if other.breaking_force and base.breaking_force
                else None,
                mass=other.mass.best - base.mass.best,
                print_time=other.print_time.best - base.print_time.best,
            )
        )
    return sorted(
        found, key=lambda gain: -(gain.per_gram("breaking_force") or gain.per_gram("stiffness") or 0)
    )


def _difference(other: Estimate, base: Estimate, quantity: str) -> Band:
    best = getattr(other, quantity).best - getattr(base, quantity).best
    return Band.of(best, other.draws[quantity] - base.draws[quantity])


def pareto(estimates: Sequence[Estimate], quantity: str) -> list[int]:
    """Return the places of the settings that no other beats in both mass and a quantity, lightest first."""
    known = [i for i, found in enumerate(estimates) if getattr(found, quantity)]
    known.sort(key=lambda i: (estimates[i].mass.best, -getattr(estimates[i], quantity).best))
    front, best = [], -np.inf
    for i in known:
        value = getattr(estimates[i], quantity).best
        if value > best:
            front.append(i)
            best = value
    return front


def knee(estimates: Sequence[Estimate], front: Sequence[int], quantity: str) -> int | None:
    """Return the place on a front farthest above its chord, both axes scaled to the chord; None below three points."""
    if len(front) < 3:
        return None
    x = np.array([estimates[i].mass.best for i in front])
    y = np.array([getattr(estimates[i], quantity).best for i in front])
    rise = (y - y[0]) / (y[-1] - y[0]) - (x - x[0]) / (x[-1] - x[0])
    at = int(np.argmax(rise))
    return front[at] if rise[at] > 0.05 else None


def default_patterns() -> list[str]:
    """Return the patterns that a section can hold and that are quick to solve."""
    return [slug for slug, pattern in sorted(CATALOGUE.items()) if pattern.kind in ("prismatic", "alternating")
            and slug not in ("solid", "voronoi", "parallel", "sinusoidal")]  # fmt: skip
