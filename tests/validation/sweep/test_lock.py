"""The lock of a sweep's file, here and, with the system's own module stood in for, on Windows."""

import errno
import os
import sys
from types import SimpleNamespace

import pytest

from validation.sweep.lock import try_lock


@pytest.fixture
def handles(tmp_path):
    path = tmp_path / "rows.jsonl"
    path.write_bytes(b"line\n")
    opened = [os.open(path, os.O_RDWR | os.O_APPEND) for _ in range(2)]
    yield opened
    for handle in opened:
        os.close(handle)


def test_one_of_two_holds_the_lock(handles):
    first, second = handles
    assert try_lock(first)
    assert not try_lock(second)


def test_windows_locks_one_byte_beyond_the_file_and_leaves_its_place(handles, monkeypatch):
    """As the documentation of msvcrt has it: bytes from the current place on, PermissionError where they are locked."""
    locked: list[int] = []

    def locking(handle: int, mode: int, count: int) -> None:
        place = os.lseek(handle, 0, os.SEEK_CUR)
        if place in locked:
            raise PermissionError(errno.EACCES, "locked")
        assert (mode, count) == (2, 1)
        locked.append(place)

    monkeypatch.setattr(sys, "platform", "win32")
    monkeypatch.setitem(sys.modules, "msvcrt", SimpleNamespace(locking=locking, LK_NBLCK=2))
    first, second = handles
    assert try_lock(first)
    assert not try_lock(second)
    assert locked[0] > 2e9
    assert [os.lseek(handle, 0, os.SEEK_CUR) for handle in handles] == [0, 0]
