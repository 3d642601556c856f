"""Predictions for settings, tested or not: the estimate as the card has it beside what the beams make of it."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from fem.estimation import Estimate
from fem.tables import UNITS, html_table
from validation.gaussian import Predictive
from validation.predict.answers import Answers
from validation.predict.calibrated import Calibrated, CalibratedStudy, LeftOut
from validation.predict.interpolation import Position, position
from validation.statistics import Interval
from validation.study.estimates import estimate_all
from validation.study.study import NamedSetting, Study
from validation.text.mode_words import mode_words
from validation.text.numbers import band_text, bound_text, ranged, significant
from validation.text.output import CAUTIONS
from validation.text.quantities import NAMES

CONFIDENCE = 0.95
COVERAGE = 0.90


@dataclass(frozen=True)
class Foretold:
    """One quantity of one setting, in N, N/mm or g.

    Attributes
    ----------
    next_beam, mean : Interval
        For one further beam (of another build, where builds are told apart), and for the mean of very many.
    lower_bound : float
        What a share ``coverage`` of the beams exceeds with the intervals' confidence, one-sided.
    coverage : float
    measured : float or None
        Geometric mean of the setting's own beams at the study's size.
    n : int
        Their number.
    log_sd, beam_log_sd : float
        Standard deviations of the mean's logarithm, and of a beam's about it.
    """

    next_beam: Interval
    mean: Interval
    lower_bound: float
    coverage: float
    measured: float | None
    n: int
    log_sd: float
    beam_log_sd: float

    @classmethod
    def of(cls, found: Predictive, own: Sequence[float], confidence: float, coverage: float) -> "Foretold":
        """Return what is told of a quantity; ``own`` are the logarithms of the setting's beams."""

        def interval(n: float) -> Interval:
            low, high = found.band(n, confidence)
            return Interval(low, found.best, high, confidence).exp()

        return cls(
            next_beam=interval(1),
            mean=interval(math.inf),
            lower_bound=math.exp(found.lower_bound(coverage, confidence)),
            coverage=coverage,
            measured=math.exp(sum(own) / len(own)) if own else None,
            n=len(own),
            log_sd=found.log_sd,
            beam_log_sd=found.beam_log_sd,
        )


@dataclass(frozen=True)
class Predicted:
    """One setting as the beams have it.

    Attributes
    ----------
    named : NamedSetting
    estimate : Estimate
        Uncalibrated, with the card's values.
    told : dict of str to Foretold
        By quantity, measured ones only.
    mode, modes_N : str, dict
        Governing mode at the learned values, and the force of each mode in N (None where not evaluated).
    mode_seen : bool
        Whether a measured setting has the same governing mode.
    position : Position
        Between the measured settings or beyond them.
    left_out : dict of str to LeftOut
        The setting's own beams as predicted without them, by quantity; empty for an untested setting.
    beams : dict of str to int
        Beams behind each quantity's model.
    notes : tuple of str
        What the model does not hold for.
    """

    named: NamedSetting
    estimate: Estimate
    told: dict[str, Foretold]
    mode: str
    modes_N: dict[str, float | None]
    mode_seen: bool
    position: Position
    left_out: dict[str, LeftOut]
    beams: dict[str, int]
    notes: tuple[str, ...]

    def to_rows(self) -> list[dict[str, Any]]:
        """Return one row: what the beams say of each quantity, units in the keys, the estimate beside it."""
        row: dict[str, Any] = {"setting": self.named.label, **self.named.keys}
        for quantity, told in self.told.items():
            unit, band = UNITS[quantity], getattr(self.estimate, quantity)
            row |= {
                f"{quantity}_{unit}": told.mean.best,
                f"{quantity}_mean_low_{unit}": told.mean.low,
                f"{quantity}_mean_high_{unit}": told.mean.high,
                f"{quantity}_next_beam_low_{unit}": told.next_beam.low,
                f"{quantity}_next_beam_high_{unit}": told.next_beam.high,
                f"{quantity}_lower_bound_{unit}": told.lower_bound,
                f"{quantity}_estimated_{unit}": band.best if band else None,
                f"{quantity}_beams": told.n,
            }
        return [{**row, "mode": self.mode}]

    def _repr_html_(self) -> str:
        told = [
            [
                " ".join(NAMES[quantity]),
                ranged(one.mean.best, one.mean.low, one.mean.high),
                f"{significant(one.next_beam.low)} to {significant(one.next_beam.high)}",
                bound_text(one.lower_bound),
                band_text(band.as_dict() if (band := getattr(self.estimate, quantity)) else None),
                str(one.n),
            ]
            for quantity, one in self.told.items()
        ]
        notes = [f"Breaks by: {mode_words(self.mode)}.", *(f"note: {text}" for text in self.notes), *CAUTIONS]
        headings = ("", "mean (95 %)", "next beam (95 %)", "lower bound", "estimate (5 to 95 %)", "own beams")
        return html_table(headings, told, self.named.label, notes)


def predict_study(
    found: CalibratedStudy,
    asked: Study | None = None,
    changes: dict[str, Any] | None = None,
    quiet: bool = False,
) -> list[Predicted]:
    """Predict the settings of a calibrated study, and after them those of the same study with some keys changed.

    ``changes`` names the changed keys, for the labels; ``quiet`` keeps progress off standard error.
    """
    settings = [(row.named, row.estimate) for row in found.rows]
    if asked:
        named = [replace(one, keys={**(changes or {}), **one.keys}) for one in asked.settings]
        settings += list(zip(named, estimate_all(asked, quiet), strict=True))
    predicted = []
    for named_setting, estimate in settings:
        calibrated = found.calibration_for(estimate.setting.card)
        predicted.append(predict_setting(calibrated, named_setting, calibrated.answers_of(estimate)))
    return predicted


def predict_setting(
    calibrated: Calibrated,
    named: NamedSetting,
    answers: Answers,
    confidence: float = CONFIDENCE,
    coverage: float = COVERAGE,
) -> Predicted:
    """Predict one setting from the beams; its answers come from `Calibrated.answers_of`.

    ``confidence`` is that of the bands and of the lower bound, ``coverage`` the share of beams above that bound.
    """
    mode = answers.mode(calibrated.learned)
    own = any(named.setting == row.named.setting for row in calibrated.rows)
    return Predicted(
        named=named,
        estimate=answers.estimate,
        told=foretell(calibrated, answers, confidence, coverage),
        mode=mode,
        modes_N=answers.modes(calibrated.learned),
        mode_seen=mode in calibrated.modes,
        position=position(named.setting, [row.estimate.setting for row in calibrated.rows]),
        left_out={one.quantity: one for one in calibrated.by_setting if own and one.group == named.label},
        beams=calibrated.beams,
        notes=tuple(_notes(calibrated, named)),
    )


def foretell(
    calibrated: Calibrated, answers: Answers, confidence: float = CONFIDENCE, coverage: float = COVERAGE
) -> dict[str, Foretold]:
    """Return what the beams say of every measured quantity at a setting."""
    place = calibrated.place_of(answers)
    return {
        quantity: Foretold.of(
            calibrated.predict(place, quantity),
            [one.value for one in calibrated.readings if one.place is place and one.quantity == quantity],
            confidence,
            coverage,
        )
        for quantity in calibrated.beams
        if quantity in place.mean
    }


def median_error(left_out: Sequence[LeftOut], quantity: str) -> float | None:
    """Return the median size of measured / predicted - 1 of what was left out, None where nothing was."""
    errors = sorted(abs(one.ratio - 1) for one in left_out if one.quantity == quantity)
    if not errors:
        return None
    middle = len(errors) // 2
    return errors[middle] if len(errors) % 2 else (errors[middle - 1] + errors[middle]) / 2


def _notes(calibrated: Calibrated, named: NamedSetting) -> list[str]:
    """Return what the calibration holds for, and that it is a stranger to this material where it is."""
    found = [
        "the calibration holds for the printer, spool and dates of its beams; when one of them changes it is stale: "
        "break two or three beams anew"
    ]
    if told := calibrated.volume_note(named.setting):
        found.append(f"at {named.label}: {told}")
    if named.setting.card != calibrated.card:
        found.append(
            f"stale at {named.label}: calibrated on {calibrated.card.name}, asked of {named.setting.card.name}, "
            "of which no beam was broken"
        )
    return found
