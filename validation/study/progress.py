"""How far many estimates are and how long they will take, on standard error: a bar for eyes, lines for logs."""

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from validation.text.output import remark

_LINE_S = 30.0


@contextmanager
def progress(total: int, quiet: bool) -> Iterator[Callable[[], None]]:
    """Yield a function to call after each finished piece of work."""
    if quiet:
        yield lambda: None
    elif sys.stderr.isatty():
        with _bar(total) as tick:
            yield tick
    else:
        yield _Lines(total).tick


@contextmanager
def _bar(total: int) -> Iterator[Callable[[], None]]:
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (TextColumn("estimating"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("", total=total)
        yield lambda: bar.advance(task)


class _Lines:
    """One line whenever ``_LINE_S`` have passed."""

    def __init__(self, total: int) -> None:
        self._total, self._done = total, 0
        self._start = self._told = time.monotonic()

    def tick(self) -> None:
        self._done += 1
        now = time.monotonic()
        if now - self._told >= _LINE_S:
            self._told = now
            left = (now - self._start) * (self._total - self._done) / self._done
            remark(f"{self._done} of {self._total}, about {max(left / 60, 0.1):.1f} min left")
