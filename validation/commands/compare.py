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
    from fem.estimate import Estimate, estimate
    from fem.printed.cell_store import CellStore, default_folder
    from fem.setting import Setting
    from patterns.catalogue import find
    from patterns.errors import InputError
    from validation.commands.options import changes
    from validation.design.compare import candidates, gains, left_out, patterns_of, rank, steps, told_reason
    from validation.design.compare_output import PatternComparison, as_json, print_comparison
    from validation.design.equal_mass import mass_of
    from validation.study.estimates import estimate_all, machine_of
    from validation.study.progress import progress
    from validation.study.study import load
    from validation.text.output import print_json, remark

    if args.mass_g is not None and not 0 < args.mass_g < float("inf"):
        raise InputError(f"--mass-g {args.mass_g:g}: a positive mass in g")
    study = load(args.study, changes(args))
    own = [named.setting for named in study.settings]
    patterns = list(dict.fromkeys(find(name).slug for name in args.patterns or patterns_of(own)))
    varied = not args.patterns and len({setting.core.pattern for setting in own}) > 1
    machine, store = machine_of(study), CellStore(default_folder())

    base = study.settings[0]
    mass = args.mass_g or mass_of(base.setting)
    remark(f"finding fills of {len(patterns)} patterns that weigh {mass:.4g} g", args.quiet)
    tried = candidates(base.setting, patterns, mass)
    reasons = [told_reason(item) for item in tried if item.reason]
    if len(reasons) == len(patterns):
        more = f"; {len(reasons) - 1} more cannot either" if len(reasons) > 1 else ""
        raise InputError(f"no pattern can weigh {mass:.4g} g: {reasons[0]}{more}; choose another --mass-g")
    solved = sum(item.setting is not None for item in tried) * len(args.load_angle_deg)
    with progress(solved + 1 + len(steps(base.setting)), args.quiet) as tick:

        def estimated(setting: Setting) -> Estimate:
            found = estimate(setting, machine, store)
            tick()
            return found

        ranking = {angle: rank(tried, angle, estimated) for angle in args.load_angle_deg}
        bought = gains(base.setting, estimated)
    compared = PatternComparison(
        study, base, mass, ranking, bought, estimate_all(study, args.quiet), left_out(patterns, varied)
    )
    if args.json:
        print_json(as_json(compared))
    else:
        print_comparison(compared)
    return 0
