"""A progress bar with the time left, on standard error and only for eyes."""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager


@contextmanager
def progress(total: int, quiet: bool) -> Iterator[Callable[[], None]]:
    """Yield a function to call after each finished piece of work."""
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (TextColumn("estimating"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    silent = quiet or not sys.stderr.isatty()
    with Progress(*columns, console=Console(stderr=True), transient=True, disable=silent) as bar:
        task = bar.add_task("", total=total)
        yield lambda: bar.advance(task)
