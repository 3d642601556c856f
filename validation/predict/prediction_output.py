"""Predictions and the calibration behind them as tables."""

from collections.abc import Sequence

from fem.material.bands import Band
from validation.calibration import Fitted, LeftOut
from validation.predict.calibrated import QUANTITIES, Calibrated
from validation.predict.prediction import Predicted, median_error, one_sided
from validation.statistics import Interval
from validation.text.mode_words import mode_words
from validation.text.numbers import band_text, significant
from validation.text.output import print_table
from validation.text.quantities import NAMES


def print_predictions(title: str, predicted: Sequence[Predicted], notes: Sequence[str]) -> None:
    """Print force in one table, stiffness, mass and time in another."""
    bounds = {
        f"Lower bound: with {100 * beam.band.confidence:g} % confidence {100 * beam.coverage:g} % of the beams lie "
        f"above, from {one.beams[q]} beams."
        for one in predicted
        for q, beam in one.next_beam.items()
        if q != "mass"
    }
    print_table(
        f"{title}: breaking force",
        [
            "setting",
            "next beam N (95 %)",
            "mean N (95 %)",
            "lower bound N",
            "uncalibrated N",
            "mode",
            "position",
        ],
        [
            [
                one.named.label,
                *_bands(one, "breaking_force"),
                band(one.estimate.breaking_force),
                mode_words(one.mode) + ("" if one.mode_seen else ", not seen in calibration"),
                one.position.kind,
            ]
            for one in predicted
        ],
    )
    print_table(
        f"\n{title}: stiffness, mass and time",
        [
            "setting",
            "next beam N/mm (95 %)",
            "lower bound N/mm",
            "uncalibrated N/mm",
            "mass g (95 %)",
            "uncalibrated g",
            "print time min",
        ],
        [
            [
                one.named.label,
                _bands(one, "stiffness")[0],
                _bands(one, "stiffness")[2],
                band(one.estimate.stiffness),
                _bands(one, "mass")[0],
                significant(one.estimate.mass.best),
                band(one.estimate.print_time),
            ]
            for one in predicted
        ],
        [*sorted(bounds), *_reasons(predicted), *notes],
    )


def _reasons(predicted: Sequence[Predicted]) -> list[str]:
    return [
        f"Extrapolation at {one.named.label}: {'; '.join(one.position.reasons)}."
        for one in predicted
        if not one.position.inside
    ]


def _bands(one: Predicted, quantity: str) -> tuple[str, str, str]:
    """Return next beam, mean and lower bound, dashes where the quantity was not measured."""
    if quantity not in one.next_beam:
        return "-", "-", "-"
    beam = one.next_beam[quantity]
    return interval(beam.band), interval(one.mean[quantity].band), significant(beam.lower_bound)


def print_calibration(calibrated: Calibrated) -> None:
    """Print the parameters, and what the calibration says of beams it has not seen."""
    calibration = calibrated.calibration
    aside = [f"Not fitted: {name}, {reason}." for name, reason in calibrated.aside.items()]
    weak = [f"Told only together: {', '.join(names)}." for names in calibration.weak]
    print_table(
        f"\nMaterial {calibrated.card.name}, calibrated on {_beams(calibrated)}",
        [
            "card value",
            "prior (95 %)",
            "calibrated (95 %)",
            "standard error",
            "width after / before",
            "state",
        ],
        [_parameter(one) for one in calibration.fitted],
        [
            *_root(calibrated),
            *aside,
            *weak,
            *_errors(calibrated),
            *(f"note: {text}" for text in calibrated.notes),
        ],
    )
    for what, left_out in (("setting", calibrated.by_setting), ("build", calibrated.by_block)):
        if left_out:
            _print_left_out(what, left_out)


def _root(calibrated: Calibrated) -> list[str]:
    if any(one.parameter.name == "root" for one in calibrated.calibration.fitted):
        return [
            "root: turn of the beam in its clamp x 12 EI / (moment x depth); 0 is a rigid clamp, no unit."
        ]
    return []


def _beams(calibrated: Calibrated) -> str:
    told = ", ".join(f"{NAMES[q][0]} of {n}" for q, n in calibrated.beams.items())
    return f"beams at {len(calibrated.rows)} settings ({told})"


def _parameter(one: Fitted) -> list[str]:
    log = one.parameter.scale == "log"
    error = "-" if one_sided(one) else f"{100 * one.error:.2g} %" if log else significant(one.error, 2)
    return [
        one.parameter.name,
        interval(one.prior),
        interval(one.value),
        error,
        f"{one.narrowing:.2f}",
        one.state,
    ]


def _errors(calibrated: Calibrated) -> list[str]:
    return [
        f"{NAMES[q][0].capitalize()}: model error {100 * errors.model.log_sd:.1f} % from setting to setting, "
        f"scatter {100 * errors.scatter.log_sd:.1f} % from beam to beam."
        for q, errors in calibrated.calibration.errors.items()
    ]


def _print_left_out(what: str, left_out: Sequence[LeftOut]) -> None:
    present = [q for q in QUANTITIES if any(one.quantity == q for one in left_out)]
    columns = [f"{what} left out"] + (["setting"] if what != "setting" else [])
    for q in present:
        columns += [f"{' '.join(NAMES[q])}", "predicted (95 %)", "ratio"]
    rows = []
    for key in dict.fromkeys((one.label, one.group) for one in left_out):
        cells = list(key) if what != "setting" else [key[1]]
        for q in present:
            one = next((x for x in left_out if (x.label, x.group) == key and x.quantity == q), None)
            cells += (
                ["-", "-", "-"]
                if one is None
                else [
                    significant(one.measured),
                    interval(one.prediction.band) + ("" if one.inside else " *"),
                    significant(one.ratio),
                ]
            )
        rows.append(cells)
    notes = ["Measured: mean of the beams left out. Predicted without them, for the mean of as many beams."]
    if any(not one.inside for one in left_out):
        notes.append("* measured mean outside the 95 % band.")
    for q in present:
        error = median_error(left_out, q)
        if error is not None:
            notes.append(f"Median size of measured/predicted - 1, {NAMES[q][0]}: {100 * error:.0f} %.")
    print_table(f"\nEvery {what} left out in turn and predicted", columns, rows, notes)


def interval(value: Interval) -> str:
    """Return best (low to high)."""
    return band_text(value.to_dict())


def band(value: Band | None) -> str:
    """Return best (low to high), a dash for nothing."""
    return band_text(value.as_dict() if value else None)
