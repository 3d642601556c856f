"""Plain rows as CSV, and back."""

import csv
import io
from collections.abc import Mapping, Sequence
from typing import Any

from patterns.errors import InputError
from validation.results.columns import PlainRow, column
from validation.text.output import guarded, unguarded

_SETTING_COLUMNS = ("setting", "pattern", "set_fill", column("mass"))


def to_csv(rows: Sequence[Mapping[str, Any]]) -> str:
    """Return rows as CSV; text that a spreadsheet would run as a formula is led by an apostrophe."""
    stream = io.StringIO()
    names = list(dict.fromkeys(name for row in rows for name in row))
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(names)
    writer.writerows([_cell(row.get(name)) for name in names] for row in rows)
    return stream.getvalue()


def read_rows(text: str) -> list[PlainRow]:
    """Return the rows of a table written by `to_csv`, numbers as numbers and empty cells as None.

    Raises
    ------
    InputError
        If the table has no row, lacks the columns of settings, or is one of measured beams.
    """
    lines = [line for line in text.splitlines(keepends=True) if not line.startswith("#")]
    table = csv.DictReader(lines, restkey="beyond the columns", restval="")
    if "specimen" in (table.fieldnames or ()):
        raise InputError("a table of measured beams, not of a sweep or report; give the study")
    rows = []
    for row in table:
        if "beyond the columns" in row:
            raise InputError(f"not a table of settings: more cells than columns at line {table.line_num}")
        rows.append({name: _value(cell) for name, cell in row.items()})
    if not rows:
        raise InputError("no row of a setting")
    missing = [name for name in _SETTING_COLUMNS if name not in rows[0]]
    if missing:
        raise InputError(f"not a table of settings: no column {', '.join(missing)}")
    return rows


def _value(cell: str | None) -> Any:
    if not cell:
        return None
    try:
        return int(cell)
    except ValueError:
        pass
    try:
        return float(cell)
    except ValueError:
        return unguarded(cell)


def _cell(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return str(int(value))
    if isinstance(value, float):
        return f"{value:.7g}"
    return guarded(value) if isinstance(value, str) else str(value)
