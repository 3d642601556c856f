"""Sweeps on a real dask.distributed cluster: loopback only, workers as processes."""

import json
import os
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

Cluster = Callable[[int], tuple[str, Callable[[str], None]]]


@pytest.fixture
def cluster(tmp_path) -> Iterator[Cluster]:
    """Start a cluster of two workers; gives its address and a way to tell it something."""
    started = []

    def begin(threads: int) -> tuple[str, Callable[[str], None]]:
        process = subprocess.Popen(
            [sys.executable, "-m", "tests.validation.sweep.local_cluster", str(threads)],
            cwd=HOME,
            env={**os.environ, "FILLBEND_CACHE": str(tmp_path / "cells")},
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
        )
        started.append(process)

        def tell(word: str) -> None:
            process.stdin.write(f"{word}\n")
            process.stdin.flush()

        return process.stdout.readline().strip(), tell

    yield begin
    for process in started:
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
    until = time.monotonic() + 120
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


@pytest.mark.slow
def test_a_worker_killed_on_the_way_loses_and_doubles_nothing(cluster, tmp_path):
    address, tell = cluster(1)
    study = write_study(tmp_path, fills=[0.15, 0.2, 0.25, 0.3, 0.35, 0.4], walls=[1, 2])
    output = tmp_path / "out.csv"
    process = start("sweep", study, "-o", output, "--scheduler", address, cache=tmp_path / "mine")
    wait_for(output.with_suffix(".jsonl"), 2)
    tell("kill")
    _, err = process.communicate(timeout=300)
    assert process.returncode == 0, err
    found = rows(output.with_suffix(".jsonl"))
    assert len({row["key"] for row in found}) == len(found) == 12
    assert not any("error" in row for row in found)
    assert "Traceback" not in err


@pytest.mark.slow
def test_a_scheduler_that_goes_away_ends_the_sweep_with_what_is_finished(cluster, tmp_path):
    address, tell = cluster(1)
    study = write_study(tmp_path, fills=[0.15, 0.2, 0.25, 0.3, 0.35, 0.4], walls=[1, 2])
    output = tmp_path / "out.csv"
    process = start("sweep", study, "-o", output, "--scheduler", address, cache=tmp_path / "mine")
    wait_for(output.with_suffix(".jsonl"), 2)
    tell("stop")
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
