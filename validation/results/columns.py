"""Quantities, their units and the names of their columns: one definition for JSON output, tables and figures.

A column's name ends in its unit. The keys that a study varies keep their dotted names ("core.set_fill"), and no other
column's name holds a dot; so a table read back from CSV says by itself what was varied. Ends of a band are
``_low`` and ``_high`` before the unit; what was measured starts with ``measured_``.
"""

from collections.abc import Iterable, Mapping
from typing import Any

from fem.tables import UNITS as UNITS
from fem.tables import column as column
from validation.measured.repeats import Quantity

PlainRow = dict[str, Any]
MEASURED: tuple[Quantity, ...] = ("breaking_force", "stiffness", "mass")
ROLES = ("wall", "face", "core")
SHARES = ("EI", "GA", "mass")


def one_word(value: Any) -> Any:
    """Return a varied key's value; a list becomes one word.

    Examples
    --------
    >>> one_word([45.0, -45.0]), one_word(0.3)
    ('45.0/-45.0', 0.3)
    """
    return "/".join(map(str, value)) if isinstance(value, list) else value


def numbers(rows: Iterable[Mapping[str, Any]], name: str) -> list[float]:
    """Return the known numbers of a column."""
    return [row[name] for row in rows if row.get(name) is not None]
