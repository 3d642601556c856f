"""List every key of a study file with its unit, default and meaning."""

import argparse

EPILOG = """example:
  fillbend keys
  fillbend keys core"""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    parser.add_argument("table", nargs="?", metavar="TABLE", help="one table, such as core; all if left out")
    parser.add_argument("--json", action="store_true", help="one JSON object on standard output")


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    from dataclasses import asdict

    from patterns.errors import InputError
    from validation.commands.usage import nearest
    from validation.study.study_keys import study_keys
    from validation.text.keys import print_keys
    from validation.text.output import print_json

    keys = study_keys()
    if args.table:
        wanted = args.table.strip("[]")
        tables = dict.fromkeys(key.name.partition(".")[0] for key in keys)
        keys = [key for key in keys if key.name == wanted or key.name.startswith(f"{wanted}.")]
        if not keys:
            raise InputError(f"{args.table} is no table of a study{nearest(wanted, tables)}")
    if args.json:
        print_json({"keys": [asdict(key) for key in keys]})
    else:
        print_keys(keys)
    return 0
