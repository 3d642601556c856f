"""What a page is made of: sections of paragraphs, lists, tables and figures. The template escapes every text."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import ClassVar

from fem.material.bands import Band
from validation.statistics import Interval
from validation.text.numbers import bound_text, significant


@dataclass(frozen=True)
class Text:
    """A paragraph."""

    text: str
    kind: ClassVar[str] = "text"


@dataclass(frozen=True)
class Bullets:
    """A list of lines."""

    lines: Sequence[str]
    kind: ClassVar[str] = "bullets"


@dataclass(frozen=True)
class TableCell:
    """A cell of a table: the number or word it is sorted by, what is shown, and a range in smaller type."""

    value: float | str | None
    text: str
    range: str = ""


@dataclass(frozen=True)
class Table:
    """A table that can be sorted and copied.

    Attributes
    ----------
    caption : str
        What it holds; names the table for readers that do not see it.
    columns : sequence of str
        Headings, with the unit.
    rows : sequence of sequence of TableCell
        The first cell names the row.
    words : collection of int
        Places of columns that hold words, set to the left; the first always does.
    """

    caption: str
    columns: Sequence[str]
    rows: Sequence[Sequence[TableCell]]
    words: Sequence[int] = ()
    kind: ClassVar[str] = "table"


@dataclass(frozen=True)
class Figure:
    """An inline SVG element, which is trusted and not escaped, with its caption.

    ``narrow`` is the same picture for a screen as wide as a hand, "" where the first one does for all.
    """

    svg: str
    caption: str
    narrow: str = ""
    kind: ClassVar[str] = "figure"

    @property
    def wide(self) -> bool:
        """Whether it needs the page's whole width."""
        width = re.search(r'\bwidth="([\d.]+)pt"', self.svg)
        return width is not None and float(width.group(1)) > 560


@dataclass(frozen=True)
class Download:
    """A file inside the page."""

    name: str
    text: str
    about: str
    kind: ClassVar[str] = "download"


Block = Text | Bullets | Table | Figure | Download


@dataclass(frozen=True)
class PageSection:
    """A section of the page; ``slug`` is its anchor (letters and hyphens); a folded one opens at a touch."""

    slug: str
    title: str
    blocks: Sequence[Block]
    folded: bool = False


def word(text: str) -> TableCell:
    """Return a cell with a word."""
    return TableCell(text, text)


def number(value: float | None, digits: int = 3) -> TableCell:
    """Return a cell with a number of so many significant digits, a count in full, or a dash without a value."""
    if value is None:
        return TableCell(None, "–")
    return TableCell(value, str(value) if isinstance(value, int) else significant(value, digits))


def bound(value: float | None) -> TableCell:
    """Return a cell with a lower bound, rounded down."""
    return TableCell(value, "–" if value is None else bound_text(value))


def told(value: Interval | None, at: float | None = None) -> TableCell:
    """Return a cell with an interval's best value (or ``at``) and, smaller, its ends."""
    if value is None:
        return TableCell(None, "–")
    best = value.best if at is None else at
    return TableCell(best, significant(best), f"{significant(value.low)}–{significant(value.high)}")


def without_empty(table: Table) -> Table:
    """Return a table without the columns in which no row has a value."""
    kept = [
        k
        for k in range(len(table.columns))
        if k == 0 or any(row[k].value not in (None, "") for row in table.rows)
    ]
    return replace(
        table,
        columns=[table.columns[k] for k in kept],
        rows=[[row[k] for k in kept] for row in table.rows],
        words=[kept.index(k) for k in table.words if k in kept],
    )


def fraction(value: float | None) -> TableCell:
    """Return a cell with a fill, without the zeros that nobody types."""
    return TableCell(value, "–" if value is None else f"{value:.3g}")


def percent(share: float | None) -> TableCell:
    """Return a cell with a share as a percentage."""
    return TableCell(share, "–" if share is None else f"{100 * share:.0f} %")


def band(value: Band | None, scale: float = 1.0) -> TableCell:
    """Return a cell with best value times ``scale`` and, smaller, the 5 % to 95 % points."""
    if value is None:
        return TableCell(None, "–")
    value = value.scaled(scale)
    return TableCell(
        value.best, significant(value.best), f"{significant(value.low)}–{significant(value.high)}"
    )
