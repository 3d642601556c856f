"""Write one offline page: the verdict, a large figure, an explorer with a load box, tables, method, provenance."""

import argparse
from pathlib import Path

EPILOG = """example:
  fillbend report demos/shelf_arm/study.toml -o report.html"""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    parser.add_argument("study", metavar="STUDY.toml")
    parser.add_argument("-o", "--output", type=Path, required=True, metavar="FILE.html")
    parser.add_argument(
        "--check",
        type=float,
        metavar="SHARE",
        help="status 1 if the mean error of breaking force exceeds this share",
    )


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    import time

    from validation.measured.measured import NoBeamYetError, read_specimens
    from validation.measured.reconcile import mean_error
    from validation.report.explanation import explanation
    from validation.report.page import build_page
    from validation.report.tuned import tune
    from validation.results.beside import Results
    from validation.study.estimates import estimate_all
    from validation.study.study import load
    from validation.text.output import remark, require_ending, require_place, write_atomically
    from validation.text.reconciliation import check_failed

    started = time.perf_counter()
    require_ending(args.output, (".html", ".htm"), "a report")
    require_place(args.output)
    study = load(args.study)
    measured = None
    try:
        measured = read_specimens(study) if study.table.measured else None
    except NoBeamYetError as none:
        remark(f"note: {none}: the page tells estimates alone", args.quiet)
    results = Results.of(study, estimate_all(study, args.quiet), measured)
    steps = explanation(results.rows, study.table.rig.capacity_N) if measured else ((), None)
    page = build_page(study, results, measured, started, tune(study, results.rows), steps)
    write_atomically(args.output, page)
    remark(f"wrote {args.output}", args.quiet)
    error = mean_error(results.rows, lambda row: row.force_ratio)
    if args.check is not None and (error is None or error > args.check):
        remark(f"fillbend: {check_failed(error, args.check)}", args.quiet)
        return 1
    return 0
