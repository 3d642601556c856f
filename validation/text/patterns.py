"""The table of patterns with their own options."""

from collections.abc import Mapping, Sequence
from typing import Any

from validation.text.output import page


def print_patterns(rows: Sequence[Mapping[str, Any]], bead_width: float) -> None:
    """Print one line per pattern, its own options below; reachable fills are those of a bead so wide, mm."""
    from rich.table import Table
    from rich.text import Text

    console = page()
    table = Table(box=None, pad_edge=False, header_style="bold")
    for name in ("pattern", "kind", "set fill", "what it is, and its own options"):
        table.add_column(name, overflow="fold", no_wrap=name != "what it is, and its own options")
    for row in rows:
        low, high = row["set_fill_range"]
        about = [f"{row['summary']}; pitch: {row['pitch_means']}", *map(_option_line, row["options"])]
        table.add_row(*map(Text, (row["slug"], row["kind"], f"{low:.2f} to {high:.2f}", "\n".join(about))))
    console.print(table)
    console.print(
        f"Set fill that a {bead_width} mm bead reaches with its default corner radius; less radius, more reach."
    )


def _option_line(option: Mapping[str, Any]) -> str:
    unit = f" {option['unit']}" if option["unit"] else ""
    default = "" if option["default"] is None else f" {option['default']:g}{unit}"
    return f"  {option['flag']}{default}: {option['help']} ({option['low']:g} to {option['high']:g}{unit})"
