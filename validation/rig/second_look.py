"""A second look at the file, by other means than the first: no force may stand in a run's column and be in no run.

The first reading decides on layouts, captions, units and rows; any of these can go wrong in silence. Here lines are cut
by the delimiter alone, and in each column that a run took its force from, every number from the names to the next names
(or the end of the file) is held against what the runs hold: their largest, their smallest and their number of rows.
"""

import csv
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from patterns.errors import DataError
from validation.rig.dialect import Dialect, split_row
from validation.rig.footers import names_totals
from validation.rig.numbers import read_cell

MANY = 3
"""So many numbers beyond those of the runs mean that the layout was not understood: the file is refused."""

_PIECE = 8192
_FOOTERS = 20
_TOLERANCE = 1e-9
_LIBERAL = re.compile(
    r"([+-]?)\s?([\d.,'’ \u00a0\u202f\u2009]*\d[.,]?)([eEdD][+-]?\d{1,3})?(-?)\s*[^\d\s.,]{0,12}"
)


@dataclass
class Claim:
    """What the runs hold of one column: ``force`` at ``lines``, in the column's unit as written.

    ``first`` and ``last`` are the lines from the names to the next names; ``column`` counts from 0, ``name`` is the
    file's; ``runs`` are the numbers of the runs, ``told`` lines known to belong to other tables. The look fills in
    ``count``, all numbers found, ``beyond``, those above the largest or below the smallest force held, with the
    ``worst`` of them and its line, and ``footers``, those of lines with words as under a table.
    """

    column: int
    name: str
    first: int
    last: float
    lines: np.ndarray
    force: np.ndarray
    runs: tuple[int, ...] = ()
    told: frozenset[int] = frozenset()
    count: int = 0
    beyond: int = 0
    worst: tuple[float, float, int] = (0.0, 0.0, 0)
    footers: int = 0
    wordy: frozenset[int] | None = None

    def __post_init__(self) -> None:
        self.low, self.high = float(self.force.min()), float(self.force.max())
        self.slack = _TOLERANCE * max(abs(self.low), abs(self.high))

    def leave_out(self, line: int, value: float, row: Sequence[str], dialect: Dialect) -> None:
        """Take note of a number beyond those of the runs."""
        if line in self.told:
            return
        outside = not self.lines[0] <= line <= self.lines[-1]
        # Words where the run's own rows have them, such as a state, make no footer.
        footer = _words(row, dialect) - (self.wordy or frozenset()) or any(names_totals(text) for text in row)
        if outside and self.footers < _FOOTERS and footer:
            self.footers += 1
            return
        self.beyond += 1
        self.worst = max(self.worst, (max(value - self.high, self.low - value), value, line))


def look_again(batches: Iterable[list[str]], dialect: Dialect, claims: Sequence[Claim]) -> None:
    """Go through the lines once more and fill in what each claim leaves out."""
    number = 1
    for lines in batches:
        for start in range(0, len(lines), _PIECE):
            piece = lines[start : start + _PIECE]
            first = number + start
            near = [one for one in claims if one.first < first + len(piece) and first <= one.last]
            if near:
                _look_at(first, piece, dialect, near)
        number += len(lines)


def _look_at(first: int, piece: list[str], dialect: Dialect, claims: Sequence[Claim]) -> None:
    """Take a piece of the file."""
    # Cells to the right of the last force are not cut apart.
    rows = _cut(piece, dialect, max(claim.column for claim in claims) + 1)
    plain = dialect.decimal == "." or "." not in "\n".join(piece)
    for claim in claims:
        values = _column(rows, claim.column, dialect, plain)
        at = np.arange(first, first + len(rows))
        values[(at <= claim.first) | (at > claim.last)] = np.nan
        claim.count += int(np.isfinite(values).sum())
        if claim.wordy is None and first <= claim.lines[0] < first + len(rows):
            claim.wordy = _words(split_row(piece[int(claim.lines[0]) - first], dialect.delimiter), dialect)
        for k in np.flatnonzero((values > claim.high + claim.slack) | (values < claim.low - claim.slack)):
            claim.leave_out(
                int(at[k]), float(values[k]), split_row(piece[int(k)], dialect.delimiter), dialect
            )


def _cut(lines: list[str], dialect: Dialect, wanted: int) -> list[list[str]]:
    """Return the first cells of lines and the rest; a quote that runs on over lines is taken as a mere sign."""
    if dialect.delimiter == " ":
        return [line.replace('"', "").split() for line in lines]
    if '"' not in "\n".join(lines):
        return [line.split(dialect.delimiter, wanted) for line in lines]
    if max(map(len, lines)) < 100_000:
        rows = list(csv.reader(lines, delimiter=dialect.delimiter, skipinitialspace=True))
        if len(rows) == len(lines):
            return rows
    return [split_row(line, dialect.delimiter) for line in lines]


def _column(rows: Sequence[list[str]], column: int, dialect: Dialect, plain: bool) -> np.ndarray:
    """Return the numbers of one column, NaN for everything else."""
    try:
        if plain and dialect.decimal == ".":
            return _finite([float(row[column]) for row in rows])
        if plain:
            return _finite([float(row[column].replace(",", ".")) for row in rows])
    except (ValueError, IndexError):
        pass
    return _finite([_number(row[column], dialect.decimal) if column < len(row) else np.nan for row in rows])


def _finite(values: list[float]) -> np.ndarray:
    """Return numbers with NaN for what is beyond any force."""
    found = np.array(values, dtype=float)
    found[~(np.abs(found) < 1e30)] = np.nan
    return found


def _number(text: str, decimal: str) -> float:
    """Return the number in a cell, with or without a unit behind it, else NaN."""
    if decimal == ".":
        try:
            return float(text)
        except ValueError:
            pass
    text = text.strip(" \t\"'\ufeff").replace("\u2212", "-")
    if not text:
        return float("nan")
    match = _LIBERAL.fullmatch(text)
    if match is None:
        return float("nan")
    sign, body, exponent, trail = match.groups()
    digits = re.sub(r"[^\d,.]", "", body).replace("." if decimal == "," else ",", "").replace(",", ".")
    try:
        value = float(digits + (exponent or "").lower().replace("d", "e"))
    except ValueError:
        return float("nan")
    return -value if "-" in (sign, trail) else value


def _words(row: Sequence[str], dialect: Dialect) -> frozenset[int]:
    """Return the cells of a row that hold words."""
    return frozenset(j for j, text in enumerate(row) if read_cell(text, dialect.decimal).kind == "text")


def judge(claim: Claim) -> tuple[str, str] | None:
    """Return a flag and what must be said of a claim's runs, None if nothing.

    Raises
    ------
    DataError
        If several numbers lie beyond the extremes of the runs.
    """
    column = f"column {claim.column + 1} ({claim.name or 'force'})"
    if claim.beyond:
        _, value, line = claim.worst
        text = (
            f"{claim.beyond} number(s) of {column} beyond the {claim.low:g} to {claim.high:g} read from it are in no "
            f"run, such as {value:g} at line {line}"
        )
        if claim.beyond >= MANY:
            raise DataError(
                f"{text}: the layout is not understood; give one table per file, or [columns] in a --profile"
            )
        return "force_left_out", text
    lost = claim.count - claim.footers - len(claim.force)
    if lost > max(5, 0.05 * len(claim.force)):
        return (
            "rows_left_out",
            f"{lost} of {claim.count} numbers of {column} are in no run, none beyond its extremes",
        )
    return None
