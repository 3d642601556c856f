"""The table of patterns with their own options."""

from collections.abc import Mapping, Sequence
from typing import Any

from validation.text.screen import print_table


def print_patterns(rows: Sequence[Mapping[str, Any]], bead_width: float) -> None:
    """Print one line per pattern, its own options below; reachable fills are those of a bead so wide, mm."""
    columns = ("pattern", "kind", "set fill", "what it is, and its own options")
    cells = []
    for row in rows:
        low, high = row["set_fill_range"]
        about = [f"{row['summary']}; pitch: {row['pitch_means']}", *map(_option_line, row["options"])]
        cells.append((row["slug"], row["kind"], f"{low:.2f} to {high:.2f}", "\n".join(about)))
    print_table(
        "",
        columns,
        cells,
        [
            f"Set fill that a {bead_width} mm bead reaches with its default corner radius; less radius, more reach."
        ],
        words=(columns[1], columns[3]),
    )


def _option_line(option: Mapping[str, Any]) -> str:
    unit = f" {option['unit']}" if option["unit"] else ""
    default = "" if option["default"] is None else f" {option['default']:g}{unit}"
    return f"  {option['flag']}{default}: {option['help']} ({option['low']:g} to {option['high']:g}{unit})"
