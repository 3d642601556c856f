"""Only regular files below a stated size are opened; everything else is told at once."""

import os

import pytest

from patterns.files import MissingFileError, UnreadableFileError, read_regular


def test_a_regular_file_is_read_whole(tmp_path):
    path = tmp_path / "a.txt"
    path.write_bytes(b"one\r\ntwo")
    assert read_regular(path) == b"one\r\ntwo"
    assert read_regular(path, 8) == b"one\r\ntwo"
    link = tmp_path / "link.txt"
    link.symlink_to(path)
    assert read_regular(link) == b"one\r\ntwo"


def test_pipes_devices_folders_and_long_files_are_refused_unread(tmp_path):
    pipe, long = tmp_path / "pipe", tmp_path / "long"
    os.mkfifo(pipe)
    long.touch()
    os.truncate(long, 10**12)
    for path, words in (
        (pipe, "pipe, device or socket"),
        ("/dev/zero", "pipe, device or socket"),
        (tmp_path, "is a folder"),
        (long, "is 1000000 MB long; at most 20 MB"),
        (tmp_path / "nul\0name", "cannot be read"),
    ):
        with pytest.raises(UnreadableFileError, match=words):
            read_regular(path)


def test_a_missing_file_is_told_apart(tmp_path):
    with pytest.raises(MissingFileError):
        read_regular(tmp_path / "none")
