"""Time and size of the page beyond the estimates, as a Markdown table: ``python -m tests.benchmarks.page``.

Both demos with their own beams and estimates, and 500 settings of rule-of-thumb estimates (`invented`), without beams
and with two at every twenty-fifth setting: the page does not ask where its numbers come from. CPU seconds, libraries
loaded; other programs on the machine lengthen them, so the seconds of a plain loop stand beside.
"""

import platform
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

from tests.validation.report.invented import invented_results, invented_study
from validation.measured.measured import Measured, read_specimens
from validation.report.explanation import explanation
from validation.report.page import build_page
from validation.report.tuned import tune
from validation.results.beside import Results
from validation.study.estimates import estimate_all
from validation.study.study import Study, load

DEMOS = Path(__file__).parents[2] / "demos"
# 500 settings: patterns x walls x fills
VARIED = {
    "core.pattern": ["square", "triangular", "kagome", "hexagonal", "rhombic"],
    "print.walls": [1, 2, 3, 4],
    "core.set_fill": [round(0.1 + 0.02 * i, 2) for i in range(25)],
}


def loop() -> float:
    """Return the CPU seconds of ten million steps of Python; 0.6 to 0.8 on a machine with nothing else to do."""
    start, total = time.process_time(), 0
    for i in range(10_000_000):
        total += i
    return time.process_time() - start


def row(name: str, study: Study, results: Results, measured: Measured | None) -> str:
    """Return one row: seconds of tuning and steps, seconds of the page, size."""
    start = time.process_time()
    tuned = tune(study, results.rows)
    steps = explanation(results.rows, study.table.rig.capacity_N) if measured else ((), None)
    told = time.process_time()
    page = build_page(study, results, measured, time.perf_counter(), tuned, steps)
    end = time.process_time()
    size = len(page.encode()) / 1e6
    return f"| {name} | {len(results.rows)} | {told - start:.2f} | {end - told:.2f} | {size:.2f} | {loop():.2f} |"


def main() -> None:
    """Print the table; the first page is made twice, once to load the libraries."""
    print(f"{platform.processor() or platform.machine()}, Python {platform.python_version()}, CPU seconds\n")
    print("| page | settings | tuning and steps, s | page, s | size, MB | loop, s |")
    print("| --- | --- | --- | --- | --- | --- |")
    names = sys.argv[1:] or ["shelf_arm", "vane_mast", "invented"]
    warm = False
    for demo in [name for name in names if name != "invented"]:
        study = load(DEMOS / demo / "study.toml")
        measured = read_specimens(study)
        results = Results.of(study, estimate_all(study, True), measured)
        if not warm:
            row(demo, study, results, measured)
            warm = True
        print(row(demo, study, results, measured), flush=True)
    if "invented" in names:
        with tempfile.TemporaryDirectory() as place:
            study = invented_study(Path(place) / "study.toml", vary=VARIED)
            print(row("no beams", study, *invented_results(study)), flush=True)
            whole, table = invented_results(study, 2, Path(place) / "beams.csv")
            assert table is not None
            some = replace(table, beams=tuple(beam for beam in table.beams if beam.setting % 25 == 0))
            results = Results.of(study, whole.estimates, some)
            print(row("40 beams", study, results, some), flush=True)


if __name__ == "__main__":
    main()
