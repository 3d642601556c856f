"""How far a sweep is: a bar with the time left on a terminal, a line now and then in a log, nothing when quiet."""

import io
import os
import pty
import re
import select
import sys

import pytest

import validation.study.progress
from validation.study.progress import progress


def test_a_terminal_shows_a_bar_with_counts_and_the_time_left(monkeypatch):
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.delenv("NO_COLOR", raising=False)
    shown, terminal = pty.openpty()
    with os.fdopen(terminal, "w") as stream:
        monkeypatch.setattr(sys, "stderr", stream)
        with progress(4, quiet=False) as tick:
            for _ in range(3):
                tick()
        stream.flush()
        text = ""
        while select.select([shown], [], [], 0.2)[0]:  # a terminal hands over what was written piece by piece
            text += os.read(shown, 100_000).decode()
    os.close(shown)
    assert "estimating" in text
    assert "3/4" in text
    assert re.search(r"\d:\d\d:\d\d|-:--:--", text)


def test_a_log_gets_a_line_now_and_then(monkeypatch):
    clock = iter([0.0, 10.0, 31.0, 40.0, 62.0, 63.0])
    monkeypatch.setattr(validation.study.progress.time, "monotonic", lambda: next(clock))
    monkeypatch.setattr(sys, "stderr", io.StringIO())
    with progress(20, quiet=False) as tick:
        for _ in range(5):
            tick()
    assert sys.stderr.getvalue().splitlines() == [
        "2 of 20, about 4.7 min left",  # 31 s for 2, 18 to go
        "4 of 20, about 4.1 min left",  # 62 s for 4, 16 to go
    ]


@pytest.mark.parametrize("terminal", [True, False])
def test_quiet_shows_nothing(monkeypatch, terminal):
    stream = io.StringIO()
    monkeypatch.setattr(stream, "isatty", lambda: terminal)
    monkeypatch.setattr(sys, "stderr", stream)
    with progress(2, quiet=True) as tick:
        tick()
    assert stream.getvalue() == ""
