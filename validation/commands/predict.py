"""Predict settings, tested or not, from the estimate and every broken beam, with bands and a lower bound."""

import argparse
from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from validation.predict.calibrated import CalibratedStudy
    from validation.predict.prediction import Predicted
    from validation.study.study import Study

EPILOG = """example:
  fillbend predict demos/shelf_arm/study.toml
  fillbend predict demos/shelf_arm/study.toml --with core.set_fill=0.65 --with print.walls=3 --json

The beams of the study as it stands are the evidence; --with names the setting to predict. At a measured setting its
own beams decide, between settings the estimate's shape, far away the estimate with its band."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    from validation.commands.options import add_changes

    parser.add_argument("study", metavar="STUDY.toml")
    add_changes(parser)
    parser.add_argument(
        "--full",
        action="store_true",
        help="also all bands, card values learned, and what was left out in turn",
    )
    parser.add_argument("--json", action="store_true", help="one JSON object on standard output")


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    from validation.commands.options import changes
    from validation.measured.groups import record_lines
    from validation.measured.look_again import look_again
    from validation.measured.unit_doubts import unit_doubts
    from validation.predict.answer import answer_lines
    from validation.predict.calibrated import calibrate_study
    from validation.predict.prediction import predict_study
    from validation.predict.prediction_dict import calibration_dict, predicted_dict
    from validation.predict.prediction_output import print_calibration, print_predictions, print_short
    from validation.predict.rivals import contest_lines, contests
    from validation.study.study import load
    from validation.text.output import CAUTIONS, print_json
    from validation.text.screen import print_lines

    study = load(args.study)
    # a slip in --with shows at once, not after the calibration
    asked = load(args.study, changes(args)) if args.changes else None
    calibration = calibrate_study(study, args.quiet)
    predicted = predict_study(calibration, asked, changes(args), args.quiet)
    notes = list(dict.fromkeys(note for prediction in predicted for note in prediction.notes))
    if args.json:
        print_json(
            {
                "study": study.table.title,
                "invented": study.table.invented,
                "changes": changes(args),
                "calibrations": [calibration_dict(one) for one in calibration.calibrations],
                "predictions": [predicted_dict(one) for one in predicted],
                "records": record_lines(calibration.rows),
                "look_again": look_again(calibration.rows),
                "notes": notes,
                "cautions": list(CAUTIONS),
            }
        )
        return 0
    doubts = [*look_again(calibration.rows), *unit_doubts(calibration.rows)]
    if study.table.invented:
        notes.append("the measurements of this study are invented")
    asked_for = predicted[len(study.settings) :]
    answer_first = [*asked_for, *predicted[: len(study.settings)]]
    for text in (*answer_lines(asked_for, predicted), *doubts):
        print_lines([text])
    contest = [line for one in calibration.calibrations for line in contest_lines(contests(one))]
    spoken = [*record_lines(calibration.rows)] + [
        note for one in calibration.calibrations for note in one.notes
    ]
    if not args.full:
        print_short(study.table.title, answer_first, [
            *contest, *(f"note: {text}" for text in (*notes, *spoken)), *CAUTIONS,
            "More, and what was learned of each card value: --full.",
        ])  # fmt: skip
        return 0
    _remark_all(study, calibration, predicted, args.quiet)
    print_predictions(study.table.title, answer_first, [*(f"note: {text}" for text in notes), *CAUTIONS])
    print_lines(contest)
    for calibrated in calibration.calibrations:
        print_calibration(calibrated)
    return 0


def _remark_all(
    study: "Study", calibration: "CalibratedStudy", predicted: "Sequence[Predicted]", quiet: bool
) -> None:
    """Say what the calibration and the estimates of all settings shown remark."""
    from dataclasses import replace

    from validation.results.estimates import all_warnings
    from validation.text.output import remark

    shown = replace(study, settings=tuple(one.named for one in predicted))
    for text in (*calibration.remarks, *all_warnings(shown, [one.estimate for one in predicted])):
        remark(f"note: {text}", quiet)
