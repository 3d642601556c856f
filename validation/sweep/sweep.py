"""Many settings: any executor, equal cells solved once, one finished setting after the other handed to a file."""

import hashlib
import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Future, wait
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np

from fem.estimation import estimate
from fem.printed.cell_store import CellStore, default_folder
from fem.printed.core import CellKey, cell_key, core_cell
from patterns.errors import FillbendError, InputError, SolverError
from patterns.infill import infill_of
from patterns.paths.cost import Machine
from validation.results.estimates import estimate_dict
from validation.study.study import NamedSetting
from validation.sweep.executors import Crew
from validation.sweep.result_file import ResultFile
from validation.sweep.stamp import row_stamp
from validation.text.errors import error_words
from validation.text.output import plain

# Tasks handed over per worker: enough to keep it busy, few enough to keep memory bounded.
_AHEAD = 3


@dataclass(frozen=True)
class Task:
    """One setting to estimate.

    Attributes
    ----------
    key : str
        Hash of everything that the result depends on; tells whether it is done.
    named : NamedSetting
    machine : Machine
    code : str
        Stamp of the code that is to do it.
    """

    key: str
    named: NamedSetting
    machine: Machine
    code: str


def tasks(settings: Sequence[NamedSetting], machine: Machine) -> list[Task]:
    """Return one task per setting."""
    code = row_stamp()
    return [Task(_key(named, machine, code), named, machine, code) for named in settings]


def _key(named: NamedSetting, machine: Machine, code: str) -> str:
    text = json.dumps([asdict(named.setting), asdict(machine), named.keys, code], sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()


def recall(todo: Sequence[Task], results: ResultFile) -> list[Task]:
    """Hand the rows that earlier sweeps have kept to the file, and return the tasks that are left."""
    store, left = CellStore(default_folder()), []
    for task in todo:
        row = _kept_row(store.get(_row_key(task)))
        if row is None or row.get("key") != task.key:
            left.append(task)
        else:
            results.add(row)
    return left


def _kept_row(arrays: Mapping[str, np.ndarray] | None) -> dict[str, Any] | None:
    """Return the row that an entry of the store holds, None if it holds none."""
    try:
        row = json.loads(str(arrays["row"])) if arrays is not None else None
    except (KeyError, ValueError, RecursionError):
        return None
    return row if isinstance(row, dict) else None


def _row_key(task: Task) -> dict[str, str]:
    return {"row": task.key}


def sweep(crew: Crew, todo: Sequence[Task], results: ResultFile) -> Iterator[Task]:
    """Estimate settings, first the cells that several share; yield after each piece of work.

    A result is in the file when its task is yielded. A setting that cannot be estimated gives a row that says why,
    and does not end the sweep.
    """
    for task, _ in run_all(crew, shared_cells(todo), solve_cell):
        yield task
    store = CellStore(default_folder())
    for task, found in run_all(crew, todo, solve_setting):
        if isinstance(found, dict):
            results.add(found)
            store.put(_row_key(task), {"row": np.array(json.dumps(plain(found)))})
        else:
            results.add(_failure(task, found))
        yield task


def solve_setting(task: Task) -> dict[str, Any]:
    """Return the row of a setting, in whatever process or machine this runs."""
    _require_code(task)
    store = CellStore(default_folder())
    return _row(task) | estimate_dict(task.named, estimate(task.named.setting, task.machine, store))


def solve_cell(task: Task) -> None:
    """Solve a setting's core into the store, so that others find it there."""
    _require_code(task)
    setting = task.named.setting
    infill = infill_of(setting.core, setting.printing.bead)
    core_cell(infill, setting.card.poisson.best, CellStore(default_folder()))


def _require_code(task: Task) -> None:
    if task.code != row_stamp():
        raise SolverError(
            "this worker runs another version of fillbend or of its libraries than the sweep; "
            "install the same on every machine"
        )


def _row(task: Task) -> dict[str, Any]:
    return {"key": task.key, "label": task.named.label, "varied": task.named.keys}


def _failure(task: Task, error: BaseException) -> dict[str, Any]:
    if isinstance(error, FillbendError):
        return {**_row(task), "error": error_words(error), "status": error.status}
    text = f"unexpected {type(error).__name__}: {error}"
    return {**_row(task), "error": text, "status": SolverError.status}


def shared_cells(found: Sequence[Task]) -> list[Task]:
    """Return one task for each cell that several settings share."""
    first: dict[CellKey, Task] = {}
    shared: dict[CellKey, Task] = {}
    for task in found:
        setting = task.named.setting
        if setting.core.set_fill == 0:
            continue
        try:
            infill = infill_of(setting.core, setting.printing.bead)
            key = cell_key(infill, setting.card.poisson.best)
        except InputError:
            continue  # told when the setting itself is estimated
        if key in first:
            shared[key] = first[key]
        else:
            first[key] = task
    return list(shared.values())


def run_all(
    crew: Crew, todo: Sequence[Task], work: Callable[[Task], Any]
) -> Iterator[tuple[Task, Any | BaseException]]:
    """Yield each task with its result, or with the error that it raised, in the order they finish.

    A worker that dies takes the tasks of its executor with it. Those are done again one at a time, so that the one to
    blame is known if it happens again.

    Raises
    ------
    SolverError
        If an executor drops its tasks, falls silent, or has lost a worker and cannot be renewed.
    """
    running: dict[Future[Any], Task] = {}
    waiting = iter(todo)
    try:
        while True:
            lost = _hand_over(crew, waiting, running, work)
            if not (running or lost):
                return
            for future in _finished(crew, running):
                task, found = running.pop(future), _outcome(future)
                if isinstance(found, BrokenExecutor):
                    lost.append(task)
                else:
                    yield task, found
            if lost:
                lost += running.values()
                running.clear()
                crew.renew()
                for task in lost:
                    yield task, _alone(crew, task, work)
    finally:
        for future in running:
            future.cancel()


def _hand_over(
    crew: Crew, waiting: Iterator[Task], running: dict[Future[Any], Task], work: Callable[[Task], Any]
) -> list[Task]:
    """Keep the executor busy; return the task that a broken one did not take."""
    while len(running) < _AHEAD * crew.width and (task := next(waiting, None)) is not None:
        try:
            running[crew.executor.submit(work, task)] = task
        except BrokenExecutor:
            return [task]
    return []


def _finished(crew: Crew, running: Mapping[Future[Any], Task]) -> set[Future[Any]]:
    """Wait until some tasks are done; now and then see that there is somebody to wait for."""
    while running:
        if done := wait(running, crew.patience, FIRST_COMPLETED).done:
            return done
        crew.require_alive()
    return set()


def _outcome(future: Future[Any]) -> Any | BaseException:
    if future.cancelled():
        raise SolverError("the scheduler has dropped its tasks; what is finished is kept: run again")
    return future.exception() or future.result()


def _alone(crew: Crew, task: Task, work: Callable[[Task], Any]) -> Any | BaseException:
    found = _outcome_of(crew, task, work)
    if isinstance(found, BrokenExecutor):
        crew.renew()
        return SolverError(
            "its worker process died twice, the second time with nothing else to do: "
            "out of memory, or a crash of the mesher"
        )
    return found


def _outcome_of(crew: Crew, task: Task, work: Callable[[Task], Any]) -> Any | BaseException:
    future = crew.executor.submit(work, task)
    _finished(crew, {future: task})
    return _outcome(future)
