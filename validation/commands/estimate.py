"""Estimate stiffness, breaking force with its mode, mass and print time of every setting of a study."""

import argparse

EPILOG = """example:
  fillbend estimate demos/shelf_arm/study.toml
  fillbend estimate demos/shelf_arm/study.toml --with core.set_fill=0.4 --json"""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    from validation.commands.options import add_changes

    parser.add_argument("study", metavar="STUDY.toml")
    add_changes(parser)
    parser.add_argument("--json", action="store_true", help="one JSON object on standard output")
    parser.add_argument(
        "--resolved",
        action="store_true",
        help="also solve the beam with its lines drawn and carry the difference in the bands (a minute for flat beams)",
    )
    parser.add_argument(
        "--material", action="store_true", help="show the material values with range, basis and evidence"
    )


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    from validation.commands.options import changes
    from validation.measured.fill_notes import fill_notes
    from validation.results.bulk import with_bulk_shares
    from validation.results.criteria import weakest_by_formula
    from validation.results.estimates import all_warnings, estimate_dict, material_dicts
    from validation.study.estimates import estimate_all
    from validation.study.study import load
    from validation.text.estimates import print_bulk_shares, print_estimates, print_material
    from validation.text.output import print_json, remark

    study = load(args.study, changes(args))
    estimates = estimate_all(study, args.quiet, args.resolved)
    results = with_bulk_shares(
        [estimate_dict(named, estimate) for named, estimate in zip(study.settings, estimates, strict=True)]
    )
    if args.json:
        print_json({"study": study.table.title, "invented": study.table.invented, "estimates": results})
        return 0
    for note in (*all_warnings(study, estimates), *fill_notes(study.settings, estimates)):
        remark(f"note: {note}", args.quiet)
    weakest = weakest_by_formula([(result["setting"]["label"], result["criteria"]) for result in results])
    print_estimates(study.table.title, results, weakest)
    print_bulk_shares(results)
    if args.material:
        print_material(material_dicts(study))
    return 0
