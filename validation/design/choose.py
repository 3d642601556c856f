"""Which settings carry a load within a deflection: the lightest or the quickest first, with what limits each."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from fem.estimation import Estimate, with_fill
from fem.setting import Setting
from validation.predict.calibrated import CalibratedStudy
from validation.predict.interpolation import Position, position
from validation.predict.prediction import COVERAGE, Foretold, foretell
from validation.results.estimates import setting_dict
from validation.study.study import NamedSetting

FILL = "core.set_fill"
# Fills are searched between the study's own to this step.
FILL_STEP = 0.01


@dataclass(frozen=True)
class Demand:
    """What is asked for: a load in N, the deflection in mm it may cause (None for any), and how sure to be."""

    load: float
    deflection: float | None
    confidence: float

    @property
    def stiffness(self) -> float:
        """Stiffness needed, N/mm."""
        return self.load / self.deflection if self.deflection else 0.0


@dataclass(frozen=True)
class JudgedSetting:
    """One setting against the demand.

    Attributes
    ----------
    named : NamedSetting
    estimate : Estimate
    force, stiffness : float or None, float
        Lower bounds at the demand's confidence, N and N/mm; no force where no mode could be evaluated.
    mass, print_time : float
        Best values, g and min.
    mode : str
        Governing failure mode.
    margin : float
        The smaller of bound over need of both; at least 1 where the setting meets the demand.
    limit : str
        "breaking force" or "deflection", whichever has the smaller margin.
    position : Position or None
        Among the calibrated settings; None without a calibration.
    told : dict of str to Foretold
        What the beams say of each measured quantity; empty without any.
    """

    named: NamedSetting
    estimate: Estimate
    force: float | None
    stiffness: float
    mass: float
    print_time: float
    mode: str
    margin: float
    limit: str
    position: Position | None
    told: dict[str, Foretold]

    @property
    def meets(self) -> bool:
        """Whether both bounds reach what is asked for."""
        return self.margin >= 1


class Judge:
    """Holds settings against a demand, by the calibration where there is one, else by the card's ranges alone."""

    def __init__(
        self, demand: Demand, estimate: Callable[[Setting], Estimate], calibrated: CalibratedStudy | None
    ) -> None:
        self.demand, self.estimate, self.calibrated = demand, estimate, calibrated

    def __call__(self, named: NamedSetting, found: Estimate | None = None) -> JudgedSetting:
        """Return how one setting stands."""
        found = found or self.estimate(named.setting)
        force, stiffness = self._uncalibrated(found)
        told: dict[str, Foretold] = {}
        mode, place = found.mode, None
        if self.calibrated:
            told, mode, place = self._calibrated(self.calibrated, found)
            force = told["breaking_force"].lower_bound if "breaking_force" in told else force
            stiffness = told["stiffness"].lower_bound if "stiffness" in told else stiffness
        strong = (force or 0.0) / self.demand.load
        stiff = stiffness / self.demand.stiffness if self.demand.stiffness else np.inf
        return JudgedSetting(
            named=named,
            estimate=found,
            force=force,
            stiffness=stiffness,
            mass=told["mass"].mean.best if "mass" in told else found.mass.best,
            print_time=found.print_time.best,
            mode=mode,
            margin=float(min(strong, stiff)),
            limit="breaking force" if strong <= stiff else "deflection",
            position=place,
            told=told,
        )

    def _calibrated(
        self, study: CalibratedStudy, found: Estimate
    ) -> tuple[dict[str, Foretold], str, Position]:
        """Return what the beams say, the governing mode and the place."""
        calibrated = study.calibration_for(found.setting.card)
        answers = calibrated.answers_of(found)
        return (
            foretell(calibrated, answers, self.demand.confidence, COVERAGE),
            answers.mode(calibrated.learned),
            position(found.setting, [row.estimate.setting for row in calibrated.rows]),
        )

    def _uncalibrated(self, found: Estimate) -> tuple[float | None, float]:
        """Return the points of the estimate's draws that the demand's confidence leaves above."""
        low = 1 - self.demand.confidence
        force = float(np.quantile(found.draws["breaking_force"], low)) if found.breaking_force else None
        return force, float(np.quantile(found.draws["stiffness"], low))


def choose(
    settings: Sequence[tuple[NamedSetting, Estimate]], judge: Judge, quickest: bool = False
) -> list[JudgedSetting]:
    """Return every setting against the demand: those that meet it first, lightest (or quickest) first.

    Where settings differ in fill alone, fills between the lowest that meets and its neighbour below are tried too, to a
    hundredth, as long as they may come out ahead.
    """

    def cost(choice: JudgedSetting) -> float:
        return choice.print_time if quickest else choice.mass

    choices = [judge(named, found) for named, found in settings]
    best = min((cost(choice) for choice in choices if choice.meets), default=np.inf)
    for series in _fill_series(choices):
        place = next((k for k, choice in enumerate(series) if choice.meets), 0)
        if place == 0 or cost(series[place - 1]) >= best:
            continue
        between = _refine(series[place - 1], series[place], judge)
        choices += between
        best = min([best, *(cost(choice) for choice in between if choice.meets)])
    return sorted(
        choices, key=lambda choice: (not choice.meets, cost(choice) if choice.meets else -choice.margin)
    )


def _fill_series(choices: Sequence[JudgedSetting]) -> list[list[JudgedSetting]]:
    """Return the settings that differ in set fill alone, by rising fill."""
    groups: dict[str, list[JudgedSetting]] = {}
    for choice in choices:
        keys = choice.named.keys
        if FILL in keys:
            rest = repr({key: value for key, value in keys.items() if key != FILL})
            groups.setdefault(rest, []).append(choice)
    return [sorted(group, key=lambda choice: choice.named.setting.core.set_fill) for group in groups.values()]


def _refine(fails: JudgedSetting, meets: JudgedSetting, judge: Judge) -> list[JudgedSetting]:
    """Return the fills tried between two neighbours, halving the gap where the margin passes 1."""
    tried = []
    low, high = (choice.named.setting.core.set_fill for choice in (fails, meets))
    while high - low > 1.5 * FILL_STEP:
        middle = round((low + high) / 2, 2)
        named = NamedSetting({**meets.named.keys, FILL: middle}, with_fill(meets.named.setting, middle))
        choice = judge(named)
        tried.append(choice)
        low, high = (low, middle) if choice.meets else (middle, high)
    return tried


def choice_dict(choice: JudgedSetting) -> dict[str, Any]:
    """Return a choice for the JSON output."""
    return {
        "setting": setting_dict(choice.named),
        "meets": choice.meets,
        "margin": choice.margin,
        "limited_by": choice.limit,
        "mode": choice.mode or None,
        "breaking_force_lower_bound_N": choice.force,
        "stiffness_lower_bound_N_per_mm": choice.stiffness,
        "mass_g": choice.mass,
        "print_time_min": choice.print_time,
        "measured": {
            quantity: {"mean": told.measured, "n": told.n, "predicted": told.mean.best}
            for quantity, told in choice.told.items()
            if told.n
        },
        "position": choice.position
        and {"kind": choice.position.kind, "reasons": list(choice.position.reasons)},
    }
