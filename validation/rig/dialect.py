"""Which delimiter and decimal sign a file uses: guesses scored by the rectangular rows of numbers they give."""

import csv
import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from patterns.errors import DataError
from validation.rig.columns import describe_column
from validation.rig.numbers import Cell, read_cell

NAMES = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar", " ": "blanks"}
DECIMALS = {".": "decimal point", ",": "decimal comma"}

CLEAR = 1.25
"""A winner has at least this many times the rows of the best other reading that gives other numbers."""


@dataclass(frozen=True)
class Dialect:
    """How rows are cut and numbers are written."""

    delimiter: str
    decimal: str

    def __str__(self) -> str:
        return f"{NAMES[self.delimiter]} between columns, {DECIMALS[self.decimal]}"


@dataclass(frozen=True)
class Score:
    """What a dialect makes of the sample.

    ``rows`` is the number of rows of the most frequent shape; ``width`` its number of columns; ``proof`` the numbers
    that read only with this decimal sign; ``named`` the force, travel and time columns named in a row of that width;
    ``doubt`` the first number of a column that is all thousands separators, empty if there is none.
    """

    dialect: Dialect
    rows: int
    width: int
    proof: int
    named: int
    values: tuple[tuple[float, ...], ...]
    doubt: str = ""

    @property
    def example(self) -> str:
        """The first row of numbers under this reading."""
        return " | ".join(f"{value:g}" for value in self.values[0] if value == value)


def split_row(line: str, delimiter: str) -> list[str]:
    """Cut a line into cells; quotes protect delimiters, runs of blanks count as one.

    Examples
    --------
    >>> split_row('0.1,"1,5"', ",")
    ['0.1', '1,5']
    """
    if delimiter == " ":
        return [word for cell in re.split(r"[ \t]+", line) if (word := cell.strip('"'))]
    if '"' in line and len(line) < 100_000:
        return [
            cell.strip() for cell in next(csv.reader([line], delimiter=delimiter, skipinitialspace=True), [])
        ]
    return [cell.strip() for cell in line.split(delimiter)]


def declared_delimiter(line: str) -> str | None:
    """Return the delimiter that a spreadsheet's first line ``sep=;`` declares, or None."""
    match = re.fullmatch(r"\ufeff?\"?sep=(.)\"?[,;]*", line.strip(" "), re.IGNORECASE)
    return match.group(1) if match is not None and match.group(1) in NAMES else None


def choose_dialect(
    sample: Sequence[str], delimiter: str | None = None, decimal: str | None = None
) -> Dialect:
    """Return the one dialect that makes most sense of some lines of a file.

    Parameters
    ----------
    sample : sequence of str
        Lines from the head, and from further down in a long file.
    delimiter, decimal : str, optional
        Fixed by a profile or by the file itself.

    Raises
    ------
    DataError
        If no reading gives rows of numbers, or two readings give different numbers and neither is clearly better; the
        candidates are shown.
    """
    scores = [
        score
        for sign in ([decimal] if decimal else [".", ","])
        for mark in ([delimiter] if delimiter else list(NAMES))
        if (score := score_dialect(sample, Dialect(mark, sign))).rows
    ]
    if not scores and (name := _name_before_numbers(sample)):
        raise DataError(
            f"the quantities stand in rows ('{name}', then its numbers), not in columns; transpose the table and save "
            "it again"
        )
    if not scores:
        raise DataError(
            "holds no rows of numbers under any delimiter and decimal sign tried; is it the raw record?"
        )
    signed = [score for score in scores if score.dialect.delimiter in "\t;|" and score.width > 1]
    if signed and CLEAR * max(score.rows for score in signed) > max(score.rows for score in scores):
        # Cut by blanks, a table loses its blank cells, and the cells to their right stand under other names.
        scores = [score for score in scores if score.dialect.delimiter != " "]
    scores.sort(key=lambda score: (score.rows, score.named, score.proof), reverse=True)
    best = scores[0]
    # Readings with the same numbers (tab or blanks, point or comma in whole numbers) are no rivals.
    rivals = [score for score in scores[1:] if score.values != best.values and score.rows * CLEAR > best.rows]
    if not rivals and not best.doubt:
        return best.dialect
    leader = max([best, *rivals], key=lambda score: (score.named, score.proof))
    distinct = {score.values: score for score in reversed([best, *rivals])}
    others = [score for score in distinct.values() if score.values != leader.values]
    if not leader.doubt and all(_beats(leader, other) for other in others):
        return leader.dialect
    if leader.doubt and not others:
        raise DataError(
            f"'{leader.doubt}' and all other numbers of its column have a separator and three digits: "
            "thousands or a decimal sign? say decimal in a --profile"
        )
    shown = "; ".join(f"{score.dialect}: first row {score.example}" for score in [leader, *others][:3])
    raise DataError(
        f"the numbers can be read in more than one way ({shown}); say decimal and delimiter in a --profile"
    )


def _name_before_numbers(sample: Sequence[str]) -> str:
    """Return the name of force or travel that a line of numbers begins with, empty if there is none."""
    for line in sample:
        for mark in NAMES:
            name, *cells = split_row(line, mark) or [""]
            numbers = sum(read_cell(cell, sign).kind == "number" for sign in DECIMALS for cell in cells[:20])
            if numbers >= 5 and describe_column(0, name).role is not None:
                return name[:40]
    return ""


def _beats(leader: Score, other: Score) -> bool:
    """Say whether the evidence for one reading excludes another that has about as many rows."""
    if leader.named != other.named:
        return leader.named > other.named
    if (
        leader.dialect.delimiter == other.dialect.delimiter
        and leader.dialect.decimal != other.dialect.decimal
    ):
        return leader.proof > 0 and other.proof == 0
    return False


def score_dialect(sample: Sequence[str], dialect: Dialect) -> Score:
    """Return what a dialect makes of the sample lines."""
    rows: list[tuple[list[str], list[Cell]]] = []
    captions: Counter[int] = Counter()
    for line in sample:
        texts = _strip_trailing(split_row(line, dialect.delimiter))
        if not texts:
            continue
        cells = [read_cell(text, dialect.decimal) for text in texts]
        kinds = {cell.kind for cell in cells}
        if "number" not in kinds:
            # Rows of numbers cut by a wrong sign are no names: they hold no letter.
            named = any(map(str.isalpha, line))
            roles = {role for text in texts if named and (role := describe_column(0, text).role)}
            captions[len(texts)] = max(captions[len(texts)], len(roles))
        elif "text" not in kinds or captions[len(texts)] > 1:
            # A column of words (a state, a remark) is let in under a row of names only.
            rows.append((texts, cells))
    shapes = Counter(len(cells) for _, cells in rows)
    width, count = max(shapes.items(), key=lambda item: (item[1], item[0]), default=(0, 0))
    kept = [(texts, cells) for texts, cells in rows if len(cells) == width]
    numbers = [cell for _, cells in kept for cell in cells if cell.kind == "number"]
    if dialect.decimal == "," and not any(cell.fraction for cell in numbers):
        # Without one decimal comma the point reading of the same cells is the plain one.
        return Score(dialect, 0, 0, 0, 0, ())
    proof = sum(1 for cell in numbers if cell.fraction and not _like_thousands(cell))
    values = tuple(tuple(cell.value for cell in cells if cell.kind == "number") for _, cells in kept[:200])
    return Score(dialect, count, width, proof, captions[width], values, _all_grouped(kept, width))


def _like_thousands(cell: Cell) -> bool:
    """Say whether a number with a decimal sign might be a whole number with a thousands separator (``1,234``)."""
    scaled = abs(cell.value) * 1000
    return 1000 <= scaled < 1e6 and abs(scaled - round(scaled)) < 1e-6 and not cell.grouped


def _all_grouped(rows: list[tuple[list[str], list[Cell]]], width: int) -> str:
    """Return the first number of a column with a separator in every number and never a fraction: hardly thousands."""
    for j in range(width):
        column = [(texts[j], cells[j]) for texts, cells in rows if cells[j].kind == "number"]
        if column and all(cell.grouped and not cell.fraction for _, cell in column):
            return column[0][0]
    return ""


def _strip_trailing(texts: list[str]) -> list[str]:
    """Return cells without the blank ones at the end."""
    end = len(texts)
    while end and not texts[end - 1]:
        end -= 1
    return texts[:end]
