"""Predictions and the calibration behind them as tables."""

from collections.abc import Sequence

from fem.material.bands import Band
from validation.calibration import Fitted
from validation.predict.calibrated import Calibrated, LeftOut
from validation.predict.places import QUANTITIES
from validation.predict.prediction import Predicted, median_error
from validation.predict.prediction_dict import log_sd, one_sided
from validation.statistics import Interval
from validation.text.mode_words import mode_words
from validation.text.numbers import band_text, significant
from validation.text.quantities import NAMES
from validation.text.screen import print_table


def print_short(title: str, predicted: Sequence[Predicted], notes: Sequence[str]) -> None:
    """Print one table: measured beside predicted, the next beam and the bound, stiffness and mass."""
    print_table(
        f"\n{title}",
        [
            "setting",
            "measured N (n)",
            "mean N (95 %)",
            "next beam N",
            "bound N",
            "estimate N",
            "stiffness N/mm",
            "mass g",
            "mode",
        ],
        [_short(one) for one in predicted],
        notes,
        words=("mode",),
    )


def _short(one: Predicted) -> list[str]:
    force, estimated = one.told.get("breaking_force"), one.estimate.breaking_force
    others = [
        f"{significant(one.told[q].mean.best)} ±{_half(one.told[q].mean)}" if q in one.told else "-"
        for q in ("stiffness", "mass")
    ]
    told = ["-"] * 4
    if force:
        own = f"{significant(force.measured)} ({force.n})" if force.measured else "-"
        ends = f"{significant(force.next_beam.low)} to {significant(force.next_beam.high)}"
        told = [own, interval(force.mean), ends, significant(force.lower_bound)]
    name = one.named.label if one.position.inside else f"{one.named.label} (beyond)"
    return [name, *told, significant(estimated.best) if estimated else "-", *others, mode_words(one.mode)]


def _half(value: Interval) -> str:
    return significant((value.high - value.low) / 2, 2)


def print_predictions(title: str, predicted: Sequence[Predicted], notes: Sequence[str]) -> None:
    """Print force in one table, stiffness, mass and time in another."""
    bounds = {
        f"Lower bound: with {100 * beam.next_beam.confidence:g} % confidence {100 * beam.coverage:g} % of the beams "
        f"lie above, from {one.beams[q]} beams."
        for one in predicted
        for q, beam in one.told.items()
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
        words=("mode", "position"),
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
    if quantity not in one.told:
        return "-", "-", "-"
    told = one.told[quantity]
    return interval(told.next_beam), interval(told.mean), significant(told.lower_bound)


def print_calibration(calibrated: Calibrated) -> None:
    """Print the parameters, and what the calibration says of beams it has not seen."""
    values, calibration = calibrated.card_values, calibrated.card_values.calibration
    aside = [f"Not fitted: {name}, {reason}." for name, reason in values.aside.items()]
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
            *(f"note: {text}" for text in (*calibrated.notes, *values.notes)),
        ],
    )
    for what, left_out in (("setting", calibrated.by_setting), ("build", calibrated.by_block)):
        if left_out:
            _print_left_out(what, left_out)


def _root(calibrated: Calibrated) -> list[str]:
    if any(one.parameter.name == "root" for one in calibrated.card_values.calibration.fitted):
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
    lines = []
    for quantity in calibrated.beams:
        sd = log_sd(calibrated, quantity)
        builds = f"{100 * sd['builds']:.1f} % from build to build, " if sd["builds"] else ""
        lines.append(
            f"{NAMES[quantity][0].capitalize()}: the estimate misses {100 * sd['model']:.1f} % from setting to "
            f"setting, {builds}scatter {100 * sd['scatter']:.1f} % from beam to beam."
        )
    return lines


def _print_left_out(what: str, left_out: Sequence[LeftOut]) -> None:
    present = [q for q in QUANTITIES if any(one.quantity == q for one in left_out)]
    columns = [f"{what} left out"] + (["setting"] if what != "setting" else [])
    for q in present:
        columns += [" ".join(NAMES[q]), "predicted (95 %)", "ratio"]
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
                    interval(one.band) + ("" if one.inside else " *"),
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
