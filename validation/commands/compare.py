"""Rank patterns at equal mass, and show what one more wall, face layer or points of fill buy."""

import argparse

EPILOG = """example:
  fillbend compare demos/shelf_arm/study.toml
  fillbend compare demos/shelf_arm/study.toml --patterns square hexagonal alternating --mass-g 14 --load-angle-deg 90"""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    from validation.options import add_changes

    parser.add_argument("study", metavar="STUDY.toml")
    parser.add_argument(
        "--patterns", nargs="+", metavar="PATTERN", help="patterns to rank; the quick ones if left out"
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
    from dataclasses import replace

    from fem.cell_store import CellStore, default_folder
    from fem.estimate import Estimate, estimate
    from fem.setting import Setting
    from validation.compare import default_patterns, gains, mass_of, rank
    from validation.compare_output import as_json, print_comparison
    from validation.estimates import estimate_all, machine_of
    from validation.options import changes
    from validation.output import print_json, remark
    from validation.study import load

    study = load(args.study, changes(args))
    machine, store = machine_of(study), CellStore(default_folder())

    def estimated(setting: Setting) -> Estimate:
        return estimate(setting, machine, store)

    base = study.settings[0]
    mass = args.mass_g or mass_of(base.setting)
    patterns = args.patterns or default_patterns()
    ranking = {}
    for angle in args.load_angle_deg:
        remark(f"ranking {len(patterns)} patterns at {mass:.3g} g, load at {angle:g} deg", args.quiet)
        turned = replace(base.setting, test=replace(base.setting.test, load_angle_deg=angle))
        ranking[angle] = rank(turned, patterns, mass, estimated)
    steps = gains(base.setting, estimated(base.setting), estimated)
    estimates = estimate_all(study, args.quiet)
    if args.json:
        print_json(as_json(study, base, mass, ranking, steps, estimates))
    else:
        print_comparison(study, base, mass, ranking, steps, estimates)
    return 0
