"""From lines to blocks of numbers under their names, in one pass that never holds the whole text."""

from collections.abc import Iterable, Iterator, Sequence

from patterns.errors import DataError
from validation.rig.blocks import Block, Pause, Result, Tables
from validation.rig.columns import Column, describe_column
from validation.rig.dialect import Dialect, split_row
from validation.rig.header import Caption, Describe, find_caption
from validation.rig.numbers import read_cell
from validation.rig.record import Dropped
from validation.rig.rows import Layout, plain_lines, read_row, read_rows
from validation.rig.units import FORCE, TIME, TRAVEL

_MOST_REMARKS = 400
_MOST_DROPPED = 200_000
_MOST_NAMELESS = 2_000
_MOST_CELLS = 3_000
_MOST_TRIES = 3_000
_BULK = 8192
_FEW = 8


def read_tables(
    batches: Iterable[list[str]],
    dialect: Dialect,
    describe: Describe = describe_column,
    columns: tuple[Column, ...] = (),
    skip: int = 0,
) -> Tables:
    """Return the blocks of numbers in a file.

    Parameters
    ----------
    batches : iterable of list of str
        The lines, in order.
    dialect : Dialect
        How rows are cut and numbers written.
    describe : callable, optional
        Judges a column by position, name, unit and label.
    columns : tuple of Column, optional
        Force, travel and time by position, for tables without names.
    skip : int
        Lines at the top to ignore.

    Raises
    ------
    DataError
        If hardly any line fits a table.
    """
    reader = _Reader(dialect, describe, columns)
    for number, lines in _numbered(batches, skip):
        reader.feed(number, lines)
    reader.finish()
    return reader.tables


def _numbered(batches: Iterable[list[str]], skip: int) -> Iterator[tuple[int, list[str]]]:
    """Yield batches with the number of their first line, without the skipped ones."""
    number = 1
    for lines in batches:
        start = max(0, min(len(lines), skip + 1 - number))
        yield number + start, lines[start:]
        number += len(lines)


def nameless_message(tables: Tables) -> str:
    """Return why rows of numbers could not be used, and the remedy."""
    if tables.mismatch:
        return (
            f"{tables.mismatch}; which number is which cannot be told. Give columns by number in a --profile"
        )
    return (
        f"rows of numbers have neither names nor units (first: {tables.nameless_example}); "
        f"give them in a --profile, such as {_example(tables.nameless_width)}"
    )


def _example(width: int) -> str:
    """Return how a profile names columns and units of a table of so many columns."""
    if width < 2:
        return '[columns] force = 1 and [units] force = "N"'
    return '[columns] force = 2, travel = 1 and [units] force = "N", travel = "mm"'


class _Reader:
    """The state of the pass: the open block, and the text since its last row."""

    def __init__(self, dialect: Dialect, describe: Describe, columns: tuple[Column, ...]) -> None:
        self.dialect = dialect
        self.describe = describe
        self.columns = columns
        self.tables = Tables()
        self.block: Block | None = None
        self.foreign: Caption | None = None
        self.pending: list[tuple[int, str]] = []
        self.blank = False
        self.quoted: list[tuple[int, str]] = []
        self.tries = 0

    def feed(self, number: int, lines: Sequence[str]) -> None:
        """Take lines, the first of which has the given number."""
        at, size = 0, _BULK
        while at < len(lines):
            slow = 1
            if self.block is not None and not self.pending and not self.blank:
                part = lines[at : at + size]
                taken = self._bulk(number + at, part)
                if not taken:
                    # Where a line is at fault, the ones before it still go fast.
                    plain = plain_lines(part, self.block.layout)
                    taken = self._bulk(number + at, part[:plain]) if plain >= _FEW else 0
                    size = max(_FEW, min(size, 2 * plain))
                    slow = 1 if plain < len(part) else 8 * _FEW
                at += taken
                if taken == len(part):
                    size = min(_BULK, 2 * size)
                    continue
            for k in range(at, min(at + slow, len(lines))):
                self._line(number + k, lines[k])
            at = min(at + slow, len(lines))

    def _bulk(self, number: int, lines: Sequence[str]) -> int:
        """Append lines to the open block if all of them are plain; return how many."""
        assert self.block is not None
        values = read_rows(lines, self.block.layout)
        if values is None:
            return 0
        self.block.add_many(number, values)
        return len(lines)

    def finish(self) -> None:
        """Close what is open."""
        self._unquote()
        for block in self.tables.blocks:
            block.close()
        self.tables.remarks += self.pending[:_MOST_REMARKS]

    def _line(self, number: int, line: str) -> None:
        """Take one line; a quoted name may run over several."""
        if self.quoted or self._opens_quote(line):
            self.quoted.append((number, line))
            joined = " ".join(text for _, text in self.quoted)
            if joined.count('"') % 2 == 0:
                number, self.quoted = self.quoted[0][0], []
                self._whole_line(number, joined)
            elif len(self.quoted) > 6:
                self._unquote()
            return
        self._whole_line(number, line)

    def _opens_quote(self, line: str) -> bool:
        """Say whether the line ends inside a quoted cell of text."""
        if '"' not in line or line.count('"') % 2 == 0:
            return False
        start = line.rfind('"')
        before = line[:start].rstrip(" ")
        return (not before or before.endswith(self.dialect.delimiter)) and any(
            c.isalpha() for c in line[start:]
        )

    def _unquote(self) -> None:
        """Take lines that waited for a closing quote as they stand."""
        held, self.quoted = self.quoted, []
        for number, line in held:
            self._whole_line(number, line)

    def _whole_line(self, number: int, line: str) -> None:
        """Take one line: a row of the open block, the first row of another, or text."""
        texts = split_row(line, self.dialect.delimiter)
        if len(texts) > _MOST_CELLS:
            raise DataError(f"line {number} has {len(texts)} cells; at most {_MOST_CELLS} columns are read")
        if not any(texts):
            self.blank = True
            return
        if self.block is None or self.pending:
            if self._opens_another(number, texts):
                return
        if self.block is not None:
            row = read_row(texts, self.block.layout)
            if isinstance(row, list):
                self._keep(number, texts, row)
                return
            if row is not None:
                self._drop(number, row)
                if any(read_cell(text, self.dialect.decimal).kind == "text" for text in texts):
                    self._remember(number, line)
                return
        self._text(number, line, texts)

    def _keep(self, number: int, texts: list[str], row: list[float]) -> None:
        """Append a row to the open block."""
        block = self.block
        assert block is not None
        if (self.pending or self.blank) and block.n_rows:
            block.pauses.append(Pause(block.n_rows, tuple(text for _, text in self.pending)))
            for line, text in self.pending:
                self.tables.remarks.append((line, text))
        self.pending, self.blank = [], False
        for column, value in zip(block.layout.kept, row, strict=True):
            if (
                value != value
                and column.role != TIME
                and column.index < len(texts)
                and len(block.holes) < 10_000
            ):
                block.holes[number, column.index] = texts[column.index].strip()
        for g, reason in block.layout.faults.items():
            if len(block.faults) < _MOST_DROPPED:
                block.faults.update(((number, k), reason) for k in block.layout.groups[g].columns)
        block.add(number, row)

    def _opens_another(self, number: int, texts: list[str]) -> bool:
        """Open a new block if this row of numbers fits names or units of its own; say whether it was used up."""
        cells = [read_cell(text, self.dialect.decimal) for text in texts]
        if not any(cell.kind == "number" for cell in cells):
            return False
        self.tries += 1
        if self.tries > _MOST_TRIES and (self.block is None or self.tries > self.block.n_rows):
            raise DataError(
                f"more than {_MOST_TRIES} lines with numbers among words fit no table (line {number}: "
                f"'{self.dialect.delimiter.join(texts)[:40]}'); is it the raw record?"
            )
        filled = len(texts)
        while filled and not texts[filled - 1]:
            filled -= 1
        for width in dict.fromkeys((filled, len(texts))):
            caption = find_caption(self.pending, width, self.dialect, self.describe) if self.pending else None
            if caption is None:
                continue
            if caption.foreign:
                self.foreign, self.block = caption, None
                self.tables.remarks += self.pending
                self.pending = []
                self._text(number, self.dialect.delimiter.join(texts), texts)
                return True
            if self._open(number, texts, caption, len(texts)):
                return True
        if self.block is not None:
            return False
        if self.columns:
            return self._open(number, texts, Caption(0, self.columns), len(texts), fixed_width=False)
        return not any(cell.kind == "text" for cell in cells) and self._open_by_units(number, texts)

    def _open(
        self, number: int, texts: list[str], caption: Caption, width: int, fixed_width: bool = True
    ) -> bool:
        """Open a block under a caption if its first row holds; say whether it did."""
        kept = tuple(column for column in caption.columns if column.role in (FORCE, TRAVEL, TIME))
        if not any(column.role == FORCE for column in kept):
            return False
        layout = Layout(self.dialect, width, kept, fixed_width)
        layout.adapt(texts)
        row = read_row(texts, layout)
        if not isinstance(row, list):
            return False
        remarks = tuple(self.pending[-_MOST_REMARKS:])
        # What stood above the names belongs to them: no rows of the block before.
        above = {line for line, _ in remarks}
        while self.tables.dropped and self.tables.dropped[-1].line in above:
            self.tables.dropped.pop()
        self.tables.remarks += remarks
        self.block, self.foreign = Block(layout, caption, remarks), None
        self.block.nameless = tuple(
            column.index
            for column in caption.columns
            if column.index
            and not column.name
            and column.role is None
            and column.index < len(texts)
            and read_cell(texts[column.index], self.dialect.decimal).kind == "number"
        )
        self.tables.blocks.append(self.block)
        self.pending, self.blank = [], False
        self._keep(number, texts, row)
        return True

    def _open_by_units(self, number: int, texts: list[str]) -> bool:
        """Open a block without names whose rows carry their units, as handheld gauges write them."""
        cells = [read_cell(text, self.dialect.decimal) for text in texts]
        columns = []
        for j, cell in enumerate(cells):
            beside = cells[j + 1] if j + 1 < len(cells) and cells[j + 1].kind == "unit" else None
            unit = cell.unit if cell.kind == "number" else None
            unit = unit or (
                beside.unit if beside is not None and cell.kind in ("number", "placeholder") else None
            )
            if cell.kind == "time":
                columns.append(Column(j, "", TIME))
            elif unit is not None and unit.dimension in (FORCE, TRAVEL, TIME):
                columns.append(Column(j, "", unit.dimension, unit))
        if not any(column.role == FORCE for column in columns):
            return False
        return self._open(number, texts, Caption(0, tuple(columns)), len(texts))

    def _text(self, number: int, line: str, texts: Sequence[str] = ()) -> None:
        """Take a line that is no row of the open block."""
        cells = [read_cell(text, self.dialect.decimal) for text in texts]
        kinds = {cell.kind for cell in cells}
        if "text" in kinds or not kinds & {"number", "placeholder"}:
            self._remember(number, line)
            return
        if "number" not in kinds:
            if self.block is not None:
                self._drop(number, "no numbers, only placeholders")
            return
        if self.foreign is not None:
            self._drop(number, f"belongs to another table ({self.foreign.names[:60]})")
        elif self.block is None:
            self._nameless(number, line, len(texts))
        else:
            self._drop(number, "numbers that fit no column of the table")
        if len(self.tables.results) < _MOST_REMARKS:
            self.tables.results.append(Result(number, self.foreign, tuple(texts)))

    def _nameless(self, number: int, line: str, width: int) -> None:
        """Count numbers under no names; remember a row of names that has another number of cells."""
        tables = self.tables
        tables.nameless += 1
        tables.nameless_width = tables.nameless_width or width
        tables.nameless_example = tables.nameless_example or line.strip()[:60]
        if tables.nameless <= _MOST_REMARKS:
            self._drop(number, "numbers without names or units above them")
        elif tables.nameless > _MOST_NAMELESS and not tables.blocks:
            raise DataError(nameless_message(tables))
        if tables.nameless > 3 or tables.mismatch:
            return
        for line_number, text in reversed(self.pending):
            for n in range(2, 40):
                caption = (
                    find_caption([(line_number, text)], n, self.dialect, self.describe)
                    if n != width
                    else None
                )
                if caption is not None and sum(column.role is not None for column in caption.columns) > 1:
                    tables.mismatch = f"line {line_number} names {n} columns, but the rows below have {width}"
                    return

    def _drop(self, number: int, reason: str) -> None:
        """Record a refused line."""
        if len(self.tables.dropped) >= _MOST_DROPPED:
            raise DataError(f"more than {_MOST_DROPPED} lines do not fit the table (line {number}: {reason})")
        self.tables.dropped.append(Dropped(number, reason))

    def _remember(self, number: int, line: str) -> None:
        """Keep a text line for names, labels and peaks, up to a limit."""
        self.pending.append((number, line[:2000]))
        if len(self.pending) > 2 * _MOST_REMARKS:
            del self.pending[:_MOST_REMARKS]
