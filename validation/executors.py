"""Where sweeps run: processes of this machine, or a dask.distributed scheduler."""

import multiprocessing
import os
import signal
from collections.abc import Iterator
from concurrent.futures import Executor, ProcessPoolExecutor
from contextlib import contextmanager

from patterns.errors import InputError

_THREADS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")


@contextmanager
def open_executor(workers: int | None, scheduler: str | None, tasks: int) -> Iterator[tuple[Executor, int]]:
    """Yield an executor and the number of tasks it works on at a time.

    Raises
    ------
    InputError
        If dask.distributed is missing or the scheduler does not answer.
    """
    if scheduler:
        with _cluster(scheduler) as found:
            yield found
        return
    width = min(workers or os.cpu_count() or 1, tasks)
    with _processes(width) as pool:
        yield pool, width


@contextmanager
def _processes(width: int) -> Iterator[ProcessPoolExecutor]:
    """Yield spawned processes with one numerical thread each: gmsh is global to a process, cores are shared."""
    before = {name: os.environ.get(name) for name in _THREADS}
    os.environ.update(dict.fromkeys(_THREADS, "1"))
    pool = ProcessPoolExecutor(width, multiprocessing.get_context("spawn"), _ignore_interrupts)
    try:
        yield pool
    except BaseException:
        # Do not wait for settings in flight: what is finished is written, the rest is done by the next run.
        for process in list(pool._processes.values()):
            process.terminate()
        pool.shutdown(wait=False, cancel_futures=True)
        raise
    finally:
        pool.shutdown(wait=True, cancel_futures=True)
        for name, value in before.items():
            if value is None:
                os.environ.pop(name, None)
            else:
                os.environ[name] = value


def _ignore_interrupts() -> None:
    """Leave Ctrl-C to the parent, which knows what is finished."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)


@contextmanager
def _cluster(address: str) -> Iterator[tuple[Executor, int]]:
    try:
        from distributed import Client
    except ImportError:
        raise InputError("--scheduler needs dask.distributed: pip install 'fillbend[cluster]'") from None
    try:
        client = Client(address, timeout="10s")
    except (OSError, TimeoutError, ValueError) as error:
        raise InputError(f"--scheduler {address}: no scheduler answers there ({error})") from None
    with client:
        width = max(sum(client.nthreads().values()), 1)
        yield client.get_executor(retries=2), width
