"""A column that names the specimen of each row, where all runs stand in one long table."""

import itertools
from collections.abc import Iterable

import numpy as np

from validation.rig.blocks import Block
from validation.rig.columns import fold
from validation.rig.dialect import Dialect, split_row
from validation.rig.record import Dropped
from validation.rig.split import SHORTEST, Series, continues

_SPECIMEN = frozenset(
    "specimen specimens sample probe prüfling probekörper éprouvette eprouvette probeta provino próbka proefstuk test "
    "piece run beam bar versuch essai ensayo prova".split()
)
_FILLERS = frozenset("no nr n° number num id name nummer numéro numero label code # of the".split())
_FEWEST_ROWS = 3
"""Rows per label, on average; a column with more labels counts rows."""


def label_column(block: Block) -> int | None:
    """Return the position of the column that names specimens, by its own name; None if there is none."""
    if block.caption is None:
        return None
    kept = {column.index for column in block.layout.kept}
    for column in block.caption.columns:
        words = set(fold(column.name).split())
        if column.index not in kept and words & _SPECIMEN and words <= _SPECIMEN | _FILLERS:
            return column.index
    return None


def read_labels(batches: Iterable[list[str]], blocks: Iterable[Block], dialect: Dialect) -> None:
    """Fill in ``labels`` and ``codes`` of the blocks that have such a column; a blank repeats the label above it."""
    wanted = [(block, column) for block in blocks if (column := label_column(block)) is not None]
    if not wanted:
        return
    for block, _ in wanted:
        block.codes = np.full(len(block.lines), -1)
    number = 1
    for lines in batches:
        for block, column in wanted:
            _take(block, column, number, lines, dialect)
        number += len(lines)


def _take(block: Block, column: int, first: int, lines: list[str], dialect: Dialect) -> None:
    """Read the labels of the rows that stand in some lines."""
    codes, known = block.codes, {name: k for k, name in enumerate(block.labels)}
    start, stop = (int(k) for k in np.searchsorted(block.lines, [first, first + len(lines)]))
    code = int(codes[start - 1]) if start else -1
    for row in range(start, stop):
        line = lines[int(block.lines[row]) - first]
        cells = (
            split_row(line, dialect.delimiter)
            if '"' in line or dialect.delimiter == " "
            else line.split(dialect.delimiter)
        )
        word = cells[column].strip() if column < len(cells) else ""
        if word:
            code = known.setdefault(word, len(known))
        codes[row] = code
    block.labels = list(known)


def by_label(block: Block, series: Series) -> tuple[list[tuple[str, Series]], list[Dropped], str]:
    """Return the rows of each specimen under its label, those of labels with too few rows, and what was guessed.

    One part without a label is returned where the column tells nothing apart: one label only, a count of rows, or
    labels that change inside a record that goes on.
    """
    whole = [("", series)]
    if not len(block.codes):
        return whole, [], ""
    codes = block.codes[np.searchsorted(block.lines, series.lines)]
    found = [int(code) for code in dict.fromkeys(codes.tolist())]
    if len(found) < 2 or len(found) * _FEWEST_ROWS > len(codes):
        return whole, [], ""
    parts, dropped = [], []
    for code in found:
        rows = np.flatnonzero(codes == code)
        label = block.labels[code] if code >= 0 else ""
        if len(rows) < SHORTEST:
            dropped += [
                Dropped(int(line), f"a specimen of {len(rows)} row(s) only ({label[:24]})")
                for line in series.lines[rows]
            ]
            continue
        parts.append((label, series.rows(rows)))
    steady = int(np.count_nonzero(np.diff(codes))) == len(found) - 1
    if steady and len(parts) > 1 and all(continues(a[1], b[1]) for a, b in itertools.pairwise(parts)):
        column = label_column(block)
        name = next(c.name for c in block.caption.columns if c.index == column) if block.caption else ""
        return whole, [], f"the record goes on where column '{name}' changes, so it is read as one run"
    return parts, dropped, ""
