"""What leaves the program: JSON objects, remarks and files written whole or not at all."""

import contextlib
import json
import math
import os
import sys
import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from patterns.errors import InputError
from validation.text.screen import in_json, page_width, shown, wrapped

CAUTIONS = (
    "Wear eye protection and stand behind a shield when breaking beams.",
    "Short-term, room-temperature bending of this printer, spool and date only; not sustained load, heat or fatigue.",
    "Not for load-bearing, lifting, pressure, medical or vehicle use; local codes and licensed practice decide.",
)

# a spreadsheet runs text that begins so as a formula
_RUNS = ("=", "+", "-", "@", "\t", "\r", "\n")


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


def guarded(text: str) -> str:
    """Return a text as it is written in a cell; one that is a number stays as it is.

    A bare carriage return, which a writer of CSV leaves without quotes and a spreadsheet ends the row at, becomes a
    line feed.

    Examples
    --------
    >>> guarded("=1+1"), guarded("-4.5"), guarded("'s"), guarded("plain")
    ("'=1+1", '-4.5', "''s", 'plain')
    """
    whole = text.replace("\r\n", "\n").replace("\r", "\n")
    if not text.startswith((*_RUNS, "'")):
        return whole
    try:
        float(text)
    except ValueError:
        return f"'{whole}"
    return whole


def unguarded(cell: str) -> str:
    """Return a cell as it was before `guarded`; an apostrophe of somebody's own stays.

    Examples
    --------
    >>> unguarded("'=1+1"), unguarded("''s"), unguarded("'90s")
    ('=1+1', "'s", "'90s")
    """
    return cell[1:] if cell.startswith("'") and cell[1:].startswith((*_RUNS, "'")) else cell


def cell_text(value: Any) -> str:
    """Return a value as the text of a cell, nothing for None."""
    value = plain(value)
    if value is None:
        return ""
    return guarded(value) if isinstance(value, str) else str(value)


def to_json(data: dict[str, Any]) -> str:
    """Return one JSON object with ``schema_version`` first."""
    return in_json(json.dumps(plain({"schema_version": 1, **data}), ensure_ascii=False, allow_nan=False))


def print_json(data: dict[str, Any]) -> None:
    """Print exactly one JSON object on standard output."""
    print(to_json(data))


def remark(text: str, quiet: bool = False) -> None:
    """Print one line on standard error, broken between words where it is a terminal."""
    if not quiet:
        text = shown(text)
        told = wrapped(text, page_width()) if sys.stderr.isatty() else text
        print(told, file=sys.stderr)


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
        If the folder does not exist, does not let itself be written, or has no room.
    """
    require_place(path)
    _write_all({path: data})


def write_folder(folder: Path, files: Mapping[str, str]) -> None:
    """Write files into a folder, all whole or none; a folder that is not there is made, and goes again with them.

    Raises
    ------
    InputError
        If the folder cannot be made, does not let itself be written, or has no room.
    """
    made = [place for place in (folder, *folder.parents) if not place.exists()]
    try:
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise InputError(f"{folder}: cannot be made: {error.strerror}") from None
        _write_all({folder / name: text for name, text in files.items()})
    except BaseException:
        with contextlib.suppress(OSError):  # the first that holds something of somebody else stays
            for place in made:
                place.rmdir()
        raise


def _write_all(files: Mapping[Path, str | bytes]) -> None:
    """Write every file beside its place, and rename them when all are on the disk."""
    ready: dict[Path, str] = {}
    try:
        for path, data in files.items():
            try:
                handle, ready[path] = tempfile.mkstemp(
                    dir=path.parent, prefix=f".{path.name}."[:200], suffix=".tmp"
                )
                _fill(handle, data.encode() if isinstance(data, str) else data)
                mask = os.umask(0)
                os.umask(mask)
                os.chmod(ready[path], 0o666 & ~mask)
            except OSError as error:
                raise InputError(f"{path}: cannot be written: {error.strerror}") from None
        for path, temporary in ready.items():
            try:
                os.replace(temporary, path)
            except OSError as error:
                raise InputError(f"{path}: cannot be written: {error.strerror}") from None
    except BaseException:
        for temporary in ready.values():
            Path(temporary).unlink(missing_ok=True)
        raise


def _fill(handle: int, raw: bytes) -> None:
    """Write bytes and wait until the disk has them; the handle is closed."""
    with os.fdopen(handle, "wb") as stream:
        stream.write(raw)
        stream.flush()
        os.fsync(stream.fileno())
