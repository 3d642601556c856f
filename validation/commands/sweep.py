"""Estimate many settings with workers; finished settings are kept, and a rerun goes on where it stopped."""

import argparse
from pathlib import Path

EPILOG = """example:
  fillbend sweep demos/shelf_arm/study.toml -o sweep.csv
  fillbend sweep demos/shelf_arm/study.toml -o sweep.csv --scheduler tcp://10.0.0.5:8786    (extra fillbend[cluster])
Finished settings are in FILE.jsonl beside the table; remove it to start anew."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    parser.add_argument("study", metavar="STUDY.toml")
    parser.add_argument("-o", "--output", type=Path, required=True, metavar="FILE.csv")
    parser.add_argument("--workers", type=int, metavar="N", help="processes; one per core if left out")
    parser.add_argument(
        "--scheduler", metavar="ADDRESS", help="a running dask.distributed scheduler instead of processes"
    )
    parser.add_argument("--json", action="store_true", help="one JSON object on standard output")


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    from patterns.errors import InputError
    from validation.estimates import machine_of
    from validation.executors import open_executor
    from validation.output import print_json, remark
    from validation.study import load
    from validation.sweep import (
        AHEAD,
        ResultFile,
        distinct_cells,
        rows_of,
        run_all,
        solve_cell,
        solve_task,
        tasks,
        write_csv,
    )
    from validation.sweep_progress import progress

    if args.workers is not None and args.workers < 1:
        raise InputError(f"--workers {args.workers}: at least 1")
    study = load(args.study)
    found = tasks(study.settings, machine_of(study))
    lines = args.output.with_suffix(".jsonl")
    failed = 0
    with ResultFile(lines) as results:
        todo = [task for task in found if task.key not in results.done]
        if todo:
            with open_executor(args.workers, args.scheduler, len(todo)) as (executor, width):
                shared = distinct_cells(todo)
                with progress(len(shared) + len(todo), args.quiet) as tick:
                    for _ in run_all(executor, shared, solve_cell, AHEAD * width):
                        tick()
                    for _, row in run_all(executor, todo, solve_task, AHEAD * width):
                        results.add(row)
                        failed += "error" in row
                        tick()
    count = write_csv(args.output, rows_of(lines), [task.key for task in found])
    if args.json:
        print_json({"study": study.table.title, "settings": count, "solved_now": len(todo), "failed": failed})
    else:
        remark(
            f"wrote {args.output}: {count} settings, {len(todo)} estimated now, {failed} failed", args.quiet
        )
    return 4 if failed else 0
