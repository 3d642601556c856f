"""What leaves the program: JSON objects, tables, remarks and files written whole or not at all."""

import json
import math
import os
import sys
import tempfile
from collections.abc import Collection, Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from patterns.errors import InputError

if TYPE_CHECKING:
    from rich.console import Console

CAUTIONS = (
    "Wear eye protection and stand behind a shield when breaking beams.",
    "Short-term, room-temperature bending of this printer, spool and date only; not sustained load, heat or fatigue.",
    "Not for load-bearing, lifting, pressure, medical or vehicle use; local codes and licensed practice decide.",
)


def plain(value: Any) -> Any:
    """Return ``value`` with arrays and numpy numbers as lists and numbers, and undefined numbers as None."""
    if isinstance(value, dict):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [plain(item) for item in value]
    if hasattr(value, "tolist"):
        return plain(value.tolist())
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value


def to_json(data: dict[str, Any]) -> str:
    """Return one JSON object with ``schema_version`` first."""
    return json.dumps(plain({"schema_version": 1, **data}), ensure_ascii=False, allow_nan=False)


def print_json(data: dict[str, Any]) -> None:
    """Print exactly one JSON object on standard output."""
    print(to_json(data))


def page() -> "Console":
    """Return standard output as a page: off a terminal so wide that columns stay whole in files and pipes."""
    from rich.console import Console

    return Console(width=None if sys.stdout.isatty() else 160, highlight=False)


def print_table(
    title: str,
    columns: Sequence[str],
    rows: Iterable[Sequence[str]],
    notes: Sequence[str] = (),
    words: Collection[str] = (),
) -> None:
    """Print a table on standard output; the first column and those in ``words`` are text, the others numbers."""
    from rich.table import Table
    from rich.text import Text

    console = page()
    table = Table(title=title, title_justify="left", box=None, pad_edge=False, header_style="bold")
    for i, name in enumerate(columns):
        table.add_column(name, justify="left" if i == 0 or name in words else "right", overflow="fold")
    for row in rows:
        table.add_row(*(Text(str(cell)) for cell in row))
    console.print(table)
    for note in notes:
        console.print(Text(note))


def remark(text: str, quiet: bool = False) -> None:
    """Print one line on standard error."""
    if not quiet:
        print(text, file=sys.stderr)


def require_place(path: Path) -> None:
    """Raise InputError if a file cannot stand at ``path``, before work is spent on what it is to hold."""
    if path.is_dir():
        raise InputError(f"{path}: cannot be written: it is a folder; name a file in it")
    if not path.parent.is_dir():
        raise InputError(
            f"{path}: cannot be written: there is no folder '{path.parent}'; make it first or name another"
        )


def require_ending(path: Path, endings: Sequence[str], what: str) -> None:
    """Raise InputError if a file's name ends in none of ``endings``, which say how ``what`` is written."""
    if path.suffix.lower() not in endings:
        raise InputError(f"{path}: {what} is written as {' or '.join(endings)}")


def write_atomically(path: Path, data: str | bytes) -> None:
    """Write a file whole or not at all: to a temporary neighbour first, then renamed over.

    Raises
    ------
    InputError
        If the folder does not exist or does not let itself be written.
    """
    raw = data.encode() if isinstance(data, str) else data
    require_place(path)
    try:
        handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".tmp")
    except OSError as error:
        raise InputError(f"{path}: cannot be written: {error.strerror}") from None
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(raw)
            stream.flush()
            os.fsync(stream.fileno())
        mask = os.umask(0)
        os.umask(mask)
        os.chmod(temporary, 0o666 & ~mask)
        os.replace(temporary, path)
    except BaseException:
        Path(temporary).unlink(missing_ok=True)
        raise
