"""Where sweeps run: processes of this machine, or a dask.distributed scheduler."""

import multiprocessing
import os
import signal
import threading
from collections.abc import Iterator
from concurrent.futures import Executor, ProcessPoolExecutor
from contextlib import contextmanager

from patterns.errors import InputError, SolverError

_THREADS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")
_ANSWER_S = 10
_FIRST_WORKER_S = 60


class Crew:
    """An executor and the number of tasks that it works on at a time."""

    def __init__(self, executor: Executor, width: int) -> None:
        self.executor = executor
        self.width = width

    def renew(self) -> None:
        """Replace the executor after a worker of it has died; SolverError where that is not ours to do."""
        raise SolverError(
            "a worker died, and its executor takes no more work; what is finished is kept: run again"
        )


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
    try:
        from distributed import Client
    except ImportError:
        raise InputError("--scheduler needs dask.distributed: pip install 'fillbend[cluster]'") from None
    try:
        client = Client(address, timeout=_ANSWER_S)
    except (OSError, TimeoutError, ValueError) as error:
        raise InputError(f"--scheduler {address}: no scheduler answers there ({error})") from None
    with client:
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
        yield Crew(client.get_executor(retries=2), len(threads))
