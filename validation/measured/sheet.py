"""Rows of somebody's table of beams: text in any encoding and with any separator, or a spreadsheet's own file."""

import csv
import hashlib
import io
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from patterns.errors import DataError
from patterns.files import LONGEST_LINE, UnreadableFileError, read_regular
from validation.measured.file_kinds import is_workbook, no_table
from validation.rig.decode import detect_encoding
from validation.rig.dialect import declared_delimiter
from validation.rig.numbers import read_cell
from validation.text.output import unguarded

_DELIMITERS = ",;\t|"
_MOST_ABOVE = 10  # lines of titles that may stand above the headings
Row = tuple[int, tuple[str, ...]]


@dataclass(frozen=True)
class Sheet:
    """A table as cells of text.

    Attributes
    ----------
    headings : tuple of str
        Names of the columns; units that stand in a row of their own are put behind them in brackets.
    line : int
        Line of the headings in the file.
    rows : tuple of (int, tuple of str)
        Line and cells of each row that is neither blank nor a comment.
    delimiter : str
        What separates the cells, "" in a workbook.
    sha256 : str
        Of the file's bytes.
    guesses : tuple of str
        What was taken for granted.
    """

    headings: tuple[str, ...]
    line: int
    rows: tuple[Row, ...]
    delimiter: str
    sha256: str
    guesses: tuple[str, ...] = ()


def read_sheet(path: Path, known: Callable[[str], bool]) -> Sheet:
    """Read a table of beams.

    Parameters
    ----------
    path : Path
        Text with commas, semicolons, tabs or bars, or a workbook.
    known : callable
        Whether a heading means anything; the line with most of them is that of the headings.

    Raises
    ------
    DataError
        If the file is missing, is no table, or is a workbook and its reader is not installed.
    """
    try:
        raw = read_regular(path)
    except UnreadableFileError as error:
        raise DataError(f"{path}: {error}") from None
    digest = hashlib.sha256(raw).hexdigest()
    if is_workbook(raw):
        return _best([(rows, "", guess) for guess, rows in _workbook(raw, path)], known, digest)
    if what := no_table(raw, path.suffix):
        raise DataError(f"{path}: {what}; a table of broken beams is wanted here (CSV, one row per beam)")
    text, guess = _text(raw, path)
    if max(map(len, text.splitlines()), default=0) > LONGEST_LINE:
        raise DataError(f"{path}: has a line of more than {LONGEST_LINE} characters; it is no table of beams")
    return _best([(_cut(text, mark), mark, guess) for mark in _marks(text)], known, digest)


def _text(raw: bytes, path: Path) -> tuple[str, str]:
    """Return the text and what its encoding was taken for, "" where there is no doubt."""
    try:
        found = detect_encoding(raw)
        return raw.decode(found.name, "strict" if not found.guess else "replace"), found.guess
    except DataError as error:
        raise DataError(f"{path}: {error}") from None
    except UnicodeDecodeError as error:
        raise DataError(
            f"{path}: not {error.encoding} text (byte {error.start}); save it as UTF-8 CSV"
        ) from None


def _marks(text: str) -> Sequence[str]:
    """Return the separators to be tried: the one that a spreadsheet declares, or all that there are."""
    declared = declared_delimiter(text.partition("\n")[0].rstrip("\r"))
    return declared or [mark for mark in _DELIMITERS if mark in text] or ","


def _cut(text: str, mark: str) -> list[Row]:
    """Return the rows that hold data under a separator."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark)
    try:
        rows = [(reader.line_num, tuple(cell.strip() for cell in row)) for row in reader]
    except csv.Error:
        return []
    return [row for row in rows if any(row[1]) and not row[1][0].startswith("#") and not _declares(row[1])]


def _declares(cells: Sequence[str]) -> bool:
    return cells[0].lower().startswith("sep=")


def _workbook(raw: bytes, path: Path) -> list[tuple[str, list[Row]]]:
    """Return name and rows of each sheet of a spreadsheet's own file."""
    try:
        import python_calamine
    except ImportError:
        raise DataError(
            f"{path}: is a spreadsheet's own file: `pip install python-calamine` lets fillbend read it, or save the "
            "table as CSV"
        ) from None
    try:
        book = python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(raw))
        sheets = [
            (name, book.get_sheet_by_name(name).to_python(skip_empty_area=False)) for name in book.sheet_names
        ]
    except (python_calamine.CalamineError, OSError, ValueError) as error:
        raise DataError(f"{path}: is no readable spreadsheet ({error}); save the table as CSV") from None
    found = []
    for name, cells in sheets:
        rows = [(line, tuple(map(_plain, row))) for line, row in enumerate(cells, 1)]
        rows = [row for row in rows if any(row[1]) and not row[1][0].startswith("#")]
        found.append((f"sheet '{name}' of {len(sheets)}" if len(sheets) > 1 else "", rows))
    return found


def _plain(value: Any) -> str:
    """Return a spreadsheet's cell as text, numbers with a decimal point."""
    if isinstance(value, bool):
        return str(int(value))
    if isinstance(value, float):
        return f"{value:.15g}"
    return str(value).strip()


def _best(tries: Sequence[tuple[list[Row], str, str]], known: Callable[[str], bool], digest: str) -> Sheet:
    """Return the reading whose line of headings says most; without any, the one with most columns."""
    rated = [(_headings(rows, known), rows, mark, guess) for rows, mark, guess in tries]
    (_, _, at), rows, mark, guess = max(rated, key=lambda one: one[0][:2])
    if not rows:
        return Sheet((), 1, (), mark, digest)
    line, names = rows[at]
    guesses = [guess] if guess else []
    if at:
        guesses.append(f"headings taken from line {line}; lines above are not used")
    below = rows[at + 1 :]
    if below and (units := _units(below[0][1])):
        names = tuple(f"{name} [{unit}]" if unit else name for name, unit in zip(names, units, strict=False))
        below = below[1:]
    kept = tuple((number, tuple(unguarded(cell) for cell in cells)) for number, cells in below)
    return Sheet(tuple(map(unguarded, names)), line, kept, mark, digest, tuple(guesses))


def _headings(rows: list[Row], known: Callable[[str], bool]) -> tuple[int, int, int]:
    """Return how many headings are known in the line that has most, its cells, and its place."""
    rated = [
        (sum(known(cell) for cell in cells if cell), len(cells), -place)
        for place, (_, cells) in enumerate(rows[:_MOST_ABOVE])
    ]
    best = max(rated, default=(0, 0, 0))
    if best[0] < 2 and rated:
        best = rated[0]
    return best[0], best[1], -best[2]


def _units(cells: Sequence[str]) -> list[str] | None:
    """Return the units in a row that holds nothing else, None for any other row."""
    kinds = {read_cell(cell, ".").kind for cell in cells}
    if "unit" not in kinds or not kinds <= {"unit", "empty", "placeholder"}:
        return None
    return [cell.strip("[]() ") if read_cell(cell, ".").kind == "unit" else "" for cell in cells]


def decimal_sign(cells: Iterable[str]) -> tuple[str, str]:
    """Return the decimal sign of a table and a cell that leaves it open, "" where none does.

    A cell such as 98,5 reads under one sign only; 1.234 reads under both, as 1.234 and as 1234. Where all that
    have a sign are of the second kind, nobody but the writer knows.

    Examples
    --------
    >>> decimal_sign(["1.234,5", "12"]), decimal_sign(["1.234", "12"]), decimal_sign(["12.5", "1,234"])
    ((',', ''), ('.', '1.234'), ('.', ''))
    """
    votes = {".": 0, ",": 0}
    open_cell = ""
    for cell in cells:
        found = {sign: _number(cell, sign) for sign in votes}
        known = [sign for sign, one in found.items() if one is not None]
        if len(known) == 1:
            votes[known[0]] += 1
        elif len(known) == 2 and found["."] != found[","]:
            open_cell = open_cell or cell
    if votes["."] == votes[","]:
        return ".", open_cell
    return ("." if votes["."] > votes[","] else ","), ""


def _number(text: str, sign: str) -> float | None:
    """Return what a cell is worth under a sign, None where it is no number."""
    cell = read_cell(text, sign)
    return cell.value if cell.kind == "number" else None
