"""Reducing many files, here or by whatever executor (Dask's too), and going on after a stop."""

from __future__ import annotations

import logging
import os
import signal
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import (
    FIRST_COMPLETED,
    BrokenExecutor,
    CancelledError,
    Executor,
    Future,
    ProcessPoolExecutor,
    wait,
)
from contextlib import contextmanager, suppress
from importlib import import_module
from importlib.metadata import version
from multiprocessing import active_children, get_context, parent_process
from threading import Thread, current_thread, main_thread
from typing import Any

from sgputt.bulk.kept import Kept, KeptPart
from sgputt.bulk.putts_files import Source
from sgputt.bulk.reduce import Part, Task, changed_part, reduce_file
from sgputt.errors import SgputtError

# How often a file that changed while it was read is read again.
_READ_AGAIN = 2
# How long nothing may come before one looks whether anybody is there.
_LOOK_SECONDS = 5.0
_THREADS = "POLARS_MAX_THREADS"


class WorkerLostError(SgputtError):
    """A process that reduced files has died."""


def reduce_all(
    sources: Sequence[Source],
    task: Task,
    kept: Kept | None = None,
    executor: Executor | None = None,
    done: Callable[[Source], None] = lambda source: None,
    fresh: bool = False,
    not_kept: Callable[[str], None] = lambda why: None,
) -> list[Part | KeptPart]:
    """Reduce files; the result is the same to the last digit whoever does it, in any order.

    Parameters
    ----------
    sources : sequence of Source
    task : Task
    kept : Kept, optional
        Where parts are taken from and kept.
    executor : concurrent.futures.Executor, optional
        Runs :func:`sgputt.bulk.reduce.reduce_file`; None: here, one by one. Its workers must find
        the files under the same names.
    done : callable, optional
        Told of each file when its part is there.
    fresh : bool
        Take no part that was kept before.
    not_kept : callable, optional
        Told why, should parts no longer be kept, such as on a full disk.

    Returns
    -------
    list of Part or KeptPart
        In the order of the sources; those that are kept stay on the disk.

    Raises
    ------
    WorkerLostError
        A worker died; what was done is kept.
    """
    parts: dict[Source, Part | KeptPart] = {}
    for source in sources:
        found = kept.find(source) if kept is not None and not fresh else None
        if found is not None:
            parts[source] = found
            done(source)
    for source, part, mark in _reduced(
        [each for each in sources if each not in parts], task, executor
    ):
        if kept is not None and mark is not None:
            try:
                # From here on it lies on the disk, not in memory.
                parts[source] = kept.keep(mark, part) or part
            except OSError as exc:
                # The figures do not need it; the next run will read the file again.
                not_kept(exc.strerror or type(exc).__name__)
                kept = None
        parts.setdefault(source, part)
        done(source)
    return [parts[source] for source in sources]


def _reduced(
    sources: Sequence[Source], task: Task, executor: Executor | None
) -> Iterator[tuple[Source, Part, str | None]]:
    """Parts with the mark of the file that they are of; a file that changed is read again."""
    left = list(sources)
    for at_last in [False] * _READ_AGAIN + [True]:
        again: list[Source] = []
        for source, part, before in _each_reduced(left, task, executor):
            if before == source.mark():
                yield source, part, before
            elif at_last:
                yield source, changed_part(source), None
            else:
                again.append(source)
        left = again


def _each_reduced(
    sources: Sequence[Source], task: Task, executor: Executor | None
) -> Iterator[tuple[Source, Part, str | None]]:
    """Each file's part, with its mark from before it was read."""
    if executor is None:
        for source in sources:
            mark = source.mark()
            yield source, reduce_file(source, task), mark
        return
    marks = {source: source.mark() for source in sources}
    waiting: dict[Future[Part], Source] = {}
    try:
        waiting |= {executor.submit(reduce_file, source, task): source for source in sources}
        for future in _done_of(waiting, executor):
            yield waiting[future], future.result(), marks[waiting[future]]
    except CancelledError as exc:
        raise WorkerLostError(
            "Whoever shared out the work has gone, such as the scheduler of the cluster.",
            "What was done is kept: start it again and run the same command again.",
        ) from exc
    except BrokenExecutor as exc:
        raise WorkerLostError(
            "A process that reduced files has died, perhaps for want of memory.",
            "What was done is kept: run the same command again, with --workers 1.",
        ) from exc
    finally:
        for future in waiting:
            future.cancel()


def _done_of(waiting: Iterable[Future[Part]], executor: Executor) -> Iterator[Future[Part]]:
    """Futures as they are done; an executor that can say so is asked whether it is still there."""
    left = set(waiting)
    is_there: Callable[[], bool] = getattr(executor, "is_there", lambda: True)
    while left:
        done, left = wait(left, _LOOK_SECONDS, FIRST_COMPLETED)
        if not done and not is_there():
            raise CancelledError
        yield from done


@contextmanager
def processes(workers: int) -> Iterator[Executor | None]:
    """So many processes of this machine; None for a single one, which is this."""
    if workers == 1:
        yield None
        return
    before, others = os.environ.get(_THREADS), active_children()
    # Read by the workers when they start: each takes its share of the cores.
    os.environ[_THREADS] = str(max(1, (os.cpu_count() or 1) // workers))
    # Polars' threads do not survive a fork.
    pool = ProcessPoolExecutor(workers, get_context("spawn"), _begin_worker)
    try:
        with _deaf_to_ctrl_c():
            # A worker is started for each of these, as none is idle yet.
            for _ in range(workers):
                pool.submit(os.getpid)
        yield pool
    except WorkerLostError:
        # The pool may wait without end for those that are left.
        for child in active_children():
            if child not in others:
                child.kill()
        raise
    finally:
        # Files in hand are finished: a worker killed while it answers would not be noticed.
        pool.shutdown(cancel_futures=True)
        if before is None:
            del os.environ[_THREADS]
        else:
            os.environ[_THREADS] = before


def _begin_worker() -> None:
    """Leave the processes that Ctrl-C reaches, and end when the one that started this has.

    Polars would answer Ctrl-C however it is ignored.
    """
    if hasattr(os, "setpgrp"):
        os.setpgrp()
    Thread(target=_end_with_the_first, daemon=True).start()


def _end_with_the_first() -> None:
    first = parent_process()
    if first is not None:
        first.join()
        os._exit(1)


@contextmanager
def _deaf_to_ctrl_c() -> Iterator[None]:
    """What is started meanwhile ignores Ctrl-C, which reaches every process of a terminal.

    Only the process that was started by hand answers it.
    """
    if current_thread() is not main_thread():
        yield
        return
    heard = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, heard)


# A worker that dies takes its file along; another then reduces it, this many times at most.
RETRIES = 3
_SECONDS_TO_ANSWER = 15
_SECONDS_SILENT = 20
_SECONDS_TO_LEAVE = 3
_DASK_LOGS = tuple(f"distributed.{part}" for part in ("client", "core", "comm", "utils", "batched"))


@contextmanager
def cluster(address: str) -> Iterator[Executor]:
    """Connect to the scheduler at that address, such as ``tcp://10.0.0.5:8786``.

    Raises
    ------
    SgputtError
        Dask is not installed, nobody answers there, or a worker has another sgputt than this.
    WorkerLostError
        Workers died over the same file again and again; what was done is kept.
    """
    try:
        distributed: Any = import_module("distributed")
    except ImportError as exc:
        raise SgputtError(
            "--cluster needs Dask, which is not installed.", 'Type: pip install "sgputt[cluster]"'
        ) from exc
    levels = {name: logging.getLogger(name).level for name in _DASK_LOGS}
    for name in levels:
        # A lost connection is said by us in a sentence, by Dask's log with a traceback.
        logging.getLogger(name).setLevel(logging.CRITICAL + 1)
    client: Any = None
    try:
        client = distributed.Client(address, timeout=_SECONDS_TO_ANSWER)
    except (OSError, ValueError) as exc:
        raise SgputtError(
            f"No scheduler answers at {address}.",
            "Start one with: dask scheduler   and give its address, such as tcp://10.0.0.5:8786",
        ) from exc
    else:
        yield from _executor_of(client, distributed)
    finally:
        # A scheduler that is gone is not waited for.
        with suppress(Exception):
            if client is not None:
                client.close(timeout=_SECONDS_TO_LEAVE)
        for name, level in levels.items():
            logging.getLogger(name).setLevel(level)


def _executor_of(client: Any, distributed: Any) -> Iterator[Executor]:
    try:
        _refuse_others(client.run(version, "sgputt"))
        executor = client.get_executor(pure=False, retries=RETRIES)
        executor.is_there = _Watch(client).is_there
        yield executor
    except distributed.KilledWorker as exc:
        raise WorkerLostError(
            f"Workers died over one file {RETRIES + 1} times, perhaps for want of memory.",
            "What was done is kept: give the workers more memory and run the command again.",
        ) from exc


class _Watch:
    """Whether a scheduler still answers; one that has not for a while is gone."""

    def __init__(self, client: Any) -> None:
        self._client = client
        self._silent_since: float | None = None

    def is_there(self) -> bool:
        if self._client.status == "running":
            self._silent_since = None
            return True
        now = time.monotonic()
        self._silent_since = self._silent_since or now
        return self._client.status != "closed" and now - self._silent_since < _SECONDS_SILENT


def _refuse_others(versions: dict[str, str]) -> None:
    here = version("sgputt")
    others = sorted(where for where, there in versions.items() if there != here)
    if others:
        raise SgputtError(
            f"The worker {others[0]} has sgputt {versions[others[0]]}; here it is {here}.",
            "Install the same version everywhere.",
        )
    if not versions:
        raise SgputtError("The cluster has no workers.", "Start one on each machine: dask worker")
