"""List the patterns with their options and reachable fills."""

import argparse
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from patterns.kinds.option import Option

BEAD_WIDTH = 0.45
"""mm; the bead that the reachable fills are listed for."""

EPILOG = """example: fillbend patterns --json

Every pattern also takes --corner-radius (default: a quarter of the bead width) and an angle."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare the command's options."""
    parser.add_argument("--json", action="store_true", help="one JSON object instead of the table")


def run(args: argparse.Namespace) -> int:
    """Print the catalogue."""
    from validation.text.output import print_json
    from validation.text.patterns import print_patterns

    rows = _rows()
    if args.json:
        print_json({"bead_width_mm": BEAD_WIDTH, "patterns": rows})
    else:
        print_patterns(rows, BEAD_WIDTH)
    return 0


def _rows() -> list[dict[str, Any]]:
    """One dictionary per pattern, in order of kind and name."""
    from patterns.catalogue import CATALOGUE
    from patterns.fill import default_corner_radius
    from patterns.kinds.pattern import KINDS

    rows = []
    for pattern in sorted(CATALOGUE.values(), key=lambda one: (KINDS.index(one.kind), one.slug)):
        low, high = pattern.fill_range(BEAD_WIDTH, default_corner_radius(BEAD_WIDTH))
        rows.append(
            {
                "slug": pattern.slug,
                "kind": pattern.kind,
                "summary": pattern.summary,
                "pitch_means": pattern.pitch_means,
                "axis_1": pattern.axis_1,
                "symmetry": pattern.symmetry,
                "set_fill_range": [low, high],
                "options": [_option(option) for option in pattern.options],
            }
        )
    return rows


def _option(option: "Option") -> dict[str, Any]:
    from validation.commands.pattern_options import flag_of

    return {
        "name": option.name,
        "flag": flag_of(option),
        "default": option.default,
        "low": option.low,
        "high": option.high,
        "unit": option.unit,
        "help": option.help,
    }
