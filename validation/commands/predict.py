"""Calibrate the estimate on the measured beams and predict settings, tested or not, with bands and a lower bound."""

import argparse

EPILOG = """example:
  fillbend predict demos/shelf_arm/study.toml
  fillbend predict demos/shelf_arm/study.toml --with core.set_fill=0.65 --with print.walls=3 --json

The calibration always uses the study as it stands; --with names the setting to predict."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    from validation.commands.options import add_changes

    parser.add_argument("study", metavar="STUDY.toml")
    add_changes(parser)
    parser.add_argument("--json", action="store_true", help="one JSON object on standard output")


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    from dataclasses import replace

    from validation.commands.options import changes
    from validation.measured.unit_doubts import unit_doubts
    from validation.predict.calibrated import calibrate_study
    from validation.predict.prediction import predict_study
    from validation.predict.prediction_dict import calibration_dict, predicted_dict
    from validation.predict.prediction_output import print_calibration, print_predictions
    from validation.results.estimates import all_warnings
    from validation.study.study import load
    from validation.text.output import CAUTIONS, print_json, remark

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
                "calibrations": [calibration_dict(calibrated) for calibrated in calibration.calibrations],
                "predictions": [predicted_dict(prediction) for prediction in predicted],
                "notes": notes,
                "cautions": list(CAUTIONS),
            }
        )
        return 0
    shown = replace(study, settings=tuple(prediction.named for prediction in predicted))
    doubts = unit_doubts(calibration.rows)
    for text in (
        *calibration.remarks,
        *doubts,
        *all_warnings(shown, [prediction.estimate for prediction in predicted]),
    ):
        remark(f"note: {text}", args.quiet)
    if study.table.invented:
        notes.append("the measurements of this study are invented")
    answer_first = [*predicted[len(study.settings) :], *predicted[: len(study.settings)]]
    print_predictions(study.table.title, answer_first, [*(f"note: {text}" for text in notes), *CAUTIONS])
    for calibrated in calibration.calibrations:
        print_calibration(calibrated)
    return 0
