"""Blocks of numbers under one row of names, as they grow while a file is read."""

from dataclasses import dataclass, field

import numpy as np

from validation.rig.header import Caption
from validation.rig.record import Dropped
from validation.rig.rows import Layout


@dataclass(frozen=True)
class Pause:
    """A place inside a block where other lines stood, before row ``row``; ``texts`` are they, none for a blank line."""

    row: int
    texts: tuple[str, ...]


@dataclass
class Block:
    """Numbers under one row of names.

    ``values`` has shape (n_rows, n_kept) and ``lines`` the line number of each row; both exist after ``close``.
    ``holes`` are the words found where a number is missing, by line and column; ``faults`` why a line was refused for
    one of several specimens side by side, by line and position among the kept columns. ``nameless`` are columns that
    hold numbers without a name among named ones. ``labels`` are the specimens that a column names and ``codes`` which
    of them each row belongs to, -1 for none; empty without such a column.
    """

    layout: Layout
    caption: Caption | None
    remarks: tuple[tuple[int, str], ...]
    pauses: list[Pause] = field(default_factory=list)
    holes: dict[tuple[int, int], str] = field(default_factory=dict)
    faults: dict[tuple[int, int], str] = field(default_factory=dict)
    nameless: tuple[int, ...] = ()
    labels: list[str] = field(default_factory=list)
    codes: np.ndarray = field(default_factory=lambda: np.empty(0, dtype=np.int64))
    n_rows: int = 0
    values: np.ndarray = field(default_factory=lambda: np.empty((0, 0)))
    lines: np.ndarray = field(default_factory=lambda: np.empty(0, dtype=np.int64))
    _values: list[np.ndarray] = field(default_factory=list)
    _lines: list[np.ndarray] = field(default_factory=list)
    _loose: list[list[float]] = field(default_factory=list)
    _loose_lines: list[int] = field(default_factory=list)

    def add(self, line: int, values: list[float]) -> None:
        """Append one row."""
        self._loose.append(values)
        self._loose_lines.append(line)
        self.n_rows += 1

    def add_many(self, first: int, values: np.ndarray) -> None:
        """Append the rows of consecutive lines."""
        self._flush()
        self._values.append(values)
        self._lines.append(np.arange(first, first + len(values)))
        self.n_rows += len(values)

    def drop_last(self) -> None:
        """Take the last row back."""
        self.close()
        self.values, self.lines = self.values[:-1], self.lines[:-1]
        self._values, self._lines = [self.values], [self.lines]
        self.n_rows -= 1

    def close(self) -> None:
        """Join the pieces into ``values`` and ``lines``."""
        self._flush()
        if self._values:
            self.values, self.lines = np.concatenate(self._values), np.concatenate(self._lines)
            self._values, self._lines = [self.values], [self.lines]

    def _flush(self) -> None:
        if self._loose:
            self._values.append(np.array(self._loose, dtype=float))
            self._lines.append(np.array(self._loose_lines, dtype=np.int64))
            self._loose, self._loose_lines = [], []


@dataclass(frozen=True)
class Result:
    """A row of numbers of another table, with that table's names if it has any."""

    line: int
    caption: Caption | None
    texts: tuple[str, ...]


@dataclass
class Tables:
    """All blocks of a file, the lines around them and what was refused."""

    blocks: list[Block] = field(default_factory=list)
    dropped: list[Dropped] = field(default_factory=list)
    remarks: list[tuple[int, str]] = field(default_factory=list)
    results: list[Result] = field(default_factory=list)
    nameless: int = 0
    nameless_example: str = ""
    nameless_width: int = 0
    mismatch: str = ""
