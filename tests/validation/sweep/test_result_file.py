"""The file of finished settings: whole lines or none, one writer, nothing of others touched."""

import errno
import json
import os

import pytest

from patterns.errors import InputError
from validation.sweep.result_file import ResultFile


def row(number: int, **more: object) -> dict:
    return {"key": f"k{number}", "label": f"setting {number}", **more}


def write(path, *rows):
    with ResultFile(path) as results:
        for item in rows:
            results.add(item)


def test_rows_are_found_again_the_last_of_each_setting(tmp_path):
    path = tmp_path / "a.jsonl"
    write(path, row(1), row(2, error="no", status=4), row(3))
    with ResultFile(path) as results:
        assert results.done == {"k1", "k3"}
        results.add(row(2, force=1.5))
        assert results.done == {"k1", "k2", "k3"}
        assert results.row("k2") == row(2, force=1.5)
        assert results.row("k9") is None
    assert [json.loads(line)["key"] for line in path.read_text().splitlines()] == ["k1", "k2", "k3", "k2"]


@pytest.mark.parametrize("cut", [1, 5, 9, 10, 20, 34])
def test_a_torn_last_line_is_dropped(tmp_path, cut):
    path = tmp_path / "a.jsonl"
    write(path, row(1), row(2))
    whole = path.read_bytes()
    first = whole.index(b"\n") + 1
    path.write_bytes(whole[: first + cut])
    with ResultFile(path) as results:
        assert results.done == {"k1"}
        results.add(row(2))
    assert path.read_bytes() == whole


@pytest.mark.parametrize(
    "text", ["notes", "a,b\n1,2\n", '{"other": 1}\n', "[1]\n", '{"key": "k1"}\nnotes', '{"key": "\n']
)
def test_a_file_of_something_else_is_refused_and_left_alone(tmp_path, text):
    path = tmp_path / "a.jsonl"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match=r"a\.jsonl:\d: not a line of a sweep; choose another output"):
        ResultFile(path)
    assert path.read_text(encoding="utf-8") == text


def test_a_second_writer_is_refused_until_the_first_is_done(tmp_path):
    path = tmp_path / "a.jsonl"
    with ResultFile(path), pytest.raises(InputError, match="another sweep is writing it"):
        ResultFile(path)
    ResultFile(path).__exit__(None, None, None)


def test_a_disk_that_fills_up_within_a_line_leaves_nothing_of_it(tmp_path, monkeypatch):
    path = tmp_path / "a.jsonl"
    room = 50
    write_for_real = os.write

    def write_into_little_room(file, data):
        nonlocal room
        if room == 0:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        written = write_for_real(file, data[:room])
        room -= written
        return written

    monkeypatch.setattr(os, "write", write_into_little_room)
    with ResultFile(path) as results:
        results.add(row(1))
        with pytest.raises(InputError, match="No space left on device; 1 finished settings are kept"):
            results.add(row(2))
        room = 1000
        results.add(row(3))
    assert [json.loads(line)["key"] for line in path.read_text().splitlines()] == ["k1", "k3"]


@pytest.mark.parametrize("written", [0, 7, 1000])
def test_an_interrupt_at_any_point_of_a_line_leaves_whole_lines(tmp_path, monkeypatch, written):
    path = tmp_path / "a.jsonl"
    write_for_real = os.write

    def write_and_be_interrupted(file, data):
        write_for_real(file, data[:written])
        raise KeyboardInterrupt

    with ResultFile(path) as results:
        results.add(row(1))
        monkeypatch.setattr(os, "write", write_and_be_interrupted)
        with pytest.raises(KeyboardInterrupt):
            results.add(row(2))
        monkeypatch.undo()
        results.recover()
        whole = written == 1000
        assert results.done == ({"k1", "k2"} if whole else {"k1"})
        assert results.row("k2") == (row(2) if whole else None)
        results.add(row(3))
        assert results.row("k3") == row(3)
    assert [json.loads(line)["key"] for line in path.read_text().splitlines()] == (
        ["k1", "k2", "k3"] if whole else ["k1", "k3"]
    )


@pytest.mark.parametrize("place", ["/sys/a.jsonl", "{tmp}/missing/a.jsonl", "{tmp}"])
def test_a_place_that_cannot_be_written_is_told_in_one_line(tmp_path, place):
    with pytest.raises(InputError, match=r"^\S+: cannot be written: [A-Za-z][^\n]+$"):
        ResultFile(type(tmp_path)(place.format(tmp=tmp_path)))
