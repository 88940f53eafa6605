"""Where the drafting is done: worker processes of this machine, or those of a Dask cluster."""

from __future__ import annotations

import multiprocessing
import os
from collections.abc import Iterator
from concurrent.futures import Executor, ProcessPoolExecutor
from contextlib import contextmanager

from pipeline.errors import StillroomError
from pipeline.shelf.drafting import start_worker

_REACH_SECONDS = 15


def cores() -> int:
    """How many processes this one may run at once."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


@contextmanager
def executor_of(*, workers: int, scheduler: str | None = None) -> Iterator[tuple[Executor, int]]:
    """An executor and the number of its workers: `workers` processes here, or the cluster at the address `scheduler`.

    Raises StillroomError where the cluster cannot be reached, or its library is not installed.
    """
    if scheduler is not None:
        with _cluster(scheduler) as found:
            yield found
        return
    spawn = multiprocessing.get_context("spawn")
    pool = ProcessPoolExecutor(workers, mp_context=spawn, initializer=start_worker)
    try:
        yield pool, workers
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


@contextmanager
def _cluster(address: str) -> Iterator[tuple[Executor, int]]:
    try:
        from distributed import Client
    except ImportError as fault:
        raise StillroomError("--scheduler needs the extra: pip install 'stillroom[dask]'") from fault
    try:
        client = Client(address, timeout=_REACH_SECONDS)
    except (OSError, ValueError) as fault:
        raise StillroomError(f"no scheduler answers at {address}") from fault
    try:
        pool: Executor = client.get_executor()
        yield pool, max(1, sum(client.nthreads().values()))
    finally:
        client.close()
