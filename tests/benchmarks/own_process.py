"""A table whose every row is made by a process of its own, so that its peak memory is its own."""

import platform
import subprocess
import sys
from collections.abc import Iterable, Sequence


def print_table(module: str, columns: Sequence[str], cases: Iterable[Sequence[object]]) -> None:
    """Print the machine, a Markdown table's head, and of every case the row that ``python -m MODULE CASE`` prints."""
    print(f"{platform.processor() or platform.machine()}, Python {platform.python_version()}\n")
    print(f"| {' | '.join(columns)} |")
    print(f"| {' | '.join('---' for _ in columns)} |")
    for case in cases:
        command = [sys.executable, "-m", module, *map(str, case)]
        print(subprocess.run(command, check=True, capture_output=True, text=True).stdout.strip(), flush=True)
