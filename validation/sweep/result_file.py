"""Finished settings of a sweep, one JSON line each: written whole, locked, resumed after any end.

A line is on the disk before the next one starts. What a kill or a full disk left of a last line is dropped when the
file is opened again. A lock keeps a second sweep out.
"""

import json
import os
from collections.abc import Iterator
from pathlib import Path
from types import TracebackType
from typing import Any

from patterns.errors import InputError
from validation.sweep.lock import try_lock
from validation.text.output import plain, require_place

_START = b'{"key": "'
# without O_BINARY Windows would turn every line's end into two bytes
_FLAGS = os.O_RDWR | os.O_CREAT | os.O_APPEND | getattr(os, "O_BINARY", 0)


class ResultFile:
    """A JSON-lines file of finished settings, locked while open.

    Parameters
    ----------
    path : Path
        The file.
    study : str
        Path of the study from the file's folder, written into every line; "" takes lines of any study.

    Attributes
    ----------
    done : set of str
        Keys of the settings that are finished without an error.

    Raises
    ------
    InputError
        If the file cannot be written, another sweep holds it, or it holds something else or another study.
    """

    def __init__(self, path: Path, study: str = "") -> None:
        self.path, self._study = path, study
        require_place(path)
        try:
            self._file = os.open(path, _FLAGS, 0o666)
        except OSError as error:
            raise InputError(f"{path}: cannot be written: {error.strerror}") from None
        try:
            self._lock()
            self.recover()
        except BaseException:
            os.close(self._file)
            raise

    def __enter__(self) -> "ResultFile":
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        os.close(self._file)

    def add(self, row: dict[str, Any]) -> None:
        """Append one row and wait until the disk has it.

        Raises
        ------
        InputError
            If it could not be written; nothing of it is left in the file then.
        """
        told = {**row, "study": self._study} if self._study else row
        line = json.dumps(plain(told), ensure_ascii=False, allow_nan=False).encode() + b"\n"
        try:
            left = memoryview(line)
            while left:
                left = left[os.write(self._file, left) :]
            os.fsync(self._file)
        except OSError as error:
            os.ftruncate(self._file, self._end)
            raise InputError(
                f"{self.path}: cannot be written: {error.strerror}; {len(self.done)} finished settings are kept: "
                "mend it and run again"
            ) from None
        self._note(row, self._end)
        self._end += len(line)

    def recover(self) -> None:
        """Take the whole lines of the file as what is finished, and cut off what is torn after them."""
        self.done: set[str] = set()
        self._place: dict[str, int] = {}
        self._end = self._read()
        os.ftruncate(self._file, self._end)

    def row(self, key: str) -> dict[str, Any] | None:
        """Return the last row of a setting, None where there is none."""
        if key not in self._place:
            return None
        with self.path.open("rb") as stream:
            stream.seek(self._place[key])
            return dict(json.loads(stream.readline()))

    def _lock(self) -> None:
        if not try_lock(self._file):
            raise InputError(
                f"{self.path}: another sweep is writing it; wait for it, or choose another output"
            )

    def _read(self) -> int:
        """Note the whole lines and return where they end; what is torn after them must be ours too."""
        end = 0
        for number, line in enumerate(_lines(self.path), 1):
            row = _parsed(line)
            if row is None:
                if not line.endswith(b"\n") and (line.startswith(_START) or _START.startswith(line)):
                    break
                raise InputError(f"{self.path}:{number}: not a line of a sweep; choose another output")
            other = row.get("study", self._study)
            if self._study and other != self._study:
                raise InputError(
                    f"{self.path}: holds finished settings of {other}, not of {self._study}; choose another output"
                )
            self._note(row, end)
            end += len(line)
        return end

    def _note(self, row: dict[str, Any], place: int) -> None:
        self._place[row["key"]] = place
        if "error" not in row:
            self.done.add(row["key"])


def _lines(path: Path) -> Iterator[bytes]:
    with path.open("rb") as stream:
        yield from stream


def _parsed(line: bytes) -> dict[str, Any] | None:
    """Return the row of a whole line of ours, None for any other."""
    if not (line.startswith(_START) and line.endswith(b"\n")):
        return None
    try:
        row = json.loads(line)
    except ValueError:
        return None
    return row if isinstance(row, dict) else None
