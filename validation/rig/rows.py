"""Rows of numbers under known columns: one at a time with reasons, or thousands at once."""

import csv
import re
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from validation.rig.columns import Column
from validation.rig.dialect import Dialect
from validation.rig.footers import names_totals, totals_among
from validation.rig.groups import Group, specimen_groups
from validation.rig.numbers import OVERLOADS, Cell, read_cell
from validation.rig.units import FORCE, TIME, TRAVEL, Unit


@dataclass
class Layout:
    """Where force, travel and time stand in a row.

    ``kept`` are the columns with a role; ``width`` the cells of a row as it is written, blank ones included. ``beside``
    gives for a kept column the column that repeats its unit in every row. ``units`` are filled in from rows.
    ``guard`` is a first column of numbers that is not kept, and ``wordy`` says that rows hold words: both betray lines
    of totals. ``groups`` are the columns of each specimen; ``faults`` why the last row read is refused for some
    of them, by group.
    """

    dialect: Dialect
    width: int
    kept: tuple[Column, ...]
    fixed_width: bool = True
    beside: dict[int, int] = field(default_factory=dict)
    units: dict[int, Unit] = field(default_factory=dict)
    inline: bool = False
    clocks: frozenset[int] = frozenset()
    overloads: int = 0
    unit_changes: int = 0
    guard: int | None = None
    wordy: bool = False
    groups: tuple[Group, ...] = ()
    faults: dict[int, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for column in self.kept:
            if column.unit is not None and column.unit.dimension == column.role:
                self.units[column.index] = column.unit
        self.groups = tuple(specimen_groups(self.kept))

    def adapt(self, texts: Sequence[str]) -> None:
        """Learn from the first row where units and times of day stand."""
        cells = [read_cell(text, self.dialect.decimal) for text in texts]
        # Times in words nobody knows, or on some rows only, are done without.
        timed = {j for j, cell in enumerate(cells) if cell.kind in ("number", "time")}
        self.kept = tuple(column for column in self.kept if column.role != TIME or column.index in timed)
        self.groups = tuple(specimen_groups(self.kept))
        taken = {column.index for column in self.kept}
        for column in self.kept:
            j = column.index
            if j >= len(cells):
                continue
            if column.role in (FORCE, TRAVEL) and j + 1 < len(cells) and j + 1 not in taken:
                unit = cells[j + 1].unit
                if cells[j + 1].kind == "unit" and unit is not None and unit.dimension == column.role:
                    self.beside[j] = j + 1
                    self.units.setdefault(j, unit)
            self.inline = self.inline or (cells[j].kind == "number" and cells[j].unit is not None)
        times = [column.index for column in self.kept if column.role == TIME and column.index < len(cells)]
        if cells and cells[0].kind == "number" and 0 not in {column.index for column in self.kept}:
            self.guard = 0
        self.wordy = any(cell.kind == "text" for cell in cells)
        self.clocks = frozenset(j for j in times if cells[j].kind == "time")


def read_row(texts: Sequence[str], layout: Layout) -> list[float] | str | None:
    """Return the kept numbers of a row (NaN for a blank), a reason for refusing it, or None if it holds no numbers.

    A row is refused whole for a specimen: shifted or cut rows must not give a plausible number. Side by side, each
    specimen's cells are judged by themselves; those refused are NaN, with the reasons in ``layout.faults``.
    """
    kept = layout.kept
    filled = len(texts)
    while filled and not texts[filled - 1]:
        filled -= 1
    cells = [
        read_cell(texts[c.index], layout.dialect.decimal) if c.index < len(texts) else None for c in kept
    ]
    if not any(cell is not None and cell.kind == "number" for cell in cells):
        return None
    if any("\x00" in text for text in texts):
        return "NUL bytes inside the row"
    if filled > layout.width and layout.fixed_width:
        return f"{filled} cells, the table has {layout.width}"
    if word := _word_among(texts, cells, layout):
        return word
    found = [_value(texts, column, cell, layout) for column, cell in zip(kept, cells, strict=True)]
    layout.faults = {}
    values = [float("nan")] * len(kept)
    held = False
    for g, group in enumerate(layout.groups):
        reason = _fault(group, texts, cells, found, kept)
        if reason:
            layout.faults[g] = reason
            continue
        for k in group.columns:
            value = found[k]
            values[k] = value if isinstance(value, float) else float("nan")
            held = held or values[k] == values[k]
    if held:
        return values
    return next(iter(layout.faults.values()), None)


def _word_among(texts: Sequence[str], cells: Sequence[Cell | None], layout: Layout) -> str:
    """Return why words make a row one of remarks or totals, empty if it holds none where its first row had none."""
    for column, cell in zip(layout.kept, cells, strict=True):
        if cell is not None and cell.kind in ("text", "unit"):
            return f"'{texts[column.index].strip()[:24]}' is no number ({column.name or column.role})"
    for j, text in enumerate(texts):
        # "Min" is a minute as well.
        if j == layout.guard and read_cell(text, layout.dialect.decimal).kind in ("text", "unit"):
            return f"'{text.strip()[:24]}' stands in a column of numbers: a line of totals or remarks"
        if layout.wordy and names_totals(text):
            return f"'{text.strip()[:24]}' names a line of totals"
    return ""


def _fault(
    group: Group,
    texts: Sequence[str],
    cells: Sequence[Cell | None],
    found: Sequence[float | str],
    kept: Sequence[Column],
) -> str:
    """Return why a row is refused for one specimen, empty if it is not."""
    own = [cells[k] for k in group.columns if kept[k].role != TIME]
    if not any(cell is not None and cell.kind == "number" for cell in own):
        return ""
    for k in group.columns:
        reason, cell, column = found[k], cells[k], kept[k]
        if isinstance(reason, str):
            return reason
        if column.role == TIME and cell is not None and cell.kind in ("empty", "placeholder"):
            return f"{column.name or 'time'} is '{texts[column.index].strip()}', a line of totals or a damaged row"
    return ""


def _value(texts: Sequence[str], column: Column, cell: Cell | None, layout: Layout) -> float | str:
    """Return a cell's number in the unit of its column, NaN for none, or why the cell spoils its row."""
    if cell is None:
        # Side by side, a shorter specimen just ends; a cut row lacks what is wanted and falls out later.
        return float("nan")
    if cell.kind == "placeholder" and column.role == FORCE:
        layout.overloads += texts[column.index].strip().lower() in OVERLOADS
    value = float(cell.value)
    unit = cell.unit if cell.kind == "number" else None
    if unit is None and column.index in layout.beside and cell.kind == "number":
        unit = _unit_beside(texts, layout.beside[column.index], layout)
        if unit is None:
            return f"no unit beside '{texts[column.index]}'"
    if unit is not None:
        base = layout.units.setdefault(column.index, unit)
        if base.dimension != unit.dimension:
            return f"unit changes from {base.symbol} to {unit.symbol}"
        if base.factor != unit.factor:
            layout.unit_changes += 1
            value *= unit.factor / base.factor
    return value


def _unit_beside(texts: Sequence[str], index: int, layout: Layout) -> Unit | None:
    """Return the unit in a row's unit column."""
    cell: Cell | None = read_cell(texts[index], layout.dialect.decimal) if index < len(texts) else None
    return cell.unit if cell is not None and cell.kind == "unit" else None


def read_rows(lines: Sequence[str], layout: Layout) -> np.ndarray | None:
    """Return the kept numbers of many lines, shape (n_lines, n_kept), or None unless every line is beyond doubt.

    This is the fast road: numpy's C reader, taken only where all rows have the same number of cells, and no thousands
    separators, placeholders or changing units stand in them. Anything else goes line by line.
    """
    if layout.inline or not lines:
        return None
    text = "\n".join(lines)
    if "\x00" in text:
        return None
    if layout.wordy and totals_among(text):
        return None
    if layout.clocks or layout.beside or '"' in text:
        return _read_cells(lines, layout, '"' in text)
    dialect = layout.dialect
    if dialect.delimiter == " ":
        if {len(line.split()) for line in lines} != {layout.width}:
            return None
    elif {line.count(dialect.delimiter) for line in lines} != {layout.width - 1}:
        return None
    if dialect.decimal == ",":
        if "." in text:
            return None
        lines = text.replace(",", ".").split("\n")
    elif dialect.delimiter != "," and "," in text:
        return None
    mark = None if dialect.delimiter == " " else dialect.delimiter
    wanted = [column.index for column in layout.kept]
    parsed = _parsed(lines, mark, wanted if layout.guard is None else [*wanted, layout.guard])
    return None if parsed is None else parsed[:, : len(wanted)]


def _read_cells(lines: Sequence[str], layout: Layout, quoted: bool) -> np.ndarray | None:
    """Return the kept numbers of lines with quotes, times of day or units in every row, or None."""
    dialect = layout.dialect
    if dialect.delimiter == " ":
        if quoted:
            return None
        table = [line.split() for line in lines]
    elif quoted:
        table = list(csv.reader(lines, delimiter=dialect.delimiter, skipinitialspace=True))
    else:
        table = [line.split(dialect.delimiter) for line in lines]
    if (
        len(table) != len(lines)
        or {len(row) for row in table} != {layout.width}
        or not _same_units(table, layout)
    ):
        return None
    if layout.guard is not None and any(
        word.strip()[:1].isalpha() for word in {row[layout.guard] for row in table}
    ):
        return None
    values = np.empty((len(lines), len(layout.kept)))
    for k, column in enumerate(layout.kept):
        words = [row[column.index] for row in table]
        if column.index in layout.clocks:
            values[:, k] = _seconds(words)
            if np.isnan(values[:, k]).any():
                return None
            continue
        text = "\n".join(words)
        if (dialect.decimal == "," and "." in text) or (dialect.decimal == "." and "," in text):
            return None
        parsed = _parsed(text.replace(",", ".").split("\n"), "\t", [0])
        if parsed is None:
            return None
        values[:, k] = parsed[:, 0]
    return values


def _parsed(lines: Sequence[str], delimiter: str | None, columns: list[int]) -> np.ndarray | None:
    """Return columns of numbers if every line gives finite ones, else None."""
    if not all(line.strip() for line in lines):
        return None
    try:
        parsed = np.loadtxt(lines, delimiter=delimiter, usecols=columns, comments=None, ndmin=2)
    except (ValueError, IndexError):
        return None
    if len(parsed) != len(lines) or not (np.abs(parsed) < 1e30).all():
        return None
    return parsed


def _seconds(words: Sequence[str]) -> list[float]:
    """Return times of day in seconds; what stands before the seconds repeats and is read once."""
    known: dict[str, float] = {}
    found = []
    for word in words:
        prefix, colon, rest = word.strip().rpartition(":")
        if colon and rest.replace(".", "", 1).isdigit() and rest.isascii():
            if prefix not in known:
                known[prefix] = read_cell(f"{prefix}:00", ".").value
            found.append(known[prefix] + float(rest))
        else:
            found.append(read_cell(word, ".").value)
    return found


def plain_lines(lines: Sequence[str], layout: Layout) -> int:
    """Return how many leading lines hold plain numbers in all kept columns."""
    pattern = _plain_pattern(layout)
    for n, line in enumerate(lines):
        if pattern.fullmatch(line) is None:
            return n
    return len(lines)


def _plain_pattern(layout: Layout) -> re.Pattern[str]:
    """Return a pattern of whole lines; columns that are not wanted, and times and units, may hold anything."""
    mark = layout.dialect.delimiter
    free = rf"[^{re.escape(mark)}]*" if mark != " " else r"[^ \t]+"
    sign = re.escape(layout.dialect.decimal)
    number = rf' *"?[+-]?(?:\d+(?:{sign}\d*)?|{sign}\d+)(?:[eE][+-]?\d+)?"? *'
    wanted = {column.index for column in layout.kept} - layout.clocks
    cells = [number if j in wanted else free for j in range(layout.width)]
    text = re.escape(mark).join(cells) if mark != " " else r"[ \t]*" + r"[ \t]+".join(cells) + r"[ \t]*"
    return re.compile(text, re.ASCII)


def _same_units(table: list[list[str]], layout: Layout) -> bool:
    """Say whether every row carries the unit already known for its column."""
    for j, k in layout.beside.items():
        for word in {row[k].strip() for row in table}:
            cell = read_cell(word, layout.dialect.decimal)
            if cell.unit is None or cell.unit != layout.units.get(j):
                return False
    return True
