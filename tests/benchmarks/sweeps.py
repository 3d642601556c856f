"""How long sweeps take: cold, resumed, from kept cells, on one and two workers, and how they grow to 5,000 settings.

Run in the project's folder: ``python -m tests.benchmarks.sweeps``. Prints Markdown tables. CPU seconds are those of
the command and its workers together: on a machine that others use, half of them is what two free cores would need.
"""

import json
import os
import platform
import resource
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any

from patterns.paths.cost import Machine
from tests.validation.small_studies import HOME
from validation.study.study import load
from validation.sweep.executors import open_crew
from validation.sweep.result_file import ResultFile
from validation.sweep.sweep import Task, run_all, tasks
from validation.sweep.table import write_table

STUDY = """\
title = "Prismatic cores"
invented = true
specimen = {{ width_mm = 16.0, depth_mm = 12.0, length_mm = 140.0 }}
print = {{ orientation = "{orientation}", bead_width_mm = 0.45, layer_height_mm = 0.2 }}
core = {{ pattern = "square", set_fill = 0.3 }}
test = {{ kind = "three_point", span_mm = 120.0 }}

[vary]
"core.pattern" = {patterns}
"core.set_fill" = {fills}
"print.walls" = {walls}
"""
PATTERNS = ["square", "triangular", "hexagonal", "kagome", "rhombic"]
TARGETS = {"cold": "90", "same output again": "3 + start", "new output, results kept": "3 + start"}


def study(folder: Path, fills: int, walls: int, orientation: str = "flat", patterns: int = 5) -> Path:
    """Write a study of ``patterns x fills x walls`` settings with ``patterns x fills`` different cells."""
    path = folder / f"{orientation}_{fills}_{walls}.toml"
    path.write_text(
        STUDY.format(
            orientation=orientation,
            patterns=json.dumps(PATTERNS[:patterns]),
            fills=[round(0.1 + 0.45 * i / max(fills - 1, 1), 6) for i in range(fills)],
            walls=list(range(1, walls + 1)),
        ),
        encoding="utf-8",
    )
    return path


@dataclass(frozen=True)
class Run:
    """A sweep's wall and CPU seconds, the cores that other programs took meanwhile, and what it says."""

    wall: float
    cpu: float
    others: float
    said: dict[str, Any]

    @property
    def times(self) -> str:
        """Columns of the tables."""
        return f"{self.wall:.1f} | {self.cpu:.1f} | {self.others:.2f}"


def command(folder: Path, source: Path, output: str, workers: int) -> Run:
    """Run a sweep."""
    words = ["sweep", source, "-o", folder / output, "--workers", workers, "--json", "--quiet"]
    busy, own, start = busy_seconds(), own_seconds(), time.perf_counter()
    done = subprocess.run(
        [sys.executable, "-m", "validation.cli", *map(str, words)],
        cwd=HOME,
        env={**os.environ, "FILLBEND_CACHE": str(folder / "cells"), "OMP_NUM_THREADS": "1"},
        stdout=subprocess.PIPE,
        check=True,
    )
    wall, cpu = time.perf_counter() - start, own_seconds() - own
    return Run(wall, cpu, max(busy_seconds() - busy - cpu, 0.0) / wall, json.loads(done.stdout))


def own_seconds() -> float:
    """Return the CPU seconds of finished child processes."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def busy_seconds() -> float:
    """Return the CPU seconds of all programs of this machine since it started (Linux)."""
    user, nice, system = map(int, Path("/proc/stat").read_text().split()[1:4])
    return (user + nice + system) / os.sysconf("SC_CLK_TCK")


def real_sweeps() -> None:
    """Print the times of 200 settings on two workers."""
    print("| 200 prismatic settings, two workers | wall s | CPU s | others' cores | solved now | target s |")
    print("|---|---|---|---|---|---|")
    for name, fills, walls, orientation in (
        ("flat, 50 cells", 10, 4, "flat"),
        ("flat, 200 cells", 40, 1, "flat"),
        ("upright, 50 cells", 10, 4, "upright"),
    ):
        with tempfile.TemporaryDirectory() as place:
            folder = Path(place)
            source = study(folder, fills, walls, orientation)
            for run, output in zip(TARGETS, ("a.csv", "a.csv", "b.csv"), strict=True):
                done = command(folder, source, output, 2)
                assert (done.said["settings"], done.said["failed"]) == (200, 0)
                print(
                    f"| {name}, {run} | {done.times} | {done.said['solved_now']} | {TARGETS[run]} |",
                    flush=True,
                )


def efficiency() -> None:
    """Print wall time on one worker over twice that on two; it tells something only where others' cores are 0."""
    print("\n| 100 settings | wall s | CPU s | others' cores |\n|---|---|---|---|")
    walls = []
    for workers in (1, 2):
        with tempfile.TemporaryDirectory() as place:
            done = command(Path(place), study(Path(place), 10, 2), "a.csv", workers)
        print(f"| {workers} worker(s) | {done.times} |", flush=True)
        walls.append(done.wall)
    print(f"\nParallel efficiency on two workers: {walls[0] / (2 * walls[1]):.2f} (target 0.85)", flush=True)


def canned(task: Task) -> dict[str, Any]:
    """Return a result of usual size at once: what is left is the overhead of a setting."""
    band = {"low": 1.0, "best": 2.0, "high": 3.0}
    names = (
        "stiffness_N_per_mm",
        "breaking_force_N",
        "EI_N_mm2",
        "GA_N",
        "GJ_N_mm2",
        "mass_g",
        "print_time_min",
    )
    more = {"mode": "face_tension", "modes_N": {"face_tension": band}, "warnings": ["x" * 1000]}
    head = {"key": task.key, "label": task.named.label, "varied": task.named.keys}
    return head | dict.fromkeys(names, band) | more | {"fill": {"set": 0.3, "geometric": 0.28}}


def growth() -> None:
    """Print the overhead of a setting for rising numbers, with a canned estimate in two worker processes."""
    print(
        "\n| settings (canned estimate) | study s | sweep s | table s | ms per setting | resume s | peak MB |"
    )
    print("|---|---|---|---|---|---|---|")
    for fills in (50, 125, 250, 500, 1250):
        with tempfile.TemporaryDirectory() as place:
            marks = [time.perf_counter()]
            settings = load(study(Path(place), fills, 4, patterns=1)).settings
            found = tasks(settings, Machine())
            marks.append(time.perf_counter())
            lines = Path(place) / "a.jsonl"
            with open_crew(2, None, len(found)) as crew, ResultFile(lines) as results:
                for _, row in run_all(crew, found, canned):
                    results.add(row)
                marks.append(time.perf_counter())
                write_table(Path(place) / "a.csv", (results.row(task.key) for task in found))
            marks.append(time.perf_counter())
            with ResultFile(lines) as results:
                assert len(results.done) == len(found)
            marks.append(time.perf_counter())
        read, swept, tabled, resumed = (b - a for a, b in pairwise(marks))
        each = 1000 * (read + swept + tabled) / len(found)
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        row = (
            len(found),
            *(f"{part:.2f}" for part in (read, swept, tabled)),
            f"{each:.1f}",
            f"{resumed:.2f}",
        )
        print("|", " | ".join(map(str, row)), f"| {peak:.0f} |", flush=True)


def main() -> None:
    """Print all tables."""
    load_now = os.getloadavg()[0]
    print(
        f"{platform.processor() or platform.machine()}, {os.cpu_count()} cores, load {load_now:.1f} at start\n"
    )
    real_sweeps()
    efficiency()
    growth()


if __name__ == "__main__":
    main()
