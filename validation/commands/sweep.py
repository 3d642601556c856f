"""Estimate many settings with workers; finished settings are kept, and a rerun goes on where it stopped."""

import argparse
from pathlib import Path
from typing import Any

EPILOG = """example:
  fillbend sweep demos/shelf_arm/study.toml -o sweep.csv
  fillbend sweep demos/shelf_arm/study.toml -o sweep.csv --scheduler tcp://10.0.0.5:8786    (extra fillbend[cluster])
Finished settings are in FILE.jsonl beside the table; remove it to start anew."""

_TABLE_S = 30.0  # the table is brought up to date this often


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the options of the command."""
    from validation.commands.options import add_changes

    parser.add_argument("study", metavar="STUDY.toml")
    parser.add_argument("-o", "--output", type=Path, required=True, metavar="FILE.csv")
    parser.add_argument("--workers", type=int, metavar="N", help="processes; one per core if left out")
    parser.add_argument(
        "--scheduler", metavar="ADDRESS", help="a running dask.distributed scheduler instead of processes"
    )
    parser.add_argument("--json", action="store_true", help="one JSON object on standard output")
    add_changes(parser)


def run(args: argparse.Namespace) -> int:
    """Run the command."""
    import os
    import time

    from validation.commands.options import changes
    from validation.study.estimates import machine_of
    from validation.study.progress import progress
    from validation.study.study import load
    from validation.sweep.executors import open_crew
    from validation.sweep.result_file import ResultFile
    from validation.sweep.sweep import recall, shared_cells, sweep, tasks
    from validation.sweep.table import require_own_table, write_table
    from validation.text.output import print_json, remark

    _check(args)
    lines = args.output.with_suffix(".jsonl")
    study = load(args.study, changes(args))
    settings = tasks(study.settings, machine_of(study))
    require_own_table(args.output)
    with ResultFile(lines, os.path.relpath(study.path, args.output.parent)) as results:
        todo = recall([task for task in settings if task.key not in results.done], results)

        def table() -> int:
            return write_table(args.output, (results.row(task.key) for task in settings))

        try:
            if todo:
                with (
                    progress(len(shared_cells(todo)) + len(todo), args.quiet) as tick,
                    open_crew(args.workers, args.scheduler, len(todo)) as crew,
                ):
                    written = time.monotonic()
                    for _ in sweep(crew, todo, results):
                        tick()
                        if time.monotonic() - written > _TABLE_S:
                            table()
                            written = time.monotonic()
        except KeyboardInterrupt:  # perhaps within a line
            results.recover()
            remark(
                f"{table()} of {len(settings)} settings are kept in {lines}; run again to go on", args.quiet
            )
            raise
        count = table()
        failures = [row for task in todo if (row := results.row(task.key)) and "error" in row]
    if args.json:
        print_json(
            {
                "study": study.table.title,
                "settings": count,
                "solved_now": len(todo),
                "failed": len(failures),
                "table": str(args.output),
                "lines": str(lines),
            }
        )
    _tell(args, count, len(todo), failures)
    return max((row["status"] for row in failures), default=0)


def _check(args: argparse.Namespace) -> None:
    """Refuse options that contradict each other, and a table that could not be written."""
    from patterns.errors import InputError
    from validation.text.output import require_ending, require_place

    if args.workers is not None and args.workers < 1:
        raise InputError(f"--workers {args.workers}: at least 1")
    if args.workers and args.scheduler:
        raise InputError("--workers and --scheduler: give one; a scheduler knows its own workers")
    require_ending(args.output, (".csv",), "the table of a sweep")
    require_place(args.output)


def _tell(args: argparse.Namespace, count: int, solved: int, failures: list[dict[str, Any]]) -> None:
    """Say what was written and what failed."""
    from validation.text.output import remark

    for row in failures[:5]:
        remark(f"{row['label']}: {row['error']}", args.quiet)
    remark(
        f"wrote {args.output}: {count} settings, {solved} estimated now, {len(failures)} failed", args.quiet
    )
