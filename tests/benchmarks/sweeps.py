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
from itertools import pairwise
from pathlib import Path
from typing import Any

from patterns.cost import Machine
from tests.validation.small_studies import HOME
from validation.executors import open_crew
from validation.result_file import ResultFile
from validation.study import load
from validation.sweep import Task, run_all, tasks
from validation.sweep_table import write_table

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


def command(folder: Path, source: Path, output: str, workers: int) -> tuple[float, float, dict[str, Any]]:
    """Run a sweep; return wall and CPU seconds and what it says."""
    words = ["sweep", source, "-o", folder / output, "--workers", workers, "--json", "--quiet"]
    before, start = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    done = subprocess.run(
        [sys.executable, "-m", "validation.cli", *map(str, words)],
        cwd=HOME,
        env={**os.environ, "FILLBEND_CACHE": str(folder / "cells"), "OMP_NUM_THREADS": "1"},
        stdout=subprocess.PIPE,
        check=True,
    )
    seconds, after = time.perf_counter() - start, resource.getrusage(resource.RUSAGE_CHILDREN)
    cpu = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return seconds, cpu, json.loads(done.stdout)


def real_sweeps() -> None:
    """Print the times of 200 settings on two workers."""
    print(
        "| 200 prismatic settings, two workers | wall s | CPU s | solved now | target s |\n|---|---|---|---|---|"
    )
    for name, fills, walls, orientation in (
        ("flat, 50 cells", 10, 4, "flat"),
        ("flat, 200 cells", 40, 1, "flat"),
        ("upright, 50 cells", 10, 4, "upright"),
    ):
        with tempfile.TemporaryDirectory() as place:
            folder = Path(place)
            source = study(folder, fills, walls, orientation)
            for run, output in zip(TARGETS, ("a.csv", "a.csv", "b.csv"), strict=True):
                wall, cpu, said = command(folder, source, output, 2)
                assert (said["settings"], said["failed"]) == (200, 0)
                row = (f"{name}, {run}", f"{wall:.1f}", f"{cpu:.1f}", said["solved_now"], TARGETS[run])
                print("|", " | ".join(map(str, row)), "|", flush=True)


def efficiency() -> None:
    """Print wall time on one worker over twice that on two."""
    walls = {}
    for workers in (1, 2):
        with tempfile.TemporaryDirectory() as place:
            walls[workers], cpu, _ = command(Path(place), study(Path(place), 10, 2), "a.csv", workers)
            print(f"\n100 settings on {workers} worker(s): {walls[workers]:.1f} s, CPU {cpu:.1f} s")
    print(f"parallel efficiency on two workers: {walls[1] / (2 * walls[2]):.2f} (target 0.85)", flush=True)


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
