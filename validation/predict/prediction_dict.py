"""Predictions and the calibration behind them for the JSON output."""

from typing import Any

from validation.calibration import Fitted
from validation.predict.calibrated import Calibrated, LeftOut
from validation.predict.prediction import Predicted, median_error
from validation.predict.rivals import contest_dict, contests
from validation.results.estimates import estimate_dict


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
    if quantity not in one.told:
        return None
    told = one.told[quantity]
    return {
        "best": told.mean.best,
        "next_beam": [told.next_beam.low, told.next_beam.high],
        "mean": [told.mean.low, told.mean.high],
        "confidence": told.mean.confidence,
        "lower_bound": told.lower_bound,
        "lower_bound_coverage": told.coverage,
        "measured": told.measured,
        "own_beams": told.n,
        "n": one.beams[quantity],
        "log_sd": {"mean": told.log_sd, "beam": told.beam_log_sd},
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
        "predicted": one.band.best,
        "ratio": one.ratio,
        "inside": one.inside,
    }


def calibration_dict(calibrated: Calibrated) -> dict[str, Any]:
    """Return a calibration for the JSON output."""
    values = calibrated.card_values
    return {
        "material": calibrated.card.name,
        "settings": [row.named.label for row in calibrated.rows],
        "beams": calibrated.beams,
        "parameters": [_parameter(one) for one in values.calibration.fitted],
        "correlation": {
            "names": [one.parameter.name for one in values.calibration.fitted],
            "matrix": values.calibration.correlation,
        },
        "weak_combinations": [list(names) for names in values.calibration.weak],
        "starts": [dict(start) for start in values.calibration.starts],
        "starts_agree": values.calibration.starts_agree,
        "left_aside": values.aside,
        "log_sd": {quantity: log_sd(calibrated, quantity) for quantity in calibrated.beams},
        "leave_one_setting_out": [left_out_dict(one) for one in calibrated.by_setting],
        "leave_one_build_out": [left_out_dict(one) for one in calibrated.by_block],
        "median_error_setting_out": {
            quantity: median_error(calibrated.by_setting, quantity) for quantity in calibrated.beams
        },
        "median_error_build_out": {
            quantity: median_error(calibrated.by_block, quantity) for quantity in calibrated.beams
        },
        "rivals": contest_dict(contests(calibrated)),
        "notes": [*calibrated.notes, *values.notes],
    }


def log_sd(calibrated: Calibrated, quantity: str) -> dict[str, float]:
    """Return root mean squares of the model's error, of builds and of scatter, standard deviations of logarithms."""
    _, discrepancy, group, scatter = calibrated.model.quantities[quantity].middle()
    return {"model": discrepancy, "builds": group, "scatter": scatter}


def _parameter(one: Fitted) -> dict[str, Any]:
    return {
        "name": one.parameter.name,
        "unit": one.parameter.unit,
        "prior": [one.prior.low, one.prior.best, one.prior.high],
        "value": [one.value.low, one.value.best, one.value.high],
        "standard_error": None if one_sided(one) else one.error,
        "standard_error_of": "logarithm" if one.parameter.scale == "log" else "value",
        "narrowing": one.narrowing,
        "state": one.state,
    }
