"""Find steps and kinks in a measured series, split each into geometry and weld, and weigh the named causes."""

import argparse

EPILOG = """example:
  fillbend explain demos/shelf_arm/study.toml
  fillbend explain demos/shelf_arm/study.toml --json

A series is a set of measured settings that differ in fill alone, at least four of them."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    parser.add_argument("study", metavar="STUDY.toml")
    parser.add_argument("--json", action="store_true", help="one JSON object on standard output")


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    from validation.explain.explain import explain
    from validation.explain.explain_output import explanation_dict, lines
    from validation.explain.verdict import verdict
    from validation.measured.look_again import look_again
    from validation.measured.measured import read_specimens
    from validation.measured.reconcile import reconcile
    from validation.study.estimates import estimate_all
    from validation.study.study import load
    from validation.text.output import CAUTIONS, print_json, remark
    from validation.text.screen import print_lines

    study = load(args.study)
    measured = read_specimens(study)
    for text in measured.remarks:
        remark(text, args.quiet)
    rows = reconcile(study, measured, estimate_all(study, args.quiet))
    explanations = explain(rows, study.table.rig.capacity_N)
    if args.json:
        series = [{**explanation_dict(item), "verdict": verdict(item)} for item in explanations]
        print_json(
            {
                "study": study.table.title,
                "invented": study.table.invented,
                "series": series,
                "cautions": list(CAUTIONS),
            }
        )
    else:
        print_lines([*(verdict(item) for item in explanations), *look_again(rows), ""])
        print_lines([study.table.title + (" (invented measurements)" if study.table.invented else "")])
        for item in explanations:
            print_lines(lines(item))
        print_lines(CAUTIONS)
    return 0
