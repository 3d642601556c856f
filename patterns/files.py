"""Open a file that a person names: only a regular one, below a stated size, told in one line otherwise.

A pipe nobody writes to waits for ever and a device such as /dev/zero never ends; both are told before a byte is read.
"""

import os
import stat
from pathlib import Path
from typing import BinaryIO

MEGABYTE = 1_000_000
TEXT_LIMIT = 20 * MEGABYTE
"""Bytes of a study, profile, outline or table of beams; a thousand beams take a tenth of one megabyte."""

LONGEST_LINE = 100_000
"""Characters of a line in a table that people fill in; a cell beyond this is none of theirs."""


class UnreadableFileError(Exception):
    """What is wrong with a file, without its name."""


class MissingFileError(UnreadableFileError):
    """No such file."""


def open_regular(path: Path, limit: int) -> BinaryIO:
    """Return a regular file of at most ``limit`` bytes, open for reading.

    Raises
    ------
    MissingFileError
        If there is none.
    UnreadableFileError
        If it is a folder, pipe, device or socket, too long, or may not be read.
    """
    # Opening a pipe waits for its writer unless told not to; Windows knows neither flag nor pipe in a folder.
    flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
    try:
        handle = os.open(path, flags)
    except FileNotFoundError:
        raise MissingFileError("no such file") from None
    except IsADirectoryError:
        raise UnreadableFileError("is a folder") from None
    except (OSError, ValueError) as error:
        folder = os.path.isdir(path)
        reason = "is a folder" if folder else f"cannot be read: {getattr(error, 'strerror', None) or error}"
        raise UnreadableFileError(reason) from None
    found = os.fstat(handle)
    if not stat.S_ISREG(found.st_mode):
        os.close(handle)
        folder = stat.S_ISDIR(found.st_mode)
        raise UnreadableFileError(
            "is a folder" if folder else "is a pipe, device or socket; only regular files are read"
        )
    size = found.st_size
    if size > limit:
        os.close(handle)
        raise UnreadableFileError(
            f"is {size / MEGABYTE:.0f} MB long; at most {limit / MEGABYTE:.0f} MB are read of such a file"
        )
    return os.fdopen(handle, "rb")


def read_regular(path: Path, limit: int = TEXT_LIMIT) -> bytes:
    """Return the bytes of a regular file of at most ``limit`` bytes; raises as `open_regular` does."""
    with open_regular(path, limit) as stream:
        raw = stream.read(limit + 1)
    if len(raw) > limit:
        raise UnreadableFileError(f"grows beyond {limit / MEGABYTE:.0f} MB while it is read")
    return raw
