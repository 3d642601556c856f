"""Rank patterns at equal mass, and show what one more wall, face layer or points of fill buy."""

import argparse

EPILOG = """example:
  fillbend compare demos/shelf_arm/study.toml
  fillbend compare demos/shelf_arm/study.toml --patterns square hexagonal alternating --mass-g 14 --load-angle-deg 90"""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    from validation.commands.options import add_changes

    parser.add_argument("study", metavar="STUDY.toml")
    parser.add_argument(
        "--patterns",
        nargs="+",
        metavar="PATTERN",
        help="patterns to rank; those that the study varies, or else the quick ones, if left out",
    )
    parser.add_argument(
        "--mass-g", type=float, metavar="G", help="common mass; that of the first setting if left out"
    )
    parser.add_argument(
        "--load-angle-deg", type=float, nargs="+", default=[0.0, 90.0], metavar="DEG",
        help="load directions, turned from z about the beam's axis",
    )  # fmt: skip
    parser.add_argument("--json", action="store_true", help="one JSON object on standard output")
    add_changes(parser)


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    from patterns.errors import InputError
    from validation.commands.options import changes
    from validation.design.compare_output import as_json, print_comparison
    from validation.design.comparison import compare_study
    from validation.study.study import load
    from validation.text.output import print_json

    if args.mass_g is not None and not 0 < args.mass_g < float("inf"):
        raise InputError(f"--mass-g {args.mass_g:g}: a positive mass in g")
    study = load(args.study, changes(args))
    compared = compare_study(study, args.patterns, args.mass_g, args.load_angle_deg, args.quiet)
    if args.json:
        print_json(as_json(compared))
    else:
        print_comparison(compared)
    return 0
