"""Who does the work: this process, several processes, or a Dask cluster. All of them find the same."""

from __future__ import annotations

import multiprocessing
import signal
from collections.abc import Iterator
from concurrent.futures import Executor, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager

from posekit.errors import PosekitError, error

RETRIES = 5  # how often a job is given to another worker when its own is lost


@contextmanager
def workers(jobs: int, dask: str | None) -> Iterator[Executor | None]:
    """An executor on a Dask scheduler's address, or of so many processes; None for one process: this one."""
    if dask is not None:
        with _cluster(dask) as executor:
            yield executor
    elif jobs > 1:
        # A fresh start rather than a fork: the same on every system, and safe beside other threads.
        afresh = multiprocessing.get_context("spawn")
        # An interrupt is for this process alone, which then ends the others: each would finish its part first.
        with ProcessPoolExecutor(jobs, afresh, signal.signal, (signal.SIGINT, signal.SIG_IGN)) as executor:
            try:
                yield executor
            except KeyboardInterrupt:
                for process in multiprocessing.active_children():
                    process.terminate()
                raise
            except BrokenProcessPool as broken:
                sentence = (
                    f"= {jobs}: one of the processes was ended, perhaps because memory ran out; use fewer"
                )
                raise PosekitError([error("lost-process", "--jobs", sentence)]) from broken
    else:
        yield None


@contextmanager
def _cluster(address: str) -> Iterator[Executor]:
    try:
        from distributed import Client
    except ImportError as missing:
        sentence = "needs Dask's distributed: pip install 'posekit[cluster]'"
        raise PosekitError([error("missing-library", "--dask", sentence)]) from missing
    try:
        client = Client(address, timeout=10)
    except (OSError, ValueError) as problem:
        sentence = f"= {address}: no Dask scheduler answers there ({problem})"
        raise PosekitError([error("no-scheduler", "--dask", sentence)]) from problem
    with client, client.get_executor(retries=RETRIES) as executor:
        yield executor
