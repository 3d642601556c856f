"""Put measured beams beside the finite-element estimate and handbook beam theory, setting by setting."""

import argparse
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from validation.measured.measured import Measured
    from validation.measured.reconcile import Row
    from validation.study.study import Study

EPILOG = """example:
  fillbend reconcile demos/shelf_arm/study.toml
  fillbend reconcile demos/shelf_arm/study.toml --check 0.3     (status 1 if the mean error of force exceeds 30 %)"""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    parser.add_argument("study", metavar="STUDY.toml")
    parser.add_argument("--json", action="store_true", help="one JSON object on standard output")
    parser.add_argument(
        "--check",
        type=float,
        metavar="SHARE",
        help="status 1 if the mean error of breaking force exceeds this share",
    )


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    from validation.measured.measured import read_specimens
    from validation.measured.reconcile import reconcile
    from validation.measured.repeats import repeats_lines, repeats_of
    from validation.results.beside import reconciliation_dict
    from validation.results.columns import MEASURED
    from validation.study.estimates import estimate_all
    from validation.study.study import load
    from validation.text.output import print_json, remark
    from validation.text.reconciliation import check_failed, print_reconciliation

    study = load(args.study)
    measured = read_specimens(study)
    estimates = estimate_all(study, args.quiet)
    rows = reconcile(study, measured, estimates)
    repeats = [series for quantity in MEASURED if (series := repeats_of(rows, quantity))]
    excluded = [beam for beam in measured.beams if not beam.valid]
    result = reconciliation_dict(study, rows, repeats, excluded)
    if args.json:
        print_json(result)
    else:
        _tell_doubts(study, measured, rows, args.quiet)
        print_reconciliation(result, [line for series in repeats for line in repeats_lines(series)])
    error = result["mean_error"]["breaking_force"]
    failed = args.check is not None and (error is None or error > args.check)
    if failed:
        remark(f"fillbend: {check_failed(error, args.check)}", args.quiet)
    return 1 if failed else 0


def _tell_doubts(study: "Study", measured: "Measured", rows: "list[Row]", quiet: bool) -> None:
    """Print what is odd about beams and estimates on standard error."""
    from validation.measured.fill_notes import fill_notes
    from validation.measured.size_doubts import size_doubts
    from validation.measured.unit_doubts import unit_doubts
    from validation.results.estimates import all_warnings
    from validation.text.output import remark

    estimates = [row.estimate for row in rows]
    notes = (
        *unit_doubts(rows),
        *size_doubts(rows),
        *all_warnings(study, estimates),
        *fill_notes(study.settings, estimates),
    )
    for line in (*measured.remarks, *(f"note: {note}" for note in notes)):
        remark(line, quiet)
