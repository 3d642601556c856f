"""The table of runs as text: bytes, encoding, delimiter, rows without comments."""

from collections.abc import Iterable, Iterator
from pathlib import Path

from patterns.errors import DataError
from patterns.files import LONGEST_LINE, UnreadableFileError, read_regular


def file_bytes(path: Path) -> bytes:
    """Return the file's bytes."""
    try:
        return read_regular(path)
    except UnreadableFileError as error:
        raise DataError(f"{path}: {error}") from None


def table_text(raw: bytes, path: Path) -> str:
    """Return the text of UTF-8, or of UTF-16 that says so at its start."""
    try:
        text = raw.decode("utf-16" if raw[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig")
    except UnicodeDecodeError as error:
        raise DataError(f"{path}: not UTF-8 text (byte {error.start}); save it as UTF-8 CSV") from None
    if max(map(len, text.splitlines()), default=0) > LONGEST_LINE:
        raise DataError(f"{path}: has a line of more than {LONGEST_LINE} characters; it is no table of beams")
    return text


def delimiter_of(text: str) -> str:
    """Return what separates the names in the first line that is no comment."""
    first = next(
        (line for line in text.splitlines() if line.strip() and not line.lstrip().startswith("#")), ""
    )
    return max(",;\t", key=first.count)


def holds_data(row: list[str]) -> bool:
    """Return whether a line is neither blank nor a comment."""
    return any(cell.strip() for cell in row) and not row[0].lstrip().startswith("#")


def filled_rows(
    rows: Iterable[list[str]], width: int, path: Path, problems: list[str]
) -> Iterator[tuple[list[str], int]]:
    """Yield the cells of each row with its line; rows of another length are problems."""
    for row in rows:
        line = rows.line_num  # type: ignore[attr-defined]
        if not holds_data(row):
            continue
        if len(row) < width or any(cell.strip() for cell in row[width:]):
            problems.append(f"{path}:{line}: {len(row)} cells under {width} columns")
            continue
        yield [cell.strip() for cell in row], line
