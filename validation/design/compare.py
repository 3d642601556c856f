"""Fair comparisons: patterns at equal mass on a named load axis, and what one more of each choice buys.

All estimates share their draws of the material, so the ratio of two settings is known better than either: a tie is a
ratio that cannot be told from 1 over the material's ranges and the numerical error.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from fem.estimation import Estimate, with_fill
from fem.material.bands import Band
from fem.setting import Setting
from patterns.catalogue import CATALOGUE
from patterns.errors import FillbendError
from validation.design.equal_mass import TOLERANCE, at_mass
from validation.text.errors import error_words

Estimator = Callable[[Setting], Estimate]
QUANTITIES = ("stiffness", "breaking_force")
WALLS_ONLY = "walls only"
_NOT_BY_ITSELF = {
    "solid": "at one fill only, so seldom at the common mass",
    "parallel": "no load path across its lines",
    "sinusoidal": "no load path across its lines",
    "voronoi": "takes minutes",
    "gyroid": "takes minutes",
}
# Relative error of a ratio of two estimates besides that of their cells: two masses and two section meshes.
_NUMERICAL = 3 * TOLERANCE


@dataclass(frozen=True)
class PatternCandidate:
    """A pattern at the common mass, or the walls alone.

    Attributes
    ----------
    name : str
        Pattern, or `WALLS_ONLY`.
    setting : Setting or None
        None where the pattern cannot reach the mass.
    estimate : Estimate or None
        None before it is ranked, or where it cannot be estimated.
    reason : str
        Why not.
    ties : dict
        Quantity to the names of the patterns that it cannot be told from.
    """

    name: str
    setting: Setting | None
    estimate: Estimate | None = None
    reason: str = ""
    ties: dict[str, tuple[str, ...]] = field(default_factory=dict)


@dataclass(frozen=True)
class Gain:
    """What one more step of a choice changes: N/mm, N, g, min; ``reason`` says why it cannot be taken."""

    step: str
    stiffness: Band | None = None
    breaking_force: Band | None = None
    mass: float = 0.0
    print_time: float = 0.0
    reason: str = ""

    def per_gram(self, quantity: str) -> float | None:
        """Return the best gain of a quantity per gram, None where the step adds no mass."""
        band = getattr(self, quantity)
        return band.best / self.mass if band and self.mass > 0 else None

    def per_minute(self, quantity: str) -> float | None:
        """Return the best gain of a quantity per minute of print time, None where the step takes none."""
        band = getattr(self, quantity)
        return band.best / self.print_time if band and self.print_time > 0 else None


def load_axis(load_angle_deg: float) -> str:
    """Name the direction of the load in the section.

    Examples
    --------
    >>> load_axis(0), load_axis(90), load_axis(30)
    ('z (depth)', 'y (width)', '30 deg from z (depth)')
    """
    named = {0.0: "z (depth)", 90.0: "y (width)"}
    return named.get(load_angle_deg % 180, f"{load_angle_deg:g} deg from z (depth)")


def default_patterns() -> list[str]:
    """Return the patterns that have a cell, carry in both directions of a layer and are quick to solve."""
    return [slug for slug in sorted(CATALOGUE) if not _why_not(slug)]


def patterns_of(settings: Iterable[Setting]) -> list[str]:
    """Return the patterns to rank for some settings: theirs where they vary it, else theirs beside the default ones."""
    own = list(dict.fromkeys(setting.core.pattern for setting in settings))
    return own if len(own) > 1 else sorted({*own, *default_patterns()})


def left_out(ranked: Iterable[str], varied: bool) -> dict[str, list[str]]:
    """Return the patterns that are not ranked, by the reason why.

    Parameters
    ----------
    ranked : iterable of str
        Patterns that are.
    varied : bool
        Whether these are those that the study varies.
    """
    found: dict[str, list[str]] = {}
    for slug in sorted(set(CATALOGUE) - set(ranked)):
        reason = "not varied by the study" if varied else _why_not(slug) or "not asked for"
        found.setdefault(reason, []).append(slug)
    return found


def _why_not(slug: str) -> str:
    """Return why a pattern is not ranked unless asked for, nothing for the others."""
    if not CATALOGUE[slug].periodic:
        return "no cell of its own"
    return _NOT_BY_ITSELF.get(slug, "")


def candidates(setting: Setting, patterns: Sequence[str], mass: float) -> list[PatternCandidate]:
    """Return each pattern at ``mass`` (g), or why it cannot have it, and the walls alone."""
    found = []
    for pattern in patterns:
        try:
            found.append(PatternCandidate(pattern, at_mass(setting, pattern, mass)))
        except FillbendError as error:
            found.append(PatternCandidate(pattern, None, reason=error_words(error)))
    return [*found, PatternCandidate(WALLS_ONLY, with_fill(setting, 0.0))]


def rank(
    found: Sequence[PatternCandidate], load_angle_deg: float, estimate: Estimator
) -> list[PatternCandidate]:
    """Return the candidates under a load direction: the stiffest pattern first, then the walls alone, then the rest."""
    tried = [_estimated(item, load_angle_deg, estimate) for item in found]
    solved = [item for item in tried if item.estimate and item.name != WALLS_ONLY]
    solved.sort(key=lambda item: -_best(item, "stiffness"))
    ranked = [replace(item, ties={q: _ties(item, solved, q) for q in QUANTITIES}) for item in solved]
    walls = [item for item in tried if item.estimate and item.name == WALLS_ONLY]
    return ranked + walls + [item for item in tried if item.estimate is None]


def told_reason(item: PatternCandidate) -> str:
    """Return why a candidate is not ranked, with its name once."""
    return item.reason if item.name in item.reason.split() else f"{item.name}: {item.reason}"


def winner(ranked: Sequence[PatternCandidate], quantity: str) -> PatternCandidate | None:
    """Return the pattern with the largest best value of a quantity, None where it is unknown of all."""
    known = [item for item in ranked if item.name != WALLS_ONLY and _best(item, quantity) > 0]
    return max(known, key=lambda item: _best(item, quantity), default=None)


def tied(one: Estimate, other: Estimate, quantity: str) -> bool:
    """Return whether the 5 % to 95 % range of the ratio of two estimates, widened by numerical error, holds 1."""
    if getattr(one, quantity) is None or getattr(other, quantity) is None:
        return False
    ratio = one.draws[quantity] / other.draws[quantity]
    ends = [*np.quantile(ratio, [0.05, 0.95]), getattr(one, quantity).best / getattr(other, quantity).best]
    error = _NUMERICAL + sum(found.core.relative_error for found in (one, other) if found.core)
    return bool(min(ends) <= 1 + error and max(ends) >= 1 - error)


def _estimated(item: PatternCandidate, load_angle_deg: float, estimate: Estimator) -> PatternCandidate:
    if item.setting is None:
        return item
    setting = replace(item.setting, test=replace(item.setting.test, load_angle_deg=load_angle_deg))
    try:
        return replace(item, setting=setting, estimate=estimate(setting))
    except FillbendError as error:
        return replace(item, reason=error_words(error))


def _best(item: PatternCandidate, quantity: str) -> float:
    band = getattr(item.estimate, quantity) if item.estimate else None
    return band.best if band else 0.0


def _ties(item: PatternCandidate, others: Iterable[PatternCandidate], quantity: str) -> tuple[str, ...]:
    assert item.estimate is not None
    return tuple(
        other.name
        for other in others
        if other.name != item.name and other.estimate and tied(item.estimate, other.estimate, quantity)
    )


def steps(setting: Setting) -> dict[str, Setting]:
    """Return the setting with one more of each choice that it has."""
    printing, core = setting.printing, setting.core
    both = {"bottom_layers": printing.bottom_layers + 1, "top_layers": printing.top_layers + 1}
    wider = replace(printing.bead, width=1.1 * printing.bead.width)
    more = min(core.set_fill + 0.10, 1.0)
    found = {
        "+1 wall": replace(setting, printing=replace(printing, walls=printing.walls + 1)),
        # the checker does not follow names of fields in a mapping
        "+1 face layer on both sides": replace(setting, printing=replace(printing, **both)),  # type: ignore[arg-type]
        "bead wider by a tenth": replace(setting, printing=replace(printing, bead=wider)),
    }
    if more > core.set_fill:
        found[f"+{100 * (more - core.set_fill):.0f} points of fill"] = with_fill(setting, more)
    return found


def gains(setting: Setting, estimate: Estimator) -> list[Gain]:
    """Return what one more step of each choice buys: the most force (or else stiffness) per gram first."""
    base = estimate(setting)
    found = []
    for step, changed in steps(setting).items():
        try:
            found.append(_gain(step, estimate(changed), base))
        except FillbendError as error:
            found.append(Gain(step, reason=error_words(error)))
    quantity = "breaking_force" if base.breaking_force else "stiffness"
    return sorted(found, key=lambda gain: (bool(gain.reason), -(gain.per_gram(quantity) or -np.inf)))


def _gain(step: str, other: Estimate, base: Estimate) -> Gain:
    return Gain(
        step=step,
        stiffness=_difference(other, base, "stiffness"),
        breaking_force=_difference(other, base, "breaking_force"),
        mass=other.mass.best - base.mass.best,
        print_time=other.print_time.best - base.print_time.best,
    )


def _difference(other: Estimate, base: Estimate, quantity: str) -> Band | None:
    after, before = getattr(other, quantity), getattr(base, quantity)
    if after is None or before is None:
        return None
    return Band.of(after.best - before.best, other.draws[quantity] - base.draws[quantity])
