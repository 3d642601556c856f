"""The rows above a table: names, units and specimen labels of its columns."""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from validation.rig.columns import Column, describe_column
from validation.rig.dialect import NAMES, Dialect, split_row
from validation.rig.numbers import read_cell
from validation.rig.units import FORCE, OTHER, TRAVEL, Unit, find_unit, unit_in_name

Describe = Callable[[int, str, Unit | None, str], Column]
"""Judges what a column measures: the word lists, or a profile before them."""

_LOOK_BACK = 24
_QUANTITY = re.compile(
    r"stress|strain|spannung|dehnung|modul|energ|max|peak|break|yield|width|thick|specimen|probe|sample|mean",
    re.I,
)


@dataclass(frozen=True)
class Caption:
    """The names of a table's columns.

    ``line`` is where the names stand. ``foreign`` marks a table that is no force-travel record, such as a table of
    results.
    """

    line: int
    columns: tuple[Column, ...]
    foreign: bool = False

    @property
    def names(self) -> str:
        """The names as one line."""
        return ", ".join(column.name for column in self.columns if column.name)


def find_caption(
    texts: Sequence[tuple[int, str]], width: int, dialect: Dialect, describe: Describe = describe_column
) -> Caption | None:
    """Return the names for a table of ``width`` columns among the text lines above it, or None.

    Parameters
    ----------
    texts : sequence of (int, str)
        Line numbers and lines since the last row of numbers.
    width : int
        Columns of the table's first row. Only rows of names with exactly so many cells are taken: a missing or surplus
        name would shift all the others.
    dialect : Dialect
        How rows are cut.
    describe : callable, optional
        Judges a column by position, name, unit and label.
    """
    texts = texts[-_LOOK_BACK:]
    cut = [(line, cut_names(text, width, dialect)) for line, text in texts]
    cut = [
        (line, cells or _cut_short(text, cut[k + 1][1] if k + 1 < len(cut) else None, dialect))
        for k, ((line, cells), (_, text)) in enumerate(zip(cut, texts, strict=True))
    ]
    rows = [
        (line, cells) for line, cells in cut if cells and not any(_is_value(cell, dialect) for cell in cells)
    ]
    units = {line: _unit_row(cells) for line, cells in rows}
    named = [(line, cells) for line, cells in rows if units[line] is None]
    best = _best_caption(named, texts, dialect, units, describe)
    if best is None or not (
        _has_force(best) or any(_QUANTITY.search(column.name) for column in best.columns)
    ):
        # A row of units says enough where no names can be read.
        bare = [
            _caption(line, [""] * width, None, {line: row}, describe) for line, row in units.items() if row
        ]
        if bare and _worth(bare[-1]) > 1 and _has_force(bare[-1]):
            return bare[-1]
    if best is not None and _misses(best, texts, width, dialect):
        return None
    if best is None or _has_force(best):
        return best
    # A full row of names without a force is the head of another table, if it speaks of quantities at all.
    full = [column.name for column in best.columns]
    if len(full) > 1 and all(full) and any(_QUANTITY.search(name) or unit_in_name(name)[1] for name in full):
        return Caption(best.line, best.columns, foreign=True)
    return best if _worth(best) else None


def _best_caption(
    named: Sequence[tuple[int, list[str]]],
    texts: Sequence[tuple[int, str]],
    dialect: Dialect,
    units: dict[int, list[Unit | None] | None],
    describe: Describe,
) -> Caption | None:
    """Return the best caption that the rows of names make alone, over labels, or joined with the row above."""
    best: Caption | None = None
    for k, (line, cells) in enumerate(named):
        above = named[k - 1] if k and named[k - 1][0] >= line - 2 else None
        found: list[Caption | None] = [
            _caption(line, cells, _filled(above[1]) if above else None, units, describe)
        ]
        if above is not None and not any(caption is not None and _has_force(caption) for caption in found):
            joined = [f"{upper} {lower}".strip() for upper, lower in zip(above[1], cells, strict=True)]
            found.append(_caption(line, joined, None, units, describe))
        below = [(at, text) for at, text in texts if line < at <= line + 2]
        found += [_over_labels(at, cells, text, dialect, units, describe) for at, text in below]
        for caption in found:
            # Of equals the lowest row of names counts.
            if caption is not None and (best is None or _rank(caption) >= _rank(best)):
                best = caption
    return best


def _misses(best: Caption, texts: Sequence[tuple[int, str]], width: int, dialect: Dialect) -> bool:
    """Say whether a row beside the chosen one names force and travel, but not as many columns as the table has."""
    if {FORCE, TRAVEL} <= {column.role for column in best.columns if column.rank >= 0}:
        return False
    for line, text in texts:
        cells = split_row(text, dialect.delimiter)
        if 0 < best.line - line <= 2 and len(cells) != width:
            roles = [describe_column(0, cell).role for cell in cells]
            if {FORCE, TRAVEL} <= set(roles):
                return True
    return False


def _caption(
    line: int,
    cells: list[str],
    labels: list[str] | None,
    units: dict[int, list[Unit | None] | None],
    describe: Describe,
) -> Caption:
    """Return the caption that a row of names makes with the nearest row of units and the label of each column."""
    groups = labels or [""] * len(cells)
    near = [(abs(at - line - 0.5), row) for at, row in units.items() if row and abs(at - line) <= 4]
    row = min(near, key=lambda item: item[0])[1] if near else [None] * len(cells)
    return Caption(line, tuple(describe(j, cell, row[j], groups[j]) for j, cell in enumerate(cells)))


def _over_labels(
    line: int,
    names: list[str],
    text: str,
    dialect: Dialect,
    units: dict[int, list[Unit | None] | None],
    describe: Describe,
) -> Caption | None:
    """Return the caption of quantities over a row that names specimens, one quantity over several of them."""
    labels = split_row(text, dialect.delimiter)[: len(names)]
    labels += [""] * (len(names) - len(labels))
    if _unit_row(labels) or any(_is_value(cell, dialect) for cell in labels):
        return None
    if len({describe_column(0, label).role for label in labels} - {None}) > 1:
        return None
    spread = _filled(names)
    wide = [upper if label else name for upper, name, label in zip(spread, names, labels, strict=True)]
    caption = _caption(line, wide, labels, units, describe)
    told = [(column.role, column.group) for column in caption.columns if column.role is not None]
    # Each label once per quantity: names over labels, not a title over names.
    return caption if len(set(told)) == len(told) and _distinct(caption) > 1 else None


def _distinct(caption: Caption) -> int:
    """Count the different labels of the columns whose role is known."""
    return len({column.group for column in caption.columns if column.role is not None and column.group})


def _rank(caption: Caption) -> tuple[int, int, int, bool]:
    """Return what makes one caption better than another.

    Columns known, by name rather than by unit, different quantities among them, labels that tell columns apart.
    """
    named = sum(column.role is not None and column.rank >= 0 for column in caption.columns)
    roles = len({column.role for column in caption.columns})
    return _worth(caption), named, roles, _distinct(caption) > 1


def _worth(caption: Caption) -> int:
    """Count the columns whose role is known."""
    return sum(column.role is not None for column in caption.columns)


def _has_force(caption: Caption) -> bool:
    """Say whether a force is among the columns."""
    return any(column.role == FORCE for column in caption.columns)


def _filled(cells: list[str]) -> list[str]:
    """Return labels with blank cells taking the label to their left, as merged cells are saved."""
    label, filled = "", []
    for cell in cells:
        label = cell or label
        filled.append(label)
    return filled


def _is_value(cell: str, dialect: Dialect) -> bool:
    """Say whether a cell holds a number or a time, which no name does."""
    return read_cell(cell, dialect.decimal).kind in ("number", "time")


def _unit_row(cells: list[str]) -> list[Unit | None] | None:
    """Return the units if all filled cells are units and one of them is of force, travel or time; else None."""
    found = [find_unit(cell) if cell else None for cell in cells]
    filled = [unit for unit, cell in zip(found, cells, strict=True) if cell.strip("()[]{}<>-– .")]
    kinds = {unit.dimension for unit in filled if unit is not None}
    strangers = sum(unit is None for unit in filled)
    # The name of a column without a unit may stand in the row of units.
    if not filled or strangers > (1 if {FORCE, TRAVEL} <= kinds else 0):
        return None
    return found if any(unit is not None and unit.dimension != OTHER for unit in filled) else None


def cut_names(text: str, width: int, dialect: Dialect) -> list[str] | None:
    """Cut a text line into ``width`` cells, or return None.

    Names often hold blanks, or are cut by another sign than the numbers below; the file's own delimiter is tried first.

    Examples
    --------
    >>> cut_names("Time Axial Displacement Axial Force", 3, Dialect(" ", "."))
    ['Time', 'Axial Displacement', 'Axial Force']
    """
    text = re.sub(r"^\s*(?:#+|%+|//+)\s*", "", text.replace("\ufeff", ""))
    own = split_row(text, dialect.delimiter)
    while len(own) > width and not own[-1]:
        own.pop()
    if len(own) == width:
        return own
    cut_short = text.endswith(dialect.delimiter) or (len(own) > 1 and _unit_row(own) is not None)
    if len(own) < width and dialect.delimiter != " " and cut_short:
        return own + [""] * (width - len(own))
    if len(own) > 1 and dialect.delimiter != " ":
        # Cut by its own sign the line has other cells: cut by another it would be names by chance.
        return None
    ways = [split_row(text, mark) for mark in NAMES if mark not in (dialect.delimiter, " ")]
    ways += [re.split(r"\t+|\s{2,}", text.strip()), re.findall(r"[^()\[\]]*[(\[][^()\[\]]*[)\]]", text)]
    ways.append(_by_known_words(text))
    for cells in ways:
        cells = [cell.strip() for cell in cells]
        if len(cells) == width > 1 and any(describe_column(0, cell).role for cell in cells):
            return cells
        if len(cells) == width > 1 and all(find_unit(cell) for cell in cells):
            return cells
    return None


def _cut_short(text: str, below: list[str] | None, dialect: Dialect) -> list[str] | None:
    """Return the cells of a row of names whose last name spans several columns, over a full row of labels."""
    cells = split_row(text, dialect.delimiter)
    if below is None or not all(below[1:]) or _unit_row(below) or not 1 < len(cells) < len(below):
        return None
    if len({role for cell in cells if (role := describe_column(0, cell).role)}) < 2:
        return None
    return [*cells, *([""] * (len(below) - len(cells)))]


def _by_known_words(text: str) -> list[str]:
    """Cut a line after each word that names a quantity."""
    cells: list[str] = []
    start: list[str] = []
    for word in text.split():
        start.append(word)
        if describe_column(0, word).role is not None:
            cells.append(" ".join(start))
            start = []
    if start and cells:
        cells[-1] += " " + " ".join(start)
    return cells
