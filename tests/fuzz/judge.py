"""Runs the program on one drawn input, in this process, and judges how it ended: its own errors are one line each."""

import contextlib
import io
import random
import re
import resource
import signal
import tempfile
import traceback
import warnings
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from types import FrameType

from tests.fuzz import beams, learned, outlines, rigs, studies
from validation import cli

Draw = Callable[[random.Random, Path], list[str]]
KINDS: dict[str, Draw] = {
    "study": studies.draw,
    "specimens": beams.draw,
    "rig": rigs.draw,
    "outline": outlines.draw,
    "learned": learned.draw,
}
LIMIT_S = 60
LIMIT_BYTES = 1 << 30
STATUSES = (0, 1, 2, 3, 4)
_OWN = re.compile(r'File ".*?/((?:patterns|fem|validation)/[^"]+)", line (\d+)')


@dataclass(frozen=True)
class Outcome:
    """How a run ended: its status, what it said, and what is wrong with that ("" if nothing is)."""

    status: int
    said: str
    fault: str = ""


class _Hang(BaseException):
    """Raised when the time is up."""


def judged(kind: str, seed: int, reading: bool = False) -> tuple[list[str], Outcome]:
    """Draw an input, run the program on it and return the words and the outcome; with ``reading`` nothing is solved."""
    with tempfile.TemporaryDirectory() as place:
        words = KINDS[kind](random.Random(f"{kind} {seed}"), Path(place))
        return words, run(["reconcile" if reading and word == "estimate" else word for word in words])


def run(words: list[str]) -> Outcome:
    """Run a command in this process under the limits and judge it."""
    said, err = io.StringIO(), io.StringIO()
    try:
        with (
            _limits(),
            contextlib.redirect_stdout(said),
            contextlib.redirect_stderr(err),
            warnings.catch_warnings(),
        ):
            warnings.simplefilter("error")
            status = cli.main([*words, "--debug"])
    except _Hang:
        return Outcome(
            -1, err.getvalue(), f"hangs: over {LIMIT_S} s of CPU: {_place(traceback.format_exc())}"
        )
    except BaseException:  # what leaves main at all is a fault
        return Outcome(-1, err.getvalue(), f"leaves the program: {_place(traceback.format_exc())}")
    return Outcome(status, err.getvalue(), fault(status, err.getvalue()))


def fault(status: int, err: str) -> str:
    """Return what is wrong with a run's status and standard error, "" if nothing is."""
    lines = err.splitlines()
    if "unexpected" in (lines[-1] if lines else ""):
        return f"{lines[-1][:200]} at {_place(err)}"
    if status not in STATUSES:
        return f"status {status}"
    if status >= 2 and not any(line.startswith("fillbend") for line in lines):
        return f"status {status} without a word"
    return ""


def _place(trace: str) -> str:
    """Return the last place of ours in a trace."""
    places = _OWN.findall(trace)
    return ":".join(places[-1]) if places else "?"


@contextlib.contextmanager
def _limits() -> Iterator[None]:
    """Bound CPU time and memory of what runs inside."""

    def stop(signal_number: int, frame: FrameType | None) -> None:
        raise _Hang

    before = signal.signal(signal.SIGVTALRM, stop)
    soft, hard = resource.getrlimit(resource.RLIMIT_AS)
    pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[0])
    resource.setrlimit(resource.RLIMIT_AS, (pages * resource.getpagesize() + LIMIT_BYTES, hard))
    signal.setitimer(signal.ITIMER_VIRTUAL, LIMIT_S)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0)
        signal.signal(signal.SIGVTALRM, before)
        resource.setrlimit(resource.RLIMIT_AS, (soft, hard))
