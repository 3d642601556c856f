"""Options that several commands share."""

import argparse
import tomllib
from typing import Any

from patterns.errors import InputError


def add_changes(parser: argparse.ArgumentParser) -> None:
    """Add --with key=value, which changes a study's entry for this run."""
    parser.add_argument(
        "--with",
        dest="changes",
        action="append",
        default=[],
        metavar="KEY=VALUE",
        help="set an entry of the study for this run, as in core.set_fill=0.65 (repeatable)",
    )


def changes(args: argparse.Namespace) -> dict[str, Any]:
    """Return the --with options as dotted key to TOML value; a bare word is taken as text."""
    values = {}
    for item in args.changes:
        key, equals, text = item.partition("=")
        if not equals or not key:
            raise InputError(f"--with {item}: write KEY=VALUE, as in core.set_fill=0.65")
        try:
            values[key.strip()] = tomllib.loads(f"value = {text}")["value"]
        except tomllib.TOMLDecodeError:
            values[key.strip()] = text.strip()
    return values
