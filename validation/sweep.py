"""Many settings: any executor, one line per finished setting, interrupted and resumed without loss.

Results go to a JSON-lines file in the order they finish. A line is written whole before the next one starts, a torn
last line (after a kill or a full disk) is dropped on resuming, and a lock keeps a second sweep from the same file.
"""

import csv
import fcntl
import hashlib
import io
import json
import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Executor, Future, wait
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any, BinaryIO

from fem.cell_store import CellStore, default_folder
from fem.core import core_cell
from fem.estimate import estimate
from patterns.cost import Machine
from patterns.errors import DataError, FillbendError
from validation.estimates import estimate_dict
from validation.output import plain, write_atomically
from validation.study import NamedSetting

# Settings handed to an executor beyond those it works on; keeps memory bounded for any number of settings.
AHEAD = 4


@dataclass(frozen=True)
class Task:
    """One setting to estimate and the key that tells whether it is done."""

    key: str
    named: NamedSetting
    machine: Machine
    folder: Path


def tasks(settings: Sequence[NamedSetting], machine: Machine, folder: Path | None = None) -> list[Task]:
    """Return one task per setting; its key is a hash of everything that the result depends on."""
    where = folder or default_folder()
    return [Task(setting_key(named, machine), named, machine, where) for named in settings]


def setting_key(named: NamedSetting, machine: Machine) -> str:
    """Return the SHA-256 of a setting and the machine, in hexadecimal."""
    text = json.dumps([asdict(named.setting), asdict(machine), named.keys], sort_keys=True, default=str)
    return hashlib.sha256(text.encode()).hexdigest()


def solve_task(task: Task) -> dict[str, Any]:
    """Return the row of a setting; a failure is told in the row, so that one setting does not end the sweep."""
    row: dict[str, Any] = {"key": task.key, "label": task.named.label}
    try:
        found = estimate(task.named.setting, task.machine, CellStore(task.folder))
    except FillbendError as error:
        return {**row, "error": str(error)}
    return {**row, **plain(estimate_dict(task.named, found))}


def solve_cell(task: Task) -> None:
    """Solve a setting's core into the store, so that its neighbours find it there."""
    setting = task.named.setting
    try:
        core_cell(setting.core, setting.printing.bead, setting.card.poisson.best, CellStore(task.folder))
    except FillbendError:
        return  # told when the setting itself is estimated


def distinct_cells(found: Sequence[Task]) -> list[Task]:
    """Return one task for each cell that several settings share."""
    first: dict[Any, Task] = {}
    shared = set()
    for task in found:
        setting = task.named.setting
        core = setting.core
        key = (core.pattern, core.set_fill, core.angle_deg, core.angles_deg, core.corner_radius, core.options)
        cell = (key, setting.printing.bead, setting.card.poisson.best)
        if cell in first:
            shared.add(cell)
        first.setdefault(cell, task)
    return [task for cell, task in first.items() if cell in shared]


def run_all(
    executor: Executor, todo: Sequence[Task], work: Callable[[Task], Any], ahead: int
) -> Iterator[tuple[Task, Any]]:
    """Yield (item, result) as they finish, with at most ``ahead`` items handed over at a time."""
    running: dict[Future, Task] = {}
    waiting = iter(todo)
    try:
        while True:
            for item in waiting:
                running[executor.submit(work, item)] = item
                if len(running) >= ahead:
                    break
            if not running:
                return
            done, _ = wait(running, return_when=FIRST_COMPLETED)
            for future in done:
                yield running.pop(future), future.result()
    finally:
        for future in running:
            future.cancel()


class ResultFile:
    """A JSON-lines file of finished settings, locked while open.

    Raises
    ------
    DataError
        If another sweep holds the file, or it is not one of ours.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self._stream: BinaryIO = open(path, "a+b")
        try:
            fcntl.flock(self._stream, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            self._stream.close()
            raise DataError(
                f"{path}: another sweep is writing it; wait for it, or choose another output"
            ) from None
        try:
            self.done = self._recover()
        except BaseException:
            self._stream.close()
            raise

    def __enter__(self) -> "ResultFile":
        return self

    def __exit__(self, *_: object) -> None:
        self._stream.close()

    def _recover(self) -> set[str]:
        """Return the keys of whole lines and cut a torn last line off."""
        self._stream.seek(0)
        done, end = set(), 0
        for number, line in enumerate(self._stream, 1):
            try:
                row = json.loads(line)
                key = row["key"]
            except (ValueError, KeyError, TypeError):
                if not line.endswith(b"\n"):
                    break
                raise DataError(
                    f"{self.path}:{number}: not a line of a sweep; choose another output"
                ) from None
            if not line.endswith(b"\n"):
                break
            if "error" not in row:
                done.add(key)
            end += len(line)
        self._stream.truncate(end)
        return done

    def add(self, row: dict[str, Any]) -> None:
        """Append one row and hand it to the disk; a line that did not fit is cut off before the error goes on."""
        before = self._stream.seek(0, os.SEEK_END)
        line = json.dumps(row, ensure_ascii=False).encode() + b"\n"
        try:
            self._stream.write(line)
            self._stream.flush()
            os.fsync(self._stream.fileno())
        except OSError:
            os.ftruncate(self._stream.fileno(), before)
            raise
        self.done.add(row["key"])


def rows_of(path: Path) -> Iterator[dict[str, Any]]:
    """Yield the rows of a sweep's file, the last one of each setting."""
    place: dict[str, int] = {}
    with path.open("rb") as stream:
        offset = 0
        for line in stream:
            place[json.loads(line)["key"]] = offset
            offset += len(line)
        for start in place.values():
            stream.seek(start)
            yield json.loads(stream.readline())


def write_csv(path: Path, rows: Iterator[dict[str, Any]], order: Sequence[str]) -> int:
    """Write rows as a tidy CSV in the settings' order, and return their number."""
    flat = {row["key"]: flatten(row) for row in rows}
    wanted = [flat[key] for key in order if key in flat]
    columns = list(dict.fromkeys(name for row in wanted for name in row))
    text = io.StringIO()
    writer = csv.DictWriter(text, columns, lineterminator="\n")
    writer.writeheader()
    writer.writerows(wanted)
    write_atomically(path, text.getvalue())
    return len(wanted)


def flatten(row: dict[str, Any]) -> dict[str, Any]:
    """Return a row with one number or word per column: varied keys, then band ends with their unit."""
    if "error" in row:
        return {"label": row["label"], "error": row["error"]}
    found: dict[str, Any] = dict(row["setting"]["varied"])
    found["label"] = row["label"]
    for name in (
        "stiffness_N_per_mm",
        "breaking_force_N",
        "EI_N_mm2",
        "GA_N",
        "GJ_N_mm2",
        "mass_g",
        "print_time_min",
    ):
        quantity, unit = _split(name)
        for end in ("low", "best", "high"):
            found[f"{quantity}_{end}_{unit}"] = None if row[name] is None else row[name][end]
    found["mode"] = row["mode"]
    for mode, band in row["modes_N"].items():
        found[f"{mode}_N"] = None if band is None else band["best"]
    found |= {"set_fill": row["fill"]["set"], "geometric_fill": row["fill"]["geometric"], "error": ""}
    return found


def _split(name: str) -> tuple[str, str]:
    for unit in ("N_per_mm", "N_mm2", "N", "g", "min"):
        if name.endswith(f"_{unit}"):
            return name.removesuffix(f"_{unit}"), unit
    raise KeyError(name)
