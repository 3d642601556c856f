"""Time and memory of reading and reducing long rig files, as a Markdown table; run ``python -m tests.benchmarks.rig``.

Each file is read in a process of its own, so that the memory is that of one file; the first row is the bare program.
One thread does the work, so processor seconds are those of the clock on a machine that has nothing else to do.
"""

import argparse
import platform
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

CHILD = """
import resource, sys, time
start = time.process_time()
from validation.rig.read import read_file
from validation.rig.reduce import reduce_file
imported = time.process_time()
if len(sys.argv) > 1:
    read_file(sys.argv[1])
    read = time.process_time()
    (run,) = reduce_file(sys.argv[1])
    assert abs(run.peak_force - 200) < 0.5, run.peak_force
    times = read - imported, time.process_time() - read
else:
    times = 0.0, 0.0
print(*times, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)
"""


def rows(n: int) -> Iterator[tuple[int, float, float, float]]:
    """Yield number, seconds, mm and N of a run of n rows: 50 N/mm to 200 N, then broken."""
    for i in range(n):
        u = 5.0 * i / n
        yield i, 10 * u, u, 50 * u if u < 4 else 3.0


def plain(i: int, t: float, u: float, f: float) -> str:
    """Return a row with decimal points."""
    return f"{t:.5f},{f:.4f},{u:.6f}\n"


def semicolon(i: int, t: float, u: float, f: float) -> str:
    """Return a row with decimal commas."""
    return f"{t:.5f};{f:.4f};{u:.6f}\n".replace(".", ",")


def holed(i: int, t: float, u: float, f: float) -> str:
    """Return a row; one in a hundred has a placeholder."""
    return plain(i, t, u, f) if i % 100 != 50 else f"{t:.5f},---,{u:.6f}\n"


def gauge(i: int, t: float, u: float, f: float) -> str:
    """Return a row with its units."""
    return f"{f:.3f},N,{u:.5f},mm\n"


def clock(i: int, t: float, u: float, f: float) -> str:
    """Return a row with the time of day."""
    return f"10:{int(t) // 60:02d}:{t % 60:07.4f},{f:.4f},{u:.6f}\n"


def quoted(i: int, t: float, u: float, f: float) -> str:
    """Return a row of quoted decimal commas between commas."""
    return f'"{t:.5f}","{f:.4f}","{u:.6f}"\n'.replace(".", ",")


NAMES = "Time (s),Load (N),Travel (mm)\n"
KINDS: dict[str, tuple[str, Callable[[int, float, float, float], str]]] = {
    "plain": (NAMES, plain),
    "decimal comma": (NAMES.replace(",", ";"), semicolon),
    "1 % placeholders": (NAMES, holed),
    "units in every row": ("", gauge),
    "time of day": ("Time,Load (N),Travel (mm)\n", clock),
    "quoted decimal comma": (NAMES, quoted),
}


def measure(path: Path | None) -> list[float]:
    """Return processor seconds to read, to read and reduce, and MiB of a fresh process."""
    words = [sys.executable, "-c", CHILD, *([str(path)] if path else [])]
    done = subprocess.run(words, capture_output=True, text=True, check=True)
    return [float(word) for word in done.stdout.split()]


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rows", type=int, default=1_000_000)
    n = parser.parse_args().rows
    print(f"{n:,} rows, one run, {platform.machine()}, Python {platform.python_version()}\n")
    print("| file | MB | read, CPU s | read and reduce, CPU s | peak MiB |\n| --- | --- | --- | --- | --- |")
    print(f"| none | 0 | 0 | 0 | {measure(None)[2]:.0f} |")
    with tempfile.TemporaryDirectory() as folder:
        for name, (names, row) in KINDS.items():
            path = Path(folder) / "run.csv"
            with open(path, "w", encoding="utf-8") as stream:
                stream.write(names)
                stream.writelines(row(*values) for values in rows(n))
            read, both, memory = measure(path)
            print(
                f"| {name} | {path.stat().st_size / 1e6:.0f} | {read:.2f} | {both:.2f} | {memory:.0f} |",
                flush=True,
            )
            path.unlink()


if __name__ == "__main__":
    main()
