"""Time and memory of section solutions, as a Markdown table: ``python -m tests.benchmarks.sections``."""

import platform
import resource
import subprocess
import sys
import time

import numpy as np

from fem.material.stiffness import isotropic
from fem.section.mesh import section_mesh
from fem.section.solve import solve_section
from fem.slices.resolved import core_lines
from patterns.bead import Bead
from patterns.outlines.layout import lay_out
from patterns.setting import Core, Printing, Specimen

CASES = [
    ("16 x 10 mm, core homogenised", (16, 10, "square", 0.3, "smooth")),
    ("20 x 20 mm, core homogenised", (20, 20, "square", 0.3, "smooth")),
    *[(f"20 x 20 mm, square drawn, fill {F}", (20, 20, "square", F, "drawn")) for F in (0.2, 0.4, 0.6, 0.8)],
    *[(f"20 x 20 mm, triangular drawn, fill {F}", (20, 20, "triangular", F, "drawn")) for F in (0.4, 0.8)],
]


def run(width: float, depth: float, slug: str, set_fill: float, model: str) -> str:
    """Return one row of the table, less its name."""
    bead = Bead(0.45, 0.2)
    layout = lay_out(
        Specimen("rectangle", width, depth, 100), Printing("upright", bead, 2), Core(slug, set_fill)
    )
    start = time.process_time()
    if model == "drawn":
        made = section_mesh([layout.area("wall"), core_lines(layout)], bead.width)
    else:
        made = section_mesh([layout.area("wall"), layout.area("core")], min(width, depth) / 12)
    meshed = time.process_time()
    materials = np.stack([isotropic(1.0, 0.35), isotropic(1.0 if model == "drawn" else 0.1, 0.35)])
    section = solve_section(made.mesh, materials[made.zone])
    solved = time.process_time()
    unknowns = section.fields.warping[0].size - section.dropped
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024**2
    return f"{made.mesh.nelements} | {unknowns} | {meshed - start:.2f} | {solved - meshed:.2f} | {peak:.2f}"


def main() -> None:
    """Print the table; every case runs in a process of its own, so that its peak memory is its own."""
    if len(sys.argv) > 1:
        width, depth, slug, set_fill, model = sys.argv[1:]
        print(run(float(width), float(depth), slug, float(set_fill), model))
        return
    print(f"{platform.processor() or platform.machine()}, Python {platform.python_version()}, CPU seconds\n")
    print("| section | triangles | unknowns | mesh, s | solve, s | peak, GiB |")
    print("| --- | --- | --- | --- | --- | --- |")
    for name, case in CASES:
        command = [sys.executable, "-m", "tests.benchmarks.sections", *map(str, case)]
        row = subprocess.run(command, check=True, capture_output=True, text=True).stdout.strip()
        print(f"| {name} | {row} |", flush=True)


if __name__ == "__main__":
    main()
