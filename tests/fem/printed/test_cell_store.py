"""Kept cells: found again, never trusted when damaged, bounded, harmless where they cannot be kept."""

import os
import time
from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest

from fem.printed.cell_store import CellStore, code_stamp, default_folder, kept, sources
from fem.printed.core import core_cell
from patterns.bead import Bead
from patterns.infill import infill_of
from patterns.setting import Core

KEY = {"pattern": "square", "set_fill": 0.3}


def arrays(seed: int = 0) -> dict[str, np.ndarray]:
    return {"stiffness": np.random.default_rng(seed).random((6, 6)), "pitch": np.array(3.0)}


def test_what_is_kept_is_found_again(tmp_path):
    store = CellStore(tmp_path / "cells")
    assert store.get(KEY) is None
    assert store.put(KEY, arrays())
    found = store.get({"set_fill": 0.3, "pattern": "square"})
    np.testing.assert_array_equal(found["stiffness"], arrays()["stiffness"])
    assert store.get({**KEY, "set_fill": 0.30000001}) is None


@pytest.mark.parametrize("damage", [b"", b"PK", b"nonsense" * 50, "cut", "flip"])
def test_damaged_entries_are_not_used(tmp_path, damage):
    store = CellStore(tmp_path)
    store.put(KEY, arrays())
    path = store.path(KEY)
    whole = bytearray(path.read_bytes())
    if damage == "cut":
        damage = bytes(whole[: len(whole) // 2])
    elif damage == "flip":
        place = whole.index(arrays()["stiffness"].tobytes()[:8])
        whole[place] ^= 0xFF
        damage = bytes(whole)
    path.write_bytes(damage)
    assert store.get(KEY) is None
    assert store.put(KEY, arrays())
    assert store.get(KEY) is not None


def test_no_damaged_byte_goes_unnoticed(tmp_path):
    store = CellStore(tmp_path)
    store.put(KEY, arrays())
    path = store.path(KEY)
    whole = path.read_bytes()
    for place in range(0, len(whole), 7):
        path.write_bytes(whole[:place] + bytes([whole[place] ^ 0x55]) + whole[place + 1 :])
        assert store.get(KEY) is None


def test_an_entry_is_a_plain_npz_to_others(tmp_path):
    store = CellStore(tmp_path)
    store.put(KEY, arrays())
    with np.load(store.path(KEY)) as stored:
        np.testing.assert_array_equal(stored["stiffness"], arrays()["stiffness"])
        assert '"pattern": "square"' in str(stored["key"])


def test_an_entry_of_another_key_under_this_name_is_not_used(tmp_path):
    store = CellStore(tmp_path)
    store.put({"other": 1}, arrays())
    store.path({"other": 1}).rename(store.path(KEY))
    assert store.get(KEY) is None


def test_the_store_stays_near_its_limit_and_drops_the_oldest(tmp_path):
    one = CellStore(tmp_path)
    one.put({"n": 0}, arrays())
    store = CellStore(tmp_path, limit=30 * one.size())
    for n in range(1, 300):
        store.put({"n": n}, arrays())
    assert store.size() < 2.5 * store.limit  # looked at once in 16 puts, by chance
    assert store.get({"n": 0}) is None
    assert store.get({"n": 299}) is not None
    count = len(store.entries())
    assert store.clear() == count
    assert store.entries() == []


def test_parallel_writers_leave_one_good_entry(tmp_path):
    store = CellStore(tmp_path)
    with ThreadPoolExecutor(8) as pool:
        assert all(pool.map(lambda _: store.put(KEY, arrays()), range(64)))
    assert len(store.entries()) == 1
    assert store.get(KEY) is not None
    assert list(tmp_path.glob("*.tmp")) == []


def test_what_a_killed_writer_left_goes_after_a_while(tmp_path):
    store = CellStore(tmp_path)
    old, fresh = tmp_path / "a.tmp", tmp_path / "b.tmp"
    for path in (old, fresh):
        path.write_bytes(b"half a cell")
    os.utime(old, (0, time.time() - 7200))
    for n in range(100):
        store.put({"n": n}, arrays())
    assert not old.exists()
    assert fresh.exists()


def test_cells_are_solved_when_they_are_not_kept(tmp_path):
    solved = []

    def solve():
        solved.append(1)
        return arrays()

    store = CellStore(tmp_path)
    for where, count in ((None, 1), (None, 2), (store, 3), (store, 3)):
        np.testing.assert_equal(dict(kept(where, KEY, solve, dict)), arrays())
        assert len(solved) == count
    store.path(KEY).write_bytes(b"damaged")
    np.testing.assert_equal(dict(kept(store, KEY, solve, dict)), arrays())
    assert len(solved) == 4
    np.testing.assert_equal(store.get(KEY), arrays())  # and mended


def test_another_version_of_the_code_finds_nothing(tmp_path, monkeypatch):
    store = CellStore(tmp_path)
    store.put(KEY, arrays())
    monkeypatch.setattr("fem.printed.cell_store.code_stamp", lambda: "newer code")
    assert store.get(KEY) is None


def test_a_folder_that_cannot_be_made_is_no_error(tmp_path):
    (tmp_path / "file").write_text("", encoding="utf-8")
    store = CellStore(tmp_path / "file" / "cells")
    assert not store.put(KEY, arrays())
    assert store.get(KEY) is None
    assert store.clear() == 0


def test_the_folder_follows_the_environment(monkeypatch, tmp_path):
    monkeypatch.setenv("FILLBEND_CACHE", str(tmp_path))
    assert default_folder() == tmp_path
    monkeypatch.delenv("FILLBEND_CACHE")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    assert default_folder() == tmp_path / "fillbend"


def test_the_stamp_follows_every_source(tmp_path, monkeypatch):
    names = [name for name, _ in sources()]
    assert {"fem/estimation.py", "fem/printed/core.py", "patterns/lattices/square.py"} <= set(names)
    assert len(names) == len(set(names)) > 100
    changed = tmp_path / "core.py"
    changed.write_bytes(dict(sources())["fem/printed/core.py"].read_bytes() + b"# one more line\n")
    listed = [(name, changed if name == "fem/printed/core.py" else path) for name, path in sources()]
    before = code_stamp.__wrapped__()
    monkeypatch.setattr("fem.printed.cell_store.sources", lambda: listed)
    assert code_stamp.__wrapped__() != before


@pytest.mark.parametrize("kind", ["pipe", "link", "folder", "huge"])
def test_an_entry_that_is_no_plain_file_of_its_size_counts_as_missing(tmp_path, kind):
    store = CellStore(tmp_path / "cells")
    store.put(KEY, arrays())
    path = store.path(KEY)
    moved = path.rename(tmp_path / "moved.npz")
    if kind == "pipe":
        os.mkfifo(path)
    elif kind == "link":
        path.symlink_to(moved)
    elif kind == "folder":
        path.mkdir()
    else:
        path.touch()
        os.truncate(path, 10**9)
    assert store.get(KEY) is None
    assert len(store.entries()) == (kind == "huge")


@pytest.mark.parametrize("content", [{}, {"stiffness": np.eye(3)}, {"in_line": np.array(True)}])
def test_a_rightly_stamped_entry_of_wrong_content_is_solved_again(tmp_path, content):
    store = CellStore(tmp_path)
    store.put(KEY, content)
    cell = core_cell(infill_of(Core("square", 0.3), Bead(0.45, 0.2)), 0.35)
    found = kept(store, KEY, cell.arrays, type(cell).from_arrays)
    np.testing.assert_array_equal(found.stiffness, cell.stiffness)
