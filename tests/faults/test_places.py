"""Disks that are full, homes that are missing or read-only, links in the cache: one line, nothing half."""

import errno
import os
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest

from fem.printed.cell_store import CellStore, default_folder
from patterns.errors import InputError
from tests.validation.small_studies import HOME, run, write_study
from validation import cli
from validation.text.output import write_atomically, write_folder

FULL = "No space left on device"
KEY = {"n": 1}


@pytest.fixture
def full(monkeypatch):
    """A disk on which the second file that is written finds no room."""
    sync, count = os.fsync, 0

    def no_room(handle: int) -> None:
        nonlocal count
        count += 1
        if count >= 2:
            raise OSError(errno.ENOSPC, FULL)
        sync(handle)

    monkeypatch.setattr(os, "fsync", no_room)


def test_a_folder_of_files_is_written_whole_or_goes_again(tmp_path, full):
    with pytest.raises(InputError, match=f"b.csv: cannot be written: {FULL}"):
        write_folder(tmp_path / "x" / "plan", {"a.html": "a", "b.csv": "b"})
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_was_there_keeps_what_it_had(tmp_path, full):
    (tmp_path / "notes").write_text("mine", encoding="utf-8")
    (tmp_path / "a.html").write_text("old", encoding="utf-8")
    with pytest.raises(InputError, match=FULL):
        write_folder(tmp_path, {"a.html": "new", "b.csv": "b"})
    assert {path.name: path.read_text() for path in tmp_path.iterdir()} == {"notes": "mine", "a.html": "old"}


def test_a_file_that_finds_no_room_is_named_and_the_old_one_stays(tmp_path, full):
    write_atomically(tmp_path / "a", "old")
    with pytest.raises(InputError, match=rf"a: cannot be written: {FULL}"):
        write_atomically(tmp_path / "a", "new")
    assert [path.read_text() for path in tmp_path.iterdir()] == ["old"]


def test_names_as_long_as_a_file_system_takes_are_written(tmp_path):
    write_atomically(tmp_path / ("x" * 255), "text")
    assert (tmp_path / ("x" * 255)).read_text() == "text"


def test_init_on_a_full_disk_leaves_no_folder(tmp_path, capsys, full):
    assert cli.main(["init", "-o", str(tmp_path / "study")]) == 2
    assert capsys.readouterr().err == f"fillbend: {tmp_path}/study/study.toml: cannot be written: {FULL}\n"
    assert list(tmp_path.iterdir()) == []


@pytest.mark.slow
def test_plan_on_a_full_disk_leaves_no_folder(tmp_path, capsys, full):
    study = write_study(tmp_path)
    assert cli.main(["plan", str(study), "-o", str(tmp_path / "plan"), "--quiet"]) == 2
    assert capsys.readouterr().err == f"fillbend: {tmp_path}/plan/specimens.csv: cannot be written: {FULL}\n"
    assert [path.name for path in tmp_path.iterdir()] == ["study.toml"]


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full")
@pytest.mark.parametrize("words", [["words"], ["words", "--json"], ["keys"]])
@pytest.mark.parametrize("buffered", ["", "1"])
def test_standard_output_on_a_full_disk_is_named(words, buffered):
    with open("/dev/full", "w", encoding="utf-8") as sink:
        done = subprocess.run(
            [sys.executable, "-m", "validation.cli", *words],
            cwd=HOME,
            stdout=sink,
            stderr=subprocess.PIPE,
            env={**os.environ, "PYTHONUNBUFFERED": buffered},
            text=True,
            check=False,
        )
    assert (done.returncode, done.stderr) == (2, f"fillbend: standard output: {FULL}\n")


def test_nobody_without_a_home_is_sent_away(monkeypatch):
    for name in ("FILLBEND_CACHE", "XDG_CACHE_HOME", "HOME"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setattr(Path, "home", lambda: (_ for _ in ()).throw(RuntimeError("no home")))
    store = CellStore(default_folder())
    assert not store.put(KEY, {"a": np.eye(2)})
    assert store.get(KEY) is None
    assert (store.entries(), store.clear()) == ([], 0)


@pytest.mark.parametrize("variable", ["HOME", "XDG_CACHE_HOME"])
def test_a_home_that_hangs_on_where_one_stands_is_not_used(monkeypatch, tmp_path, variable):
    for name in ("FILLBEND_CACHE", "XDG_CACHE_HOME"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv(variable, "somewhere")
    expected = "/dev/null/fillbend" if variable == "HOME" else f"{tmp_path}/.cache/fillbend"
    assert str(default_folder()) == expected


@pytest.mark.slow
@pytest.mark.parametrize("place", ["unset", "/sys", "/dev/null", "/missing"])
def test_homes_and_folders_for_passing_files_that_take_nothing(tmp_path, place):
    """The figures' library wants a folder of its own too."""
    command = ["draw", "section"]
    study = write_study(tmp_path, fills=[0.3], walls=[1])
    environment = {**os.environ, "HOME": place, "TMPDIR": place, "XDG_CACHE_HOME": place, "MPLCONFIGDIR": ""}
    if place == "unset":
        environment = {name: value for name, value in os.environ.items() if name not in ("HOME", "TMPDIR")}
    environment = {name: value for name, value in environment.items() if name not in ("FILLBEND_CACHE",)}
    output = ["-o", str(tmp_path / "a.svg")]
    done = subprocess.run(
        [sys.executable, "-m", "validation.cli", *command, str(study), *output],
        cwd=HOME,
        env=environment,
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert "Traceback" not in done.stderr
    assert "atplotlib" not in done.stderr


def test_a_date_is_never_changed_through_a_link(tmp_path):
    store, other = CellStore(tmp_path / "cells"), CellStore(tmp_path / "other")
    for one in (store, other):
        one.put(KEY, {"a": np.eye(2)})
    os.utime(other.path(KEY), (1e9, 1e9))
    store.path(KEY).unlink()
    store.path(KEY).symlink_to(other.path(KEY))
    assert store.get(KEY) is None
    assert other.path(KEY).stat().st_mtime == 1e9
    # a link that takes the entry's place between the look and the date
    monkey = Path.is_symlink
    try:
        Path.is_symlink = lambda self: False
        store.get(KEY)
    finally:
        Path.is_symlink = monkey
    assert other.path(KEY).stat().st_mtime == 1e9


def test_a_clock_that_was_set_back_changes_no_answer(tmp_path, monkeypatch):
    store = CellStore(tmp_path)
    for n in range(40):
        store.put({"n": n}, {"a": np.full(3, n)})
        os.utime(store.path({"n": n}), (time.time() + 1e6 + n,) * 2)
    assert all(store.get({"n": n})["a"][0] == n for n in range(40))
    bounded = CellStore(tmp_path, limit=10 * store.path({"n": 0}).stat().st_size)
    monkeypatch.setattr(time, "time", lambda: 0.0)
    for n in range(40, 120):
        bounded.put({"n": n}, {"a": np.full(3, n)})
    found = [bounded.get({"n": n}) for n in range(120)]
    assert all(one is None or one["a"][0] == n for n, one in enumerate(found))


def test_a_folder_that_gives_no_file_up_costs_nothing(tmp_path, monkeypatch):
    def refuse(self, missing_ok=False):
        raise PermissionError(errno.EACCES, "Permission denied")

    monkeypatch.setattr(Path, "unlink", refuse)
    store = CellStore(tmp_path, limit=1)
    assert all(store.put({"n": n}, {"a": np.full(3, n)}) for n in range(60))


@pytest.mark.slow
def test_programs_on_one_cache_that_a_third_clears_all_the_time_say_the_same(tmp_path):
    study = write_study(tmp_path, fills=[0.2, 0.3, 0.4], walls=[1, 2])
    cells = tmp_path / "cells"
    alone = run("estimate", study, "--json", "--quiet", cache=tmp_path / "own")
    from tests.validation.small_studies import start

    both = [start("estimate", study, "--json", "--quiet", cache=cells) for _ in range(2)]
    while any(process.poll() is None for process in both):
        CellStore(cells).clear()
        time.sleep(0.01)
    assert [(process.returncode, *process.communicate()) for process in both] == [alone, alone]
