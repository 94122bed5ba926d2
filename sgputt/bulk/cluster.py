"""Workers of a Dask cluster as an executor; needs the extra ``cluster``."""

from __future__ import annotations

import time
from collections.abc import Iterator
from concurrent.futures import Executor
from contextlib import contextmanager, suppress
from importlib import import_module
from importlib.metadata import version
from typing import Any

from sgputt.bulk.run import WorkerLostError
from sgputt.errors import SgputtError

# A worker that dies takes its file along; another then reduces it, this many times at most.
RETRIES = 3
_SECONDS_TO_ANSWER = 15
_SECONDS_SILENT = 20
_SECONDS_TO_LEAVE = 3


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
    try:
        client = distributed.Client(address, timeout=_SECONDS_TO_ANSWER)
    except (OSError, ValueError) as exc:
        raise SgputtError(
            f"No scheduler answers at {address}.",
            "Start one with: dask scheduler   and give its address, such as tcp://10.0.0.5:8786",
        ) from exc
    try:
        _refuse_others(client.run(version, "sgputt"))
        executor = client.get_executor(pure=False, retries=RETRIES)
        executor.is_there = _Watch(client).is_there
        try:
            yield executor
        except distributed.KilledWorker as exc:
            raise WorkerLostError(
                f"Workers died over one file {RETRIES + 1} times, perhaps for want of memory.",
                "What was done is kept: give the workers more memory and run the command again.",
            ) from exc
    finally:
        # A scheduler that is gone is not waited for.
        with suppress(Exception):
            client.close(timeout=_SECONDS_TO_LEAVE)


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
