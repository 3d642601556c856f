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
        help="also solve the beam with its lines drawn and carry the difference in the bands (minutes for flat beams)",
    )
    parser.add_argument(
        "--material", action="store_true", help="show the material values with range, basis and evidence"
    )


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    from fem.material.bands import Band
    from validation.commands.options import changes
    from validation.measured.fill_notes import fill_notes
    from validation.results.estimates import all_warnings, estimate_dict
    from validation.study.estimates import estimate_all, material_rows
    from validation.study.study import load
    from validation.text.mode_words import mode_words
    from validation.text.output import CAUTIONS, print_json, print_table, remark, significant

    study = load(args.study, changes(args))
    estimates = estimate_all(study, args.quiet, args.resolved)
    if args.json:
        rows = [estimate_dict(named, found) for named, found in zip(study.settings, estimates, strict=True)]
        print_json({"study": study.table.title, "invented": study.table.invented, "estimates": rows})
        return 0
    for note in (*all_warnings(study, estimates), *fill_notes(study.settings, estimates)):
        remark(f"note: {note}", args.quiet)

    def spread(band: Band | None) -> str:
        return (
            f"{significant(band.best)} ({significant(band.low)} to {significant(band.high)})" if band else "-"
        )

    print_table(
        study.table.title,
        [
            "setting",
            "stiffness N/mm",
            "breaking force N",
            "mode",
            "mass g",
            "print time min",
            "fill set / geometric",
        ],
        [
            [
                named.label,
                spread(found.stiffness),
                spread(found.breaking_force),
                mode_words(found.mode),
                significant(found.mass.best),
                spread(found.print_time),
                f"{found.set_fill:.3g} / {found.geometric_fill:.3g}",
            ]
            for named, found in zip(study.settings, estimates, strict=True)
        ],
        [
            "Ranges are 5 % and 95 % points of the material card's ranges, the clamp and the print time's band.",
            *CAUTIONS,
        ],
    )
    if args.material:
        columns = ["value", "best", "range", "basis", "evidence"]
        print_table("Material", columns, material_rows(study), words=columns[3:])
    return 0
