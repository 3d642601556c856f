"""Sweeps that are killed, interrupted, doubled, or have nowhere to write: nothing lost, one clear line."""

import json
import os
import resource
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.validation.small_studies import HOME, children, run, start, write_study

FILLS = (0.15, 0.2, 0.25, 0.3, 0.35, 0.4, 0.45, 0.5)
SETTINGS = 2 * len(FILLS)


@pytest.fixture
def place(tmp_path):
    """A folder with a study of 16 settings with 8 cells; cells go to ``cells``, results to ``out.csv``."""
    write_study(tmp_path, fills=FILLS)
    return tmp_path


def command(place: Path, *more: str) -> list[str]:
    return ["sweep", str(place / "study.toml"), "-o", str(place / "out.csv"), "--workers", "2", *more]


def rows(place: Path) -> list[dict]:
    """Return the whole lines there are."""
    path = place / "out.jsonl"
    text = path.read_text(encoding="utf-8") if path.exists() else ""
    return [json.loads(line) for line in text.splitlines(keepends=True) if line.endswith("\n")]


def wait_for(place: Path, count: int, process: subprocess.Popen) -> list[dict]:
    """Wait until so many settings are finished, and return them."""
    until = time.monotonic() + 120
    while len(rows(place)) < count:
        assert process.poll() is None, process.communicate()
        assert time.monotonic() < until
        time.sleep(0.02)
    return rows(place)


def gone(pids: list[int]) -> bool:
    """Wait for processes to end."""
    until = time.monotonic() + 20
    while any(Path(f"/proc/{pid}").exists() for pid in pids):
        if time.monotonic() > until:
            return False
        time.sleep(0.05)
    return True


def assert_complete(place: Path) -> None:
    found = rows(place)
    assert len({row["key"] for row in found}) == len(found) == SETTINGS
    assert not any("error" in row for row in found)
    assert len((place / "out.csv").read_text().splitlines()) == SETTINGS + 1


@pytest.mark.slow
@pytest.mark.parametrize("count", [1, 9])
def test_a_sweep_killed_with_its_workers_goes_on_where_it_stopped(place, count):
    process = start(*command(place), cache=place / "cells")
    wait_for(place, count, process)
    os.killpg(process.pid, signal.SIGKILL)
    process.communicate()
    before = rows(place)
    with (place / "out.jsonl").open("a", encoding="utf-8") as stream:
        stream.write('{"key": "a line that was being wri')
    status, out, _ = run(*command(place, "--json"), cache=place / "cells")
    assert status == 0
    assert json.loads(out)["solved_now"] == SETTINGS - len(before)
    assert rows(place)[: len(before)] == before
    assert_complete(place)


@pytest.mark.slow
def test_workers_end_with_a_parent_that_is_killed_alone_and_free_the_file(place):
    process = start(*command(place), cache=place / "cells")
    wait_for(place, 1, process)
    workers = children(process.pid)
    assert len(workers) >= 2
    process.kill()
    process.communicate()
    assert gone(workers)
    assert run(*command(place), cache=place / "cells")[0] == 0
    assert_complete(place)


@pytest.mark.slow
def test_a_killed_worker_is_replaced_and_no_setting_is_lost_or_doubled(place):
    process = start(*command(place), cache=place / "cells")
    wait_for(place, 2, process)
    for pid in children(process.pid):
        if b"spawn_main" in Path(f"/proc/{pid}/cmdline").read_bytes():
            os.kill(pid, signal.SIGKILL)
            break
    _, err = process.communicate(timeout=300)
    assert process.returncode == 0
    assert f"{SETTINGS} settings, {SETTINGS} estimated now, 0 failed" in err
    assert "Traceback" not in err
    assert_complete(place)


@pytest.mark.slow
@pytest.mark.parametrize("whole_group", [True, False])
def test_an_interrupt_leaves_a_consistent_state_at_once(place, whole_group):
    process = start(*command(place), cache=place / "cells")
    wait_for(place, 2, process)
    workers = children(process.pid)
    stopped = time.monotonic()
    if whole_group:  # as a terminal does
        os.killpg(process.pid, signal.SIGINT)
    else:
        process.send_signal(signal.SIGINT)
    out, err = process.communicate(timeout=60)
    assert process.returncode == 130
    assert time.monotonic() - stopped < 10
    assert gone(workers)
    kept = len(rows(place))
    assert 2 <= kept < SETTINGS
    assert err.splitlines() == [
        f"{kept} of {SETTINGS} settings are kept in {place / 'out.jsonl'}; run again to go on",
        "fillbend: interrupted",
    ]
    assert out == ""
    assert len((place / "out.csv").read_text().splitlines()) == kept + 1
    assert run(*command(place), cache=place / "cells")[0] == 0
    assert_complete(place)


@pytest.mark.slow
def test_a_second_sweep_into_the_same_file_is_refused_and_the_first_finishes(place):
    process = start(*command(place), cache=place / "cells")
    wait_for(place, 1, process)
    status, out, err = run(*command(place), cache=place / "cells")
    assert (status, out) == (2, "")
    assert err == (
        f"fillbend: {place / 'out.jsonl'}: another sweep is writing it; wait for it, or choose another output\n"
    )
    process.communicate(timeout=300)
    assert process.returncode == 0
    assert_complete(place)


@pytest.mark.slow
def test_two_sweeps_into_two_files_share_the_cells(place):
    first = start(*command(place), cache=place / "cells")
    other = place / "other"
    other.mkdir()
    write_study(other, fills=FILLS)
    assert run(*command(other), cache=place / "cells")[0] == 0
    first.communicate(timeout=300)
    assert first.returncode == 0
    assert_complete(place)
    assert_complete(other)

    def without_order(path):
        return sorted(path.read_text().splitlines())

    assert without_order(place / "out.jsonl") == without_order(other / "out.jsonl")
    assert (place / "out.csv").read_bytes() == (other / "out.csv").read_bytes()


def test_a_read_only_folder_is_told_in_one_line_before_anything_is_solved(tmp_path):
    study = write_study(tmp_path)  # /sys takes no files, whoever asks
    status, out, err = run("sweep", study, "-o", "/sys/out.csv", cache=tmp_path / "cells")
    assert (status, out) == (2, "")
    assert err.startswith("fillbend: /sys/out.jsonl: cannot be written: ")
    assert len(err.splitlines()) == 1
    assert not (tmp_path / "cells").exists()


@pytest.mark.slow
def test_a_file_that_may_not_grow_keeps_what_is_finished(place):
    limit = 6 * 2300  # room for a few lines; short writes and EFBIG come from the kernel
    process = start(
        *command(place),
        cache=place / "cells",
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit)),
    )
    _, err = process.communicate(timeout=300)
    assert process.returncode == 2
    kept = rows(place)
    assert kept
    assert err == (
        f"fillbend: {place / 'out.jsonl'}: cannot be written: File too large; "
        f"{len(kept)} finished settings are kept: mend it and run again\n"
    )
    assert (place / "out.jsonl").read_bytes().endswith(b"\n")
    assert run(*command(place), cache=place / "cells")[0] == 0
    assert_complete(place)


@pytest.mark.slow
def test_a_full_disk_keeps_what_is_finished(place):
    disk = place / "disk"
    disk.mkdir()
    # A file system of six pages, seen by this shell only.
    script = f"""
        mount -t tmpfs -o size=24k none {disk} || exit 77
        "$@"; echo "status $?"
        tail -c 1 {disk}/out.jsonl | od -An -c
        wc -l < {disk}/out.jsonl; ls {disk}
        mount -o remount,size=1m {disk}
        "$@"; echo "status $?"
        cp {disk}/* {place}
    """
    words = command(place)
    words[words.index("-o") + 1] = str(disk / "out.csv")
    fillbend = ["env", f"FILLBEND_CACHE={place / 'cells'}", sys.executable, "-m", "validation.cli", *words]
    shell = ["unshare", "--map-root-user", "--mount", "sh", "-c", script, "sh", *fillbend]
    done = subprocess.run(shell, cwd=HOME, capture_output=True, text=True, timeout=300, check=False)
    if done.returncode == 77 or "unshare" in done.stderr:
        pytest.skip(f"no file system can be mounted here: {done.stderr.strip()}")
    status, last, count, *listing, again = done.stdout.splitlines()
    assert (status, last.split(), again) == ("status 2", ["\\n"], "status 0")
    assert "out.jsonl" in listing
    assert not any(name.endswith(".tmp") for name in listing)
    first, second = done.stderr.splitlines()
    assert first == (
        f"fillbend: {disk}/out.jsonl: cannot be written: No space left on device; "
        f"{int(count)} finished settings are kept: mend it and run again"
    )
    assert f"{SETTINGS - int(count)} estimated now" in second
    assert_complete(place)
