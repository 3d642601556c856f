"""Time and memory of one printed period of a flat beam, as a Markdown table: ``python -m tests.benchmarks.slices``."""

import platform
import resource
import subprocess
import sys
import time

from fem.slices.slice_error import count_unknowns, slice_ratio
from fem.slices.slice_grid import SliceGrid
from tests.fem.slices.test_beam_slice import VALUES, beam_of

CASES = (
    (1, 4),
    (2, 4),
    (3, 4),
    (4, 3),
)  # n times as many, as much smaller beads in 8 x 8 mm; boxes across each


def run(n: int, across: int) -> str:
    """Return one row of the table."""
    grid = SliceGrid(beam_of(phase=0.25, n=n), VALUES, across)
    unknowns = count_unknowns(grid.drawn())
    wall, cpu = time.perf_counter(), time.process_time()
    found = slice_ratio(grid)
    wall, cpu = time.perf_counter() - wall, time.process_time() - cpu
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024**2
    ratios = f"{found.ratios['EI']:.4f} | {found.ratios['GA']:.4f}"
    return f"| {1 / n:.3g} | {across} | {unknowns} | {ratios} | {cpu:.1f} | {wall:.1f} | {peak:.2f} |"


def main() -> None:
    """Print the table; every case runs in a process of its own, so that its peak memory is its own."""
    if len(sys.argv) > 1:
        print(run(int(sys.argv[1]), int(sys.argv[2])))
        return
    print(f"{platform.processor() or platform.machine()}, Python {platform.python_version()}\n")
    print("| bead, mm | boxes across it | unknowns | EI ratio | GA ratio | CPU, s | wall, s | peak, GiB |")
    print("| --- | --- | --- | --- | --- | --- | --- | --- |")
    for case in CASES:
        command = [sys.executable, "-m", "tests.benchmarks.slices", *map(str, case)]
        print(subprocess.run(command, check=True, capture_output=True, text=True).stdout.strip(), flush=True)


if __name__ == "__main__":
    main()
