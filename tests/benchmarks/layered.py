"""Time, memory and error of layered cells, as a Markdown table: ``python -m tests.benchmarks.layered``."""

import resource
import sys
import time

from fem.layered.layered import homogenise_layered
from fem.material.stiffness import isotropic
from patterns.bead import Bead
from patterns.catalogue import find
from patterns.fill import fill_for
from tests.benchmarks.own_process import print_table

CASES = [
    *[("alternating", F, "stadium", "0,90", 5e-3) for F in (0.1, 0.4, 0.8, 0.95)],
    ("alternating", 0.4, "square", "0,90", 5e-3),
    ("alternating", 0.4, "stadium", "0,90", 1e-3),
    *[("alternating", 0.4, "stadium", f"0,{angle}", 5e-3) for angle in (75, 60, 45, 30)],
    ("solid", 1.0, "stadium", "0,0", 5e-3),
    ("solid", 1.0, "stadium", "0,90", 5e-3),
    *[("gyroid", F, "stadium", "", 2e-2) for F in (0.1, 0.2, 0.4)],
]


def run(slug: str, set_fill: float, section: str, angles: str, tolerance: float) -> str:
    """Return one row of the table."""
    bead, pattern = Bead(0.45, 0.2, section), find(slug)  # type: ignore[arg-type]
    turns = {"angles_deg": tuple(map(float, angles.split(",")))} if angles else {}
    cell = pattern.cell(bead, fill_for(pattern, bead.width, 0.1, set_fill=set_fill).pitch, 0.1, 0.0, **turns)
    wall, cpu = time.perf_counter(), time.process_time()
    solved = homogenise_layered(cell, isotropic(1.0, 0.35), tolerance)
    wall, cpu = time.perf_counter() - wall, time.process_time() - cpu
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024**2
    name = f"{slug} {angles.replace(',', '/')} {section}, fill {set_fill}"
    error = f"{solved.relative_error:.1e}{'' if solved.met else ' (not met)'}"
    return f"| {name} | {tolerance:g} | {error} | {solved.unknowns} | {cpu:.1f} | {wall:.1f} | {peak:.2f} |"


def main() -> None:
    """Print the table, or the row of the case that the arguments name."""
    if len(sys.argv) > 1:
        slug, set_fill, section, angles, tolerance = sys.argv[1:]
        print(run(slug, float(set_fill), section, angles, float(tolerance)))
        return
    columns = ("cell", "tolerance", "estimated error", "unknowns", "CPU, s", "wall, s", "peak, GiB")
    print_table("tests.benchmarks.layered", columns, CASES)


if __name__ == "__main__":
    main()
