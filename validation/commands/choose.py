"""Find the lightest (or quickest) settings of a study that carry a load within a deflection at a stated confidence."""

import argparse
import math
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from validation.design.choose import Demand, JudgedSetting

EPILOG = """example:
  fillbend choose demos/shelf_arm/study.toml --load-N 150 --deflection-mm 4
  fillbend choose demos/shelf_arm/study.toml --load-N 150 --quickest --json

Bounds are one-sided: with the stated confidence, 9 of 10 beams reach them. "none" is an answer, with status 0."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    from validation.commands.options import add_changes

    parser.add_argument("study", metavar="STUDY.toml")
    parser.add_argument("--load-N", type=float, required=True, metavar="N", help="short-term load to carry")
    parser.add_argument(
        "--deflection-mm", type=float, metavar="MM", help="deflection allowed under it; any if left out"
    )
    parser.add_argument(
        "--confidence", type=float, default=0.95, metavar="SHARE", help="of both bounds (0.95)"
    )
    parser.add_argument("--full", action="store_true", help="every setting tried, not the first few alone")
    parser.add_argument("--quickest", action="store_true", help="sort by print time instead of mass")
    add_changes(parser)
    parser.add_argument("--json", action="store_true", help="one JSON object on standard output")


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    from fem.estimation import Estimate, estimate
    from fem.printed.cell_store import CellStore, default_folder
    from fem.setting import Setting
    from validation.commands.options import changes
    from validation.design.choice_answer import answer_lines
    from validation.design.choose import Judge, choice_dict, choose
    from validation.measured.look_again import look_again
    from validation.predict.calibrated import calibrate_study
    from validation.predict.prediction import COVERAGE
    from validation.study.estimates import estimate_all, machine_of
    from validation.study.study import load
    from validation.text.choices import print_choices
    from validation.text.output import CAUTIONS, print_json

    demand = _demand(args)
    measured = load(args.study)
    study = load(args.study, changes(args)) if args.changes else measured
    calibrated = calibrate_study(measured, args.quiet) if measured.table.measured else None
    if calibrated and not args.changes:
        settings = [(row.named, row.estimate) for row in calibrated.rows]
    else:
        settings = list(zip(study.settings, estimate_all(study, args.quiet), strict=True))
    machine, store = machine_of(study), CellStore(default_folder())

    def estimated(setting: Setting) -> Estimate:
        return estimate(setting, machine, store)

    choices = choose(settings, Judge(demand, estimated, calibrated), args.quickest)
    best = choices[0] if choices[0].meets else None
    result = {
        "study": study.table.title,
        "invented": study.table.invented,
        "load_N": demand.load,
        "deflection_mm": demand.deflection,
        "confidence": demand.confidence,
        "coverage": COVERAGE if calibrated else None,
        "calibrated": calibrated is not None,
        "sorted_by": "print_time_min" if args.quickest else "mass_g",
        "answer": answer_lines(demand, choices),
        "look_again": look_again(calibrated.rows) if calibrated else [],
        "choice": best and choice_dict(best),
        "settings": [choice_dict(choice) for choice in choices],
        "notes": _notes(choices, calibrated is not None, study.table.invented),
        "cautions": list(CAUTIONS),
    }
    if args.json:
        print_json(result)
    else:
        print_choices(result, args.full)
    return 0


def _demand(args: argparse.Namespace) -> "Demand":
    from patterns.errors import InputError
    from validation.design.choose import Demand

    for name, value in (("--load-N", args.load_N), ("--deflection-mm", args.deflection_mm)):
        if value is not None and not (math.isfinite(value) and value > 0):
            raise InputError(f"{name} {value:g}: must be a positive number")
    if not 0.5 <= args.confidence < 1:
        raise InputError(f"--confidence {args.confidence:g}: must lie from 0.5 to below 1, as in 0.95")
    return Demand(args.load_N, args.deflection_mm, args.confidence)


def _notes(choices: "list[JudgedSetting]", calibrated: bool, invented: bool) -> list[str]:
    notes = []
    if not calibrated:
        notes.append(
            "no measured beams: the bounds hold the material card's ranges only, neither model error nor scatter"
        )
    if any(choice.meets and choice.position and not choice.position.inside for choice in choices):
        notes.append("settings beyond the calibrated ones are extrapolations: break a beam of them first")
    if any(choice.force is None for choice in choices):
        notes.append("where no failure mode could be evaluated the load cannot be judged")
    notes.append(
        "bounds are for a short-term load and the test's own way of bending; no factor is put on them"
    )
    if invented:
        notes.append("the measurements of this study are invented")
    return notes
