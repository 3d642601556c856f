"""Who comes first: measured where beams were broken, the tuned estimate else, and who cannot be told from the first."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from validation.design.choose import JudgedSetting
from validation.measured.reconcile import Row, Sample
from validation.report.grouping import spoken

FORCE, STIFFNESS, FORCE_PER_GRAM = "breaking_force", "stiffness", "force_per_gram"
# Settings nearer than this are not told apart without beams: repeats of one setting differ by as much (assumed).
_ALIKE = 0.03
_SIGMAS = 1.96
_LOW = 0.05


@dataclass(frozen=True)
class Standing:
    """One setting in one quantity; N, N/mm or N/g.

    Attributes
    ----------
    label : str
    value, low, high : float
        Measured mean where beams were broken, else the tuned or plain estimate; 95 % interval of the mean, or the
        estimate's 5 % and 95 % points; low and high are None for a single beam that tells no scatter.
    n : int
        Own beams behind the value.
    basis : str
        "measured", "tuned" or "estimated".
    beyond : bool
        Whether the tuned estimate lies beyond the broken settings.
    log_sd : float or None
        Standard deviation of the mean's logarithm, None where only draws tell.
    draws : ndarray
        Of the estimate; all settings share them, so that what they have in common cancels.
    """

    label: str
    value: float
    low: float | None
    high: float | None
    n: int
    basis: str
    beyond: bool
    log_sd: float | None
    draws: np.ndarray = field(repr=False, compare=False)

    def ahead_of(self, other: "Standing") -> bool:
        """Return whether what is known tells this setting's larger value from the other's."""
        ratio = self.value / other.value
        if self.log_sd is not None and other.log_sd is not None:
            return math.log(ratio) > _SIGMAS * math.hypot(self.log_sd, other.log_sd)
        if (
            self.draws.size
            and self.draws.size == other.draws.size
            and self.basis == other.basis == "estimated"
        ):
            ratio = min(ratio, float(np.quantile(self.draws / other.draws, _LOW)) + _ALIKE)
        return ratio > 1 + _ALIKE


def standings(rows: Sequence[Row], judged: Sequence[JudgedSetting], quantity: str) -> list[Standing]:
    """Return how the settings stand, the largest value first; those of which nothing is known are left out.

    Beams that could not be used to tune the estimate are not mixed with estimates: then only broken settings stand.
    """
    found = [_standing(row, choice, quantity) for row, choice in zip(rows, judged, strict=True)]
    known = [one for one in found if one]
    if any(one.basis == "measured" for one in known) and any(one.basis == "estimated" for one in known):
        known = [one for one in known if one.basis == "measured"]
    return sorted(known, key=lambda one: -one.value)


def _standing(row: Row, choice: JudgedSetting, quantity: str) -> Standing | None:
    if quantity == FORCE_PER_GRAM:
        force, mass = _standing(row, choice, FORCE), _standing(row, choice, "mass")
        return _per_gram(force, mass) if force and mass else None
    sample, told = _sample(row, quantity), choice.told.get(quantity)
    band = getattr(row.estimate, quantity)
    draws = np.asarray(row.estimate.draws.get(quantity, ()))
    beyond = choice.position is not None and not choice.position.inside
    label = spoken(row.named.label)
    if sample:
        ends = told.mean if told else sample.interval
        low, high = (ends.low, ends.high) if ends else (None, None)
        return Standing(
            label,
            sample.mean,
            low,
            high,
            sample.n,
            "measured",
            False,
            told.log_sd if told else _sd(sample),
            draws,
        )
    if told:
        mean = told.mean
        return Standing(label, mean.best, mean.low, mean.high, 0, "tuned", beyond, told.log_sd, draws)
    if band is None:
        return None
    return Standing(label, band.best, band.low, band.high, 0, "estimated", beyond, None, draws)


def _per_gram(force: Standing, mass: Standing) -> Standing:
    """Return force over mass; what mass adds to the interval is added on the logarithmic scale."""
    value = force.value / mass.value
    log_sd = None
    if force.log_sd is not None:
        log_sd = math.hypot(force.log_sd, mass.log_sd or 0.0)
    low = force.low / mass.value if force.low is not None else None
    high = force.high / mass.value if force.high is not None else None
    return Standing(
        force.label, value, low, high, force.n, force.basis, force.beyond, log_sd, force.draws / mass.value
    )


def _sample(row: Row, quantity: str) -> Sample | None:
    return {FORCE: row.force, STIFFNESS: row.stiffness, "mass": row.mass}[quantity]


def _sd(sample: Sample) -> float | None:
    return sample.sd / sample.mean / math.sqrt(sample.n) if sample.sd else None
