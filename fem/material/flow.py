"""Deposited over set volume, the same for a whole beam: what a printer's flow and its filament's diameter make of it.

A beam that gets so many times the volume has as many times the mass, and beads as many times as large: stiffness and
what beads carry follow in proportion, contact between layers more than that, by the flats (`fem.printed.contact`).
"""

from collections.abc import Mapping
from typing import Any


def flow(draws: Mapping[str, Any]) -> Any:
    """Return the flow of each draw, 1 where a draw names none."""
    return draws.get("flow", 1.0)
