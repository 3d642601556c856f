"""Where sweeps run: processes of this machine, or a dask.distributed scheduler."""

import multiprocessing
import os
import signal
import threading
import time
from collections.abc import Iterator
from concurrent.futures import Executor, ProcessPoolExecutor
from contextlib import contextmanager, suppress
from typing import TYPE_CHECKING

from patterns.errors import InputError, SolverError
from validation.sweep.stamp import row_stamp

if TYPE_CHECKING:
    from distributed import Client

_THREADS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")
_ANSWER_S = 10
_FIRST_WORKER_S = 60
_SILENCE_S = 30
"""Without a result for so long a scheduler is asked whether it is still there; a setting may take minutes."""
_NO_WORKER_S = 300
_KEPT = "what is finished is kept: run again"


class Crew:
    """An executor and the number of tasks that it works on at a time.

    Attributes
    ----------
    executor : Executor
    width : int
    patience : float or None
        Seconds without a result after which `require_alive` is to be called; None where nothing can fall silent.
    """

    patience: float | None = None

    def __init__(self, executor: Executor, width: int) -> None:
        self.executor = executor
        self.width = width

    def renew(self) -> None:
        """Replace the executor after a worker of it has died; SolverError where that is not ours to do."""
        raise SolverError(f"a worker died, and its executor takes no more work; {_KEPT}")

    def require_alive(self) -> None:
        """Raise SolverError where there is nobody left to wait for."""


class Processes(Crew):
    """Spawned processes with one numerical thread each: the mesher is global to a process, the cores are shared."""

    def __init__(self, width: int) -> None:
        super().__init__(self._start(width), width)

    def _start(self, width: int) -> ProcessPoolExecutor:
        before = set(multiprocessing.active_children())
        pool = ProcessPoolExecutor(width, multiprocessing.get_context("spawn"), _end_with_parent)
        with _one_thread(), _interrupts_ignored():
            for _ in range(width):  # each starts a process, which inherits the two
                pool.submit(int)
        self._children = set(multiprocessing.active_children()) - before
        return pool

    def renew(self) -> None:
        """Start a new pool in the place of a broken one."""
        self.stop()
        self.executor = self._start(self.width)

    def stop(self) -> None:
        """End the processes at once, whatever they work on."""
        for child in self._children:
            child.terminate()
        self.executor.shutdown(cancel_futures=True)


class Cluster(Crew):
    """The workers of a scheduler, which may fall silent without closing its connection, or lose them all."""

    patience = _SILENCE_S

    def __init__(self, client: "Client", address: str, width: int) -> None:
        super().__init__(client.get_executor(retries=2), width)
        self._client, self._address = client, address
        self._deserted_since: float | None = None

    def require_alive(self) -> None:
        """Ask the scheduler for its workers; SolverError if it is silent or has long been without any."""
        scheduler = self._client.scheduler
        assert scheduler is not None
        try:
            found = self._client.sync(scheduler.identity, callback_timeout=_ANSWER_S)
        except (OSError, TimeoutError):
            raise SolverError(
                f"--scheduler {self._address}: has not answered for {_ANSWER_S} s; {_KEPT}"
            ) from None
        now = time.monotonic()
        if found["workers"]:
            self._deserted_since = None
        elif self._deserted_since is None:
            self._deserted_since = now
        elif now - self._deserted_since > _NO_WORKER_S:
            raise SolverError(
                f"--scheduler {self._address}: has had no worker for {_NO_WORKER_S // 60} min; {_KEPT}"
            )


@contextmanager
def open_crew(workers: int | None, scheduler: str | None, tasks: int) -> Iterator[Crew]:
    """Yield workers for a number of tasks: ``workers`` processes, one per core if None, or those of a scheduler.

    Leaving by an exception does not wait for the tasks in flight.

    Raises
    ------
    InputError
        If dask.distributed is missing, the scheduler does not answer, or its workers cannot do the job.
    """
    if scheduler:
        with _cluster(scheduler) as crew:
            yield crew
        return
    processes = Processes(max(1, min(workers or os.cpu_count() or 1, tasks)))
    try:
        yield processes
        processes.executor.shutdown()
    finally:
        processes.stop()


@contextmanager
def _one_thread() -> Iterator[None]:
    before = {name: os.environ.get(name) for name in _THREADS}
    os.environ.update(dict.fromkeys(_THREADS, "1"))
    try:
        yield
    finally:
        for name, value in before.items():
            if value is None:
                del os.environ[name]
            else:
                os.environ[name] = value


@contextmanager
def _interrupts_ignored() -> Iterator[None]:
    """Let children leave Ctrl-C, which reaches a whole group, to the parent: it knows what is finished."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


def _end_with_parent() -> None:
    """Watch the parent: when it is killed outright, its workers would otherwise wait for work forever."""
    parent = multiprocessing.parent_process()
    assert parent is not None

    def watch() -> None:
        parent.join()
        os._exit(1)

    threading.Thread(target=watch, daemon=True).start()


@contextmanager
def _cluster(address: str) -> Iterator[Crew]:
    client = _client(address)
    try:
        try:
            client.wait_for_workers(1, timeout=_FIRST_WORKER_S)
        except TimeoutError:
            raise InputError(
                f"--scheduler {address}: no worker has joined it within {_FIRST_WORKER_S} s; "
                f"start some with `dask worker {address} --nthreads 1`"
            ) from None
        threads = client.nthreads()
        if (most := max(threads.values())) > 1:
            raise InputError(
                f"--scheduler {address}: a worker has {most} threads, but the mesher takes one per process; "
                f"start workers with --nthreads 1"
            )
        _require_same_code(client, address)
        yield Cluster(client, address, len(threads))
    finally:
        with suppress(OSError, TimeoutError):  # one that is silent hears no farewell either
            client.close(timeout=_ANSWER_S)


def _client(address: str) -> "Client":
    """Return a connection to a scheduler; InputError where none answers in time.

    It is made in a thread of its own, since it waits for ever for somebody who takes the call and is silent.
    """
    try:
        from distributed import Client
    except ImportError:
        raise InputError("--scheduler needs dask.distributed: pip install 'fillbend[cluster]'") from None
    found: list[Client | BaseException] = []

    def connect() -> None:
        try:
            found.append(Client(address, timeout=_ANSWER_S))
        except BaseException as error:
            found.append(error)

    thread = threading.Thread(target=connect, daemon=True)
    thread.start()
    thread.join(2 * _ANSWER_S)
    (client,) = found or [TimeoutError(f"silent for {2 * _ANSWER_S} s")]
    if isinstance(client, Client):
        return client
    if isinstance(client, OSError | TimeoutError | ValueError):
        raise InputError(f"--scheduler {address}: no scheduler answers there ({client})") from None
    raise client


def _require_same_code(client: "Client", address: str) -> None:
    """Raise InputError if a worker has no fillbend, or another one.

    Workers that are busy with something else, or join later, refuse each task by themselves.
    """
    asked = {worker: client.submit(row_stamp, workers=[worker], pure=False) for worker in client.nthreads()}
    until = time.monotonic() + _FIRST_WORKER_S
    others = []
    for worker, future in asked.items():
        try:
            same = future.result(timeout=max(until - time.monotonic(), 1)) == row_stamp()
        except TimeoutError:
            continue
        except Exception:  # whatever keeps the worker from importing fillbend
            same = False
        others += [] if same else [worker]
    if others:
        raise InputError(
            f"--scheduler {address}: the worker {others[0]} has another version of fillbend or of its libraries, or "
            f"none ({len(others)} of {len(asked)} workers); install the same on every machine"
        )
