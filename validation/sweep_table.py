"""The table of a sweep: one line per setting in the study's order, one number or word per column."""

import csv
import io
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

from fem.failure import MODES
from patterns.errors import InputError
from validation.output import write_atomically

# Name in a row: name and unit in the table, between which the end of the band goes.
_BANDS = {
    "stiffness_N_per_mm": ("stiffness", "N_per_mm"),
    "breaking_force_N": ("breaking_force", "N"),
    "EI_N_mm2": ("EI", "N_mm2"),
    "GA_N": ("GA", "N"),
    "GJ_N_mm2": ("GJ", "N_mm2"),
    "mass_g": ("mass", "g"),
    "print_time_min": ("print_time", "min"),
}
_ENDS = ("low", "best", "high")


def write_table(path: Path, rows: Iterable[dict[str, Any] | None], varied: Sequence[str]) -> int:
    """Write the rows there are as CSV, whole or not at all, and return their number.

    Parameters
    ----------
    path : Path
        The table.
    rows : iterable of dict or None
        Results or errors in the order wanted; None for settings that are not finished.
    varied : sequence of str
        Keys of the study that tell the settings apart: the first columns.

    Raises
    ------
    InputError
        If the table cannot be written.
    """
    columns = [*varied, "label"]
    columns += [f"{name}_{end}_{unit}" for name, unit in _BANDS.values() for end in _ENDS]
    columns += ["mode", *(f"{mode}_N" for mode in MODES), "set_fill", "geometric_fill", "error"]
    text, count = io.StringIO(), 0
    writer = csv.DictWriter(text, columns, lineterminator="\n")
    writer.writeheader()
    for row in rows:
        if row is not None:
            writer.writerow(flatten(row))
            count += 1
    try:
        write_atomically(path, text.getvalue())
    except OSError as error:
        raise InputError(f"{path}: cannot be written: {error.strerror}") from None
    return count


def flatten(row: dict[str, Any]) -> dict[str, Any]:
    """Return a result with one number or word per column: varied keys, ends of bands with their unit, or the error."""
    found: dict[str, Any] = {**row["varied"], "label": row["label"]}
    if "error" in row:
        return {**found, "error": row["error"]}
    for key, (name, unit) in _BANDS.items():
        for end in _ENDS:
            found[f"{name}_{end}_{unit}"] = None if row[key] is None else row[key][end]
    found["mode"] = row["mode"]
    for mode, band in row["modes_N"].items():
        found[f"{mode}_N"] = None if band is None else band["best"]
    return found | {"set_fill": row["fill"]["set"], "geometric_fill": row["fill"]["geometric"]}
