"""Write a commented study and an empty table of beams to start from."""

import argparse
from pathlib import Path

EPILOG = """example:
  fillbend init
  fillbend init --shape round --test cantilever --pattern hexagonal -o masts"""

SHAPES = ("rectangle", "round", "tube", "polygon")
TESTS = ("three_point", "four_point", "cantilever", "tension")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    parser.add_argument("--shape", choices=SHAPES, default="rectangle", help="outline of the section")
    parser.add_argument("--test", choices=TESTS, default="three_point", help="how the beams are bent")
    parser.add_argument(
        "--pattern", default="alternating", metavar="PATTERN", help="see `fillbend patterns`; alternating if left out"
    )  # fmt: skip
    parser.add_argument(
        "-o", "--output", type=Path, default=Path("my_study"), metavar="FOLDER", help="my_study if left out"
    )


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    from patterns.catalogue import find
    from patterns.errors import InputError
    from validation.measured.manifest import write_manifest
    from validation.study.first_study import columns, study_text
    from validation.text.mode_words import codes_comment
    from validation.text.output import remark, write_folder

    study, table = args.output / "study.toml", args.output / "specimens.csv"
    pattern = find(args.pattern)
    if args.output.is_file():
        raise InputError(f"-o {args.output}: is a file; give a folder for the study and its table")
    there = next((path for path in (study, table) if path.exists()), None)
    if there:
        raise InputError(f"{there} is there already; choose another folder, nothing was written")
    beams = codes_comment() + write_manifest([], columns(args.test, pattern))
    write_folder(args.output, {table.name: beams, study.name: study_text(args.shape, args.test, pattern)})
    remark(f"wrote {study} and {table}; edit the study, then:", args.quiet)
    for line in (
        f"fillbend estimate {study}",
        f"fillbend report {study} -o {args.output / 'report.html'}",
        f"fillbend plan {study} -o {args.output / 'plan'}",
    ):
        remark(f"  {line}", args.quiet)
    return 0
