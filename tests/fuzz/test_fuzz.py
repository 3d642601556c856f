"""Ten thousand drawn inputs in this process and two hundred through the shell: no error that is none of ours."""

import os
import random
import resource
import subprocess
import sys
import time

import pytest

from tests.fuzz.judge import KINDS, LIMIT_BYTES, LIMIT_S, fault, judged
from tests.validation.small_studies import HOME

SHARE = 2000
BUDGET_S = 900


@pytest.mark.parametrize("kind", KINDS)
def test_a_few_inputs_of_each_kind_end_as_documented(kind):
    for seed in range(12):
        words, outcome = judged(kind, seed, reading=True)
        assert not outcome.fault, (kind, seed, words, outcome)


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS)
def test_two_thousand_inputs_of_each_kind_end_as_documented(kind):
    start, faults = time.process_time(), []
    for seed in range(SHARE):
        _, outcome = judged(kind, seed)
        if outcome.fault:
            faults.append((kind, seed, outcome.fault))
    assert not faults
    assert time.process_time() - start < BUDGET_S


@pytest.mark.slow
def test_two_hundred_inputs_through_the_shell(tmp_path):
    def bounded() -> None:
        # threads of the libraries map address space that they never use: twice the limit of a run in process
        resource.setrlimit(resource.RLIMIT_DATA, (2 * LIMIT_BYTES, 2 * LIMIT_BYTES))

    faults = []
    for number in range(200):
        kind = list(KINDS)[number % len(KINDS)]
        folder = tmp_path / str(number)
        folder.mkdir()
        words = KINDS[kind](random.Random(f"{kind} {10_000 + number}"), folder)
        done = subprocess.run(
            [sys.executable, "-m", "validation.cli", *words],
            cwd=HOME,
            capture_output=True,
            env={**os.environ, "OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"},
            timeout=10 * LIMIT_S,  # of the clock; other programs may hold the processor
            preexec_fn=bounded,
            check=False,
        )
        err = done.stderr.decode("utf-8", "replace")
        wrong = fault(done.returncode, err) or ("a traceback" if "Traceback" in err else "")
        if wrong:
            faults.append((kind, 10_000 + number, wrong))
    assert not faults
