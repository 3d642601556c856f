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

    rows = _rows()
    if args.json:
        print_json({"bead_width_mm": BEAD_WIDTH, "patterns": rows})
    else:
        _print_table(rows)
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
    return {
        "name": option.name,
        "flag": option.flag,
        "default": option.default,
        "low": option.low,
        "high": option.high,
        "unit": option.unit,
        "help": option.help,
    }


def _print_table(rows: list[dict[str, Any]]) -> None:
    import sys

    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    # Off a terminal a fixed wide page keeps columns whole for files and pipes.
    console = Console(width=None if sys.stdout.isatty() else 160, highlight=False)
    table = Table(box=None, pad_edge=False, header_style="bold")
    for name in ("pattern", "kind", "set fill", "what it is, and its own options"):
        table.add_column(name, overflow="fold", no_wrap=name != "what it is, and its own options")
    for row in rows:
        low, high = row["set_fill_range"]
        about = [f"{row['summary']}; pitch: {row['pitch_means']}", *map(_option_line, row["options"])]
        table.add_row(*map(Text, (row["slug"], row["kind"], f"{low:.2f} to {high:.2f}", "\n".join(about))))
    console.print(table)
    console.print(
        f"Set fill that a {BEAD_WIDTH} mm bead reaches with its default corner radius; less radius, more reach."
    )


def _option_line(option: dict[str, Any]) -> str:
    unit = f" {option['unit']}" if option["unit"] else ""
    default = "" if option["default"] is None else f" {option['default']:g}{unit}"
    return f"  {option['flag']}{default}: {option['help']} ({option['low']:g} to {option['high']:g}{unit})"
