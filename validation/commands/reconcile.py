"""Put measured beams beside the finite-element estimate and handbook beam theory, setting by setting."""

import argparse

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
    from validation.measured.fill_notes import fill_notes
    from validation.measured.measured import read_specimens
    from validation.measured.reconcile import check_failed, mean_error, reconcile
    from validation.measured.repeats import repeats_of
    from validation.measured.size_doubts import size_doubts
    from validation.measured.unit_doubts import unit_doubts
    from validation.results.beside import row_dict
    from validation.results.columns import MEASURED
    from validation.results.estimates import all_warnings
    from validation.results.repeats import repeats_dict
    from validation.study.estimates import estimate_all
    from validation.study.study import load
    from validation.text.output import print_json, remark

    study = load(args.study)
    measured = read_specimens(study)
    estimates = estimate_all(study, args.quiet)
    rows = reconcile(study, measured, estimates)
    error = mean_error(rows, lambda row: row.force_ratio)
    repeats = {quantity: found for quantity in MEASURED if (found := repeats_of(rows, quantity))}
    excluded = [beam for beam in measured.beams if not beam.valid]
    if args.json:
        print_json(
            {
                "study": study.table.title,
                "invented": study.table.invented,
                "settings": [row_dict(row) for row in rows],
                "mean_error": {
                    "breaking_force": error,
                    "stiffness": mean_error(rows, lambda row: row.stiffness_ratio),
                    "mass": mean_error(rows, lambda row: row.mass_ratio),
                    "solid_bar_force": mean_error(rows, lambda row: row.theory_ratio),
                },
                "repeats": {quantity: repeats_dict(found) for quantity, found in repeats.items()},
                "excluded": [
                    {"line": beam.line, "specimen": beam.specimen, "reason": beam.exclude_reason}
                    for beam in excluded
                ],
            }
        )
    else:
        notes = (
            *unit_doubts(rows),
            *size_doubts(rows),
            *all_warnings(study, estimates),
            *fill_notes(study.settings, estimates),
        )
        for text in (*measured.remarks, *(f"note: {item}" for item in notes)):
            remark(text, args.quiet)
        _print(study.table.title, study.table.invented, rows, repeats, excluded)
    failed = args.check is not None and (error is None or error > args.check)
    if failed:
        remark(f"fillbend: {check_failed(error, args.check)}", args.quiet)
    return 1 if failed else 0


def _print(title: str, invented: bool, rows: list, repeats: dict, excluded: list) -> None:
    from validation.measured.reconcile import mean_error
    from validation.measured.repeats import repeats_lines
    from validation.text.mode_words import mode_words
    from validation.text.numbers import significant
    from validation.text.output import CAUTIONS, print_table

    def measured(sample: object) -> str:
        if sample is None:
            return "-"
        ends = sample.interval  # type: ignore[attr-defined]
        span = f" ±{significant(ends.high - ends.best, 2)}" if ends else ""
        return f"{significant(sample.mean)}{span}"  # type: ignore[attr-defined]

    def band(value: object) -> str:
        if value is None:
            return "-"
        return f"{significant(value.best)} ({significant(value.low)} to {significant(value.high)})"  # type: ignore[attr-defined]

    notes = ["Measured: mean ± half the 95 % interval of the mean. Estimate: best (5 % to 95 % point)."]
    for name, ratio in (
        ("breaking force", lambda row: row.force_ratio),
        ("stiffness", lambda row: row.stiffness_ratio),
        ("mass", lambda row: row.mass_ratio),
        ("solid-bar theory, breaking force", lambda row: row.theory_ratio),
    ):
        error = mean_error(rows, ratio)
        if error is not None:
            notes.append(f"Mean size of measured/estimated - 1, {name}: {100 * error:.0f} %.")
    notes += ["", "What the repeats say:"] if repeats else []
    for found in repeats.values():
        notes += repeats_lines(found)
    notes.append("")
    notes += [
        f"Excluded: {beam.specimen or f'line {beam.line}'}, {beam.exclude_reason}." for beam in excluded
    ]
    if invented:
        notes.append("The measurements of this study are invented.")
    print_table(
        f"{title}: breaking force",
        ["setting", "n", "measured N", "estimate N", "ratio", "mode", "solid bar N"],
        [
            [
                row.named.label,
                str(row.force.n if row.force else 0),
                measured(row.force),
                band(row.estimate.breaking_force),
                significant(row.force_ratio),
                mode_words(row.estimate.mode),
                significant(row.estimate.theory_force),
            ]
            for row in rows
        ],
    )
    print_table(
        f"\n{title}: stiffness and mass",
        [
            "setting",
            "measured N/mm",
            "estimate N/mm",
            "ratio",
            "measured g",
            "estimate g",
            "force per mass N/g",
        ],
        [
            [
                row.named.label,
                measured(row.stiffness),
                band(row.estimate.stiffness),
                significant(row.stiffness_ratio),
                measured(row.mass),
                significant(row.estimate.mass.best),
                significant(row.strength_to_mass),
            ]
            for row in rows
        ],
        ["", *notes, *CAUTIONS],
    )
