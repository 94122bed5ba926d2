"""Workers of a Dask cluster as an executor; needs the extra ``cluster``."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import Executor
from contextlib import contextmanager
from importlib import import_module
from importlib.metadata import version
from typing import Any

from sgputt.bulk.run import WorkerLostError
from sgputt.errors import SgputtError

# A worker that dies takes its file along; another then reduces it, this many times at most.
RETRIES = 3
_SECONDS_TO_ANSWER = 15


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
    with client:
        _refuse_others(client.run(version, "sgputt"))
        try:
            yield client.get_executor(pure=False, retries=RETRIES)
        except distributed.KilledWorker as exc:
            raise WorkerLostError(
                f"Workers died over one file {RETRIES + 1} times, perhaps for want of memory.",
                "What was done is kept: give the workers more memory and run the command again.",
            ) from exc


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
