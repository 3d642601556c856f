"""The table of a sweep: one line per setting in the study's order, with the columns of a report's settings."""

from collections.abc import Iterable
from pathlib import Path
from typing import Any

from patterns.errors import InputError
from validation.results.columns import PlainRow
from validation.results.csv_table import to_csv
from validation.results.estimates import estimate_row
from validation.text.output import write_atomically


def write_table(path: Path, rows: Iterable[dict[str, Any] | None]) -> int:
    """Write the rows there are as CSV, whole or not at all, and return their number.

    Parameters
    ----------
    path : Path
        The table.
    rows : iterable of dict or None
        Results or errors in the order wanted; None for settings that are not finished.

    Raises
    ------
    InputError
        If the table cannot be written.
    """
    flat = [flatten(row) for row in rows if row is not None]
    write_atomically(path, to_csv(flat))
    return len(flat)


def require_own_table(path: Path) -> None:
    """Raise InputError if a file stands at ``path`` that no sweep has written, since it would be lost."""
    if not path.is_file():
        return
    with path.open(encoding="utf-8", errors="replace") as stream:
        head = stream.readline().strip().split(",")
    if head != [""] and (head[0], head[-1]) != ("setting", "error"):
        raise InputError(
            f"{path}: is there already and is no table of a sweep; choose another output, nothing was written"
        )


def flatten(row: dict[str, Any]) -> PlainRow:
    """Return a result with one number or word per column; None everywhere but in the error where there is one."""
    return estimate_row(row["label"], row["varied"], row) | {"error": row.get("error")}
