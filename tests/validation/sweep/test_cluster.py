"""Sweeps on a real dask.distributed cluster: loopback only, workers as processes."""

import json
import os
import shutil
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from fem.estimation import estimate
from tests.validation.small_studies import HOME, run, start, write_study
from validation.results.estimates import estimate_dict
from validation.study.study import load
from validation.text.output import plain

Cluster = Callable[..., tuple[str, Callable[[str], None]]]


@pytest.fixture
def cluster(tmp_path) -> Iterator[Cluster]:
    """Start a cluster of two workers; gives its address and a way to tell it something."""
    started = []

    def begin(threads: int, port: int = 0, home: Path = HOME) -> tuple[str, Callable[[str], None]]:
        process = subprocess.Popen(
            [sys.executable, "-m", "tests.validation.sweep.local_cluster", str(threads), str(port)],
            cwd=home,
            env={**os.environ, "FILLBEND_CACHE": str(tmp_path / "cells"), "PYTHONPATH": str(home)},
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
        )
        started.append(process)

        def tell(word: str) -> None:
            if word in ("freeze", "thaw"):  # no word is heard, no connection closed
                os.kill(process.pid, signal.SIGSTOP if word == "freeze" else signal.SIGCONT)
                return
            process.stdin.write(f"{word}\n")
            process.stdin.flush()

        return process.stdout.readline().strip(), tell

    yield begin
    for process in started:
        process.send_signal(signal.SIGCONT)
        try:
            process.communicate("end\n", timeout=30)
        except (BrokenPipeError, subprocess.TimeoutExpired):
            process.kill()
            process.communicate()


def rows(path: Path) -> list[dict]:
    return (
        [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()] if path.exists() else []
    )


def wait_for(path: Path, count: int) -> None:
    until = time.monotonic() + 300
    while len(rows(path)) < count:
        assert time.monotonic() < until
        time.sleep(0.02)


def test_a_scheduler_gives_the_numbers_of_this_process(cluster, tmp_path):
    address, _ = cluster(1)
    assert address.startswith("tcp://127.0.0.1:")
    study = write_study(tmp_path, fills=[0.25], walls=[1, 2, 3])
    output = tmp_path / "out.csv"
    status, _, err = run("sweep", study, "-o", output, "--scheduler", address, cache=tmp_path / "mine")
    assert status == 0, err
    assert err.splitlines()[-1] == f"wrote {output}: 3 settings, 3 estimated now, 0 failed"
    found = {row["label"]: row for row in rows(output.with_suffix(".jsonl"))}
    for named in load(study).settings:
        here = plain(estimate_dict(named, estimate(named.setting)))
        there = found.pop(named.label)
        assert {name: there[name] for name in here} == here
    assert not found


def struck(address, tell, tmp_path, blow):
    """Start a sweep of twelve settings on a cluster, and strike it when two are finished."""
    study = write_study(tmp_path, fills=[0.15, 0.2, 0.25, 0.3, 0.35, 0.4], walls=[1, 2])
    output = tmp_path / "out.csv"
    process = start("sweep", study, "-o", output, "--scheduler", address, cache=tmp_path / "mine")
    wait_for(output.with_suffix(".jsonl"), 2)
    tell(blow)
    return process, study, output


@pytest.mark.slow
def test_a_worker_killed_on_the_way_loses_and_doubles_nothing(cluster, tmp_path):
    address, tell = cluster(1)
    process, _, output = struck(address, tell, tmp_path, "kill")
    _, err = process.communicate(timeout=300)
    assert process.returncode == 0, err
    found = rows(output.with_suffix(".jsonl"))
    assert len({row["key"] for row in found}) == len(found) == 12
    assert not any("error" in row for row in found)
    assert "Traceback" not in err


@pytest.mark.slow
def test_a_scheduler_that_goes_away_ends_the_sweep_with_what_is_finished(cluster, tmp_path):
    address, tell = cluster(1)
    process, study, output = struck(address, tell, tmp_path, "stop")
    _, err = process.communicate(timeout=300)
    assert process.returncode == 4, err
    assert err.splitlines()[-1].startswith(
        "fillbend: the scheduler has dropped its tasks; what is finished is kept"
    )
    kept = len(rows(output.with_suffix(".jsonl")))
    assert kept >= 2
    status, out, _ = run("sweep", study, "-o", output, "--json", cache=tmp_path / "mine")
    assert (status, json.loads(out)["solved_now"]) == (0, 12 - kept)


@pytest.mark.slow
def test_workers_with_several_threads_are_refused(cluster, tmp_path):
    address, _ = cluster(2)
    study = write_study(tmp_path)
    status, _, err = run(
        "sweep", study, "-o", tmp_path / "out.csv", "--scheduler", address, cache=tmp_path / "mine"
    )
    assert status == 2
    assert "has 2 threads" in err.splitlines()[-1]
    assert "--nthreads 1" in err.splitlines()[-1]


@pytest.mark.slow
@pytest.mark.parametrize("address", ["tcp://127.0.0.1:9", "nonsense"])
def test_a_scheduler_that_does_not_answer_is_told_in_one_line(tmp_path, address):
    study = write_study(tmp_path)
    status, _, err = run(
        "sweep", study, "-o", tmp_path / "out.csv", "--scheduler", address, cache=tmp_path / "mine"
    )
    assert status == 2
    assert err.splitlines()[-1].startswith(f"fillbend: --scheduler {address}: no scheduler answers there")
    assert "Traceback" not in err


@pytest.mark.slow
def test_a_scheduler_that_takes_the_call_and_never_speaks_is_told_in_one_line(tmp_path):
    study = write_study(tmp_path)
    with socket.create_server(("127.0.0.1", 0)) as silent:
        address = f"tcp://127.0.0.1:{silent.getsockname()[1]}"
        start_s = time.monotonic()
        status, _, err = run(
            "sweep", study, "-o", tmp_path / "out.csv", "--scheduler", address, cache=tmp_path / "mine"
        )
    assert time.monotonic() - start_s < 90
    assert status == 2
    assert err.splitlines()[-1].startswith(f"fillbend: --scheduler {address}: no scheduler answers there")


@pytest.mark.slow
def test_a_scheduler_that_falls_silent_ends_the_sweep_in_time_with_what_is_finished(cluster, tmp_path):
    address, tell = cluster(1)
    process, study, output = struck(address, tell, tmp_path, "freeze")
    frozen = time.monotonic()
    _, err = process.communicate(timeout=300)
    assert time.monotonic() - frozen < 150
    assert process.returncode == 4, err
    assert err.splitlines()[-1].startswith(
        f"fillbend: --scheduler {address}: has not answered for 10 s; what is"
    )
    assert "Traceback" not in err
    kept = len(rows(output.with_suffix(".jsonl")))
    assert 2 <= kept < 12
    tell("thaw")
    status, out, err = run(
        "sweep", study, "-o", output, "--json", "--scheduler", address, cache=tmp_path / "mine"
    )
    assert (status, json.loads(out)["solved_now"]) == (0, 12 - kept), err


@pytest.mark.slow
def test_a_scheduler_lost_and_back_gives_the_table_of_this_machine_to_the_last_digit(cluster, tmp_path):
    address, tell = cluster(1)
    study = write_study(tmp_path, fills=[0.15, 0.2, 0.25, 0.3, 0.35, 0.4], walls=[1, 2])
    output, alone = tmp_path / "out.csv", tmp_path / "alone.csv"
    process = start("sweep", study, "-o", output, "--scheduler", address, cache=tmp_path / "mine")
    wait_for(output.with_suffix(".jsonl"), 2)
    tell("stop")
    process.communicate(timeout=300)
    before = output.with_suffix(".jsonl").read_bytes()
    again, _ = cluster(1, port=int(address.rpartition(":")[2]))
    assert again == address
    status, _, err = run("sweep", study, "-o", output, "--scheduler", address, cache=tmp_path / "mine")
    assert status == 0, err
    assert output.with_suffix(".jsonl").read_bytes().startswith(before)
    assert run("sweep", study, "-o", alone, "--workers", "1", cache=tmp_path / "own")[0] == 0
    assert output.read_bytes() == alone.read_bytes()


@pytest.mark.slow
def test_workers_with_another_version_are_refused_before_anything_is_solved(cluster, tmp_path):
    other = tmp_path / "other"
    for package in ("patterns", "fem", "validation", "tests"):
        shutil.copytree(HOME / package, other / package, ignore=shutil.ignore_patterns("__pycache__"))
    with (other / "fem" / "estimate.py").open("a", encoding="utf-8") as stream:
        stream.write("# another version\n")
    address, _ = cluster(1, home=other)
    study = write_study(tmp_path)
    status, _, err = run(
        "sweep", study, "-o", tmp_path / "out.csv", "--scheduler", address, cache=tmp_path / "mine"
    )
    assert status == 2, err
    assert "has another version of fillbend or of its libraries" in err.splitlines()[-1]
    assert "(2 of 2 workers)" in err.splitlines()[-1]
    assert rows(tmp_path / "out.jsonl") == []
