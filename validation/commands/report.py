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
    from validation.measured.reconcile import mean_error
    from validation.notebook.page_file import write_page
    from validation.text.output import remark
    from validation.text.reconciliation import check_failed

    results = write_page(args.study, args.output, args.quiet)
    error = mean_error(results.rows, lambda row: row.force_ratio)
    if args.check is not None and (error is None or error > args.check):
        remark(f"fillbend: {check_failed(error, args.check)}", args.quiet)
        return 1
    return 0
