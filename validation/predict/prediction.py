"""Predictions for settings, tested or not: the estimate as the card has it beside the estimate as the beams have it."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from fem.estimate import Estimate
from validation.calibration import Fitted, LeftOut, Prediction, predict
from validation.predict.answers import Answers
from validation.predict.calibrated import QUANTITIES, Calibrated, CalibratedStudy, Item
from validation.predict.interpolation import Position, position
from validation.results.estimates import estimate_dict
from validation.study.estimates import estimate_all
from validation.study.study import NamedSetting, Study

CONFIDENCE = 0.95
COVERAGE = 0.90


@dataclass(frozen=True)
class Predicted:
    """One setting, calibrated.

    Attributes
    ----------
    named : NamedSetting
    estimate : Estimate
        Uncalibrated, with the card's values.
    next_beam, mean : dict of str to Prediction
        For one further beam, and for the mean of very many; by quantity, calibrated ones only.
    mode, modes_N : str, dict
        Governing mode at the calibrated values, and the force of each mode in N (None where not evaluated).
    mode_seen : bool
        Whether a setting calibrated on has the same governing mode.
    position : Position
        Between the calibrated settings or beyond them.
    left_out : dict of str to LeftOut
        The setting's own beams as predicted without them, by quantity; empty for an untested setting.
    beams : dict of str to int
        Beams behind each quantity's calibration.
    notes : tuple of str
        What the calibration does not hold for.
    """

    named: NamedSetting
    estimate: Estimate
    next_beam: dict[str, Prediction]
    mean: dict[str, Prediction]
    mode: str
    modes_N: dict[str, float | None]
    mode_seen: bool
    position: Position
    left_out: dict[str, LeftOut]
    beams: dict[str, int]
    notes: tuple[str, ...]


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
    """Predict one setting from a calibration; its answers come from `Calibrated.answers_of`.

    ``confidence`` is that of the bands and of the lower bound, ``coverage`` the share of beams above that bound.
    """
    item, calibration = Item(answers), calibrated.calibration
    quantities = [
        q for q in QUANTITIES if q in calibration.errors and (q != "breaking_force" or answers.evaluated)
    ]
    mode = answers.mode(calibration.values)
    own = any(named.setting == row.named.setting for row in calibrated.rows)
    return Predicted(
        named=named,
        estimate=answers.estimate,
        next_beam={q: predict(calibration, item, q, 1, confidence, coverage) for q in quantities},
        mean={q: predict(calibration, item, q, math.inf, confidence, coverage) for q in quantities},
        mode=mode,
        modes_N=answers.modes(calibration.values),
        mode_seen=mode in calibrated.modes,
        position=position(named.setting, [row.estimate.setting for row in calibrated.rows]),
        left_out={one.quantity: one for one in calibrated.by_setting if own and one.group == named.label},
        beams=calibrated.beams,
        notes=tuple(_notes(calibrated, named)),
    )


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


def predicted_dict(one: Predicted) -> dict[str, Any]:
    """Return a prediction for the JSON output."""
    uncalibrated = estimate_dict(one.named, one.estimate)
    setting = uncalibrated.pop("setting")
    return {
        "setting": setting,
        "breaking_force_N": _quantity(one, "breaking_force"),
        "stiffness_N_per_mm": _quantity(one, "stiffness"),
        "mass_g": _quantity(one, "mass"),
        "print_time_min": one.estimate.print_time.as_dict(),
        "mode": one.mode or None,
        "modes_N": one.modes_N,
        "mode_seen_in_calibration": one.mode_seen,
        "notes": list(one.notes),
        "position": {"kind": one.position.kind, "reasons": list(one.position.reasons)},
        "uncalibrated": uncalibrated,
    }


def _quantity(one: Predicted, quantity: str) -> dict[str, Any] | None:
    if quantity not in one.next_beam:
        return None
    beam, mean = one.next_beam[quantity], one.mean[quantity]
    return {
        "best": beam.band.best,
        "next_beam": [beam.band.low, beam.band.high],
        "mean": [mean.band.low, mean.band.high],
        "confidence": beam.band.confidence,
        "lower_bound": beam.lower_bound,
        "lower_bound_coverage": beam.coverage,
        "n": one.beams[quantity],
        "log_sd": beam.parts,
        "degrees_of_freedom": beam.df,
        "left_out": left_out_dict(one.left_out[quantity]) if quantity in one.left_out else None,
    }


def one_sided(one: Fitted) -> bool:
    """Return whether the data hold a parameter from one side only, where a standard error says nothing."""
    return one.state.startswith("bounded")


def left_out_dict(one: LeftOut) -> dict[str, Any]:
    """Return a prediction of what had been left out for the JSON output."""
    return {
        "left_out": one.label,
        "setting": one.group,
        "quantity": one.quantity,
        "n": one.n,
        "measured": one.measured,
        "predicted": one.prediction.band.best,
        "ratio": one.ratio,
        "inside": one.inside,
    }


def calibration_dict(calibrated: Calibrated) -> dict[str, Any]:
    """Return a calibration for the JSON output."""
    calibration = calibrated.calibration
    return {
        "material": calibrated.card.name,
        "settings": [row.named.label for row in calibrated.rows],
        "beams": calibrated.beams,
        "parameters": [
            {
                "name": one.parameter.name,
                "unit": one.parameter.unit,
                "prior": [one.prior.low, one.prior.best, one.prior.high],
                "value": [one.value.low, one.value.best, one.value.high],
                "standard_error": None if one_sided(one) else one.error,
                "standard_error_of": "logarithm" if one.parameter.scale == "log" else "value",
                "narrowing": one.narrowing,
                "state": one.state,
            }
            for one in calibration.fitted
        ],
        "correlation": {
            "names": [one.parameter.name for one in calibration.fitted],
            "matrix": calibration.correlation,
        },
        "weak_combinations": [list(names) for names in calibration.weak],
        "starts": [dict(start) for start in calibration.starts],
        "starts_agree": calibration.starts_agree,
        "left_aside": calibrated.aside,
        "log_sd": {
            quantity: {"model": errors.model.log_sd, "scatter": errors.scatter.log_sd}
            for quantity, errors in calibration.errors.items()
        },
        "leave_one_setting_out": [left_out_dict(one) for one in calibrated.by_setting],
        "leave_one_build_out": [left_out_dict(one) for one in calibrated.by_block],
        "median_error_setting_out": {
            quantity: median_error(calibrated.by_setting, quantity) for quantity in calibration.errors
        },
        "median_error_build_out": {
            quantity: median_error(calibrated.by_block, quantity) for quantity in calibration.errors
        },
        "notes": list(calibrated.notes),
    }
