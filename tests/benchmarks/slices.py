"""Time and memory of one printed period of a flat beam, as a Markdown table: ``python -m tests.benchmarks.slices``."""

import resource
import sys
import time

from fem.slices.slice_error import count_unknowns, slice_ratio
from fem.slices.slice_grid import SliceGrid
from tests.benchmarks.own_process import print_table
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
    """Print the table, or the row of the case that the arguments name."""
    if len(sys.argv) > 1:
        print(run(int(sys.argv[1]), int(sys.argv[2])))
        return
    columns = (
        "bead, mm",
        "boxes across it",
        "unknowns",
        "EI ratio",
        "GA ratio",
        "CPU, s",
        "wall, s",
        "peak, GiB",
    )
    print_table("tests.benchmarks.slices", columns, CASES)


if __name__ == "__main__":
    main()
