"""Plan a test series: expected force and travel, repeats, random order, a sheet for the rig and a table to fill in."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from validation.design.plan import Plan
    from validation.study.study import Study

EPILOG = """example:
  fillbend plan demos/shelf_arm/study.toml -o plan/ --repeats 3
  fillbend plan demos/shelf_arm/study.toml --next 4 --for load --load-N 250
The first writes plan/sheet.html (to print) and plan/specimens.csv (to fill in; name it in [measured] of the study)."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    parser.add_argument("study", metavar="STUDY.toml")
    parser.add_argument(
        "-o", "--output", type=Path, metavar="FOLDER", help="write the sheet and the table there"
    )
    parser.add_argument(
        "--repeats", type=int, default=3, metavar="N", help="beams per setting, each from its own build"
    )
    parser.add_argument("--seed", type=int, default=1, metavar="N", help="of the random order")
    parser.add_argument(
        "--scatter",
        type=float,
        default=0.05,
        metavar="SHARE",
        help="expected coefficient of variation of repeats",
    )
    parser.add_argument(
        "--next", type=int, metavar="N", help="which N further beams tell most, given what is broken"
    )
    parser.add_argument(
        "--for",
        dest="aim",
        choices=("map", "load"),
        default="map",
        help="with --next: the force of all settings (map), or which of them carry --load-N (load)",
    )
    parser.add_argument("--load-N", type=float, metavar="N", help="with --for load")
    parser.add_argument(
        "--per", choices=("beam", "gram", "hour"), default="beam", help="with --next: what is scarce"
    )
    parser.add_argument("--no-hold-back", action="store_true", help="keep no setting from calibration")
    parser.add_argument("--json", action="store_true", help="one JSON object on standard output")


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    from patterns.errors import InputError
    from validation.design.plan import plan_series
    from validation.design.plan_sheet import sheet, table_to_fill_in
    from validation.results.estimates import all_warnings
    from validation.study.estimates import estimate_all
    from validation.study.study import load
    from validation.text.output import print_json, remark, write_folder
    from validation.text.plans import print_plan

    study = load(args.study)
    if args.next is not None:
        return _next(args, study)
    if args.output and args.output.is_file():
        raise InputError(f"-o {args.output}: is a file; give a folder for the sheet and the table")
    table = args.output / "specimens.csv" if args.output else None
    if table and table.exists():
        raise InputError(
            f"{table} is there already and may hold measurements; choose another folder, nothing was written"
        )
    estimates = estimate_all(study, args.quiet)
    plan = plan_series(study, estimates, args.repeats, args.seed, not args.no_hold_back, args.scatter)
    if table:
        files = {"sheet.html": sheet(study, plan, estimates), table.name: table_to_fill_in(study, plan)}
        write_folder(args.output, files)
        remark(f"wrote {args.output / 'sheet.html'} and {table}", args.quiet)
    result = _as_json(study, plan)
    if args.json:
        print_json(result)
        return 0
    for warning in all_warnings(study, estimates):
        remark(f"note: {warning}", args.quiet)
    print_plan(result, checked=bool(study.table.rig.capacity_N))
    return 0


def _as_json(study: "Study", plan: "Plan") -> dict[str, Any]:
    return {
        "study": study.table.title,
        "repeats": plan.repeats,
        "mass_g": plan.mass,
        "print_time_min": plan.time,
        "detectable_difference": {str(n): share for n, share in plan.detectable.items()},
        "advice": list(plan.advice),
        "settings": [
            {
                "setting_id": f"S{number + 1}",
                "label": named.label,
                "breaking_force_N": None
                if expected is None
                else {"low": expected.force_low, "best": expected.force, "high": expected.force_high},
                "travel_mm": None if expected is None else expected.travel,
                "warnings": [] if expected is None else list(expected.warnings),
            }
            for number, (named, expected) in enumerate(zip(study.settings, plan.expected, strict=True))
        ],
        "beams": [
            {
                "specimen": beam.specimen,
                "setting_id": f"S{beam.setting + 1}",
                "build": beam.build,
                "test_order": beam.order,
                "role": beam.role,
            }
            for beam in plan.beams
        ],
    }


def _next(args: argparse.Namespace, study: "Study") -> int:
    """Propose the next tests."""
    from validation.design.next_tests import next_dict, next_tests, print_next
    from validation.predict.calibrated import calibrate_study
    from validation.text.output import CAUTIONS, print_json

    found = next_tests(calibrate_study(study, args.quiet), args.next, args.aim, args.per, args.load_N)
    if args.json:
        print_json({"study": study.table.title, "aim": args.aim, "per": args.per, **next_dict(found)})
        return 0
    notes = ["note: scatter and what the estimate misses are held at their middle values"]
    if study.table.invented:
        notes.append("note: the measurements of this study are invented")
    print_next(study.table.title, found, [*notes, *CAUTIONS])
    return 0
