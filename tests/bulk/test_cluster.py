"""A cluster of two processes, one of them killed midway: the same figures to the last digit."""

from __future__ import annotations

import logging
import os
import signal
from collections.abc import Iterator
from importlib import import_module
from importlib.metadata import version
from pathlib import Path
from typing import Any

import polars as pl
import pytest

from sgputt.baseline.catalogue import get_baseline
from sgputt.bulk import run as module
from sgputt.bulk.kept import Kept
from sgputt.bulk.putts_files import Source, find_sources
from sgputt.bulk.reduce import Task
from sgputt.bulk.report import merge
from sgputt.bulk.run import cluster, reduce_all
from sgputt.errors import SgputtError
from tests.bulk.folder import PLAYERS, exactly_the_same, putts, write
from tests.cli.conftest import command

TASK = Task(get_baseline())
FILES = 16


@pytest.fixture(scope="module")
def sources(tmp_path_factory: pytest.TempPathFactory) -> list[Source]:
    files = {
        f"{year}.parquet": pl.concat([putts(player, 120, year, year) for player in PLAYERS])
        for year in range(2010, 2010 + FILES)
    }
    return find_sources([write(tmp_path_factory.mktemp("putts"), files)])


@pytest.fixture(scope="module")
def workers() -> Iterator[Any]:
    distributed: Any = import_module("distributed")
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None, silence_logs=50
    ) as two:
        yield two


def test_a_worker_killed_midway(sources: list[Source], workers: Any, tmp_path: Path) -> None:
    whole = merge(sources, reduce_all(sources, TASK), TASK)
    killed: list[int] = []

    def kill(source: Source) -> None:
        if killed:
            return
        address, state = max(
            workers.scheduler.workers.items(), key=lambda each: len(each[1].processing)
        )
        (pid,) = (
            nanny.pid for nanny in workers.workers.values() if nanny.worker_address == address
        )
        assert len(state.processing) > 0, "nothing was left to lose"
        killed.append(pid)
        os.kill(pid, signal.SIGKILL)

    log = logging.getLogger("distributed.client")
    level = log.level
    with cluster(workers.scheduler_address) as executor:
        assert not log.isEnabledFor(logging.ERROR), "a lost connection would show its traceback"
        kept = Kept(tmp_path, TASK)
        parts = reduce_all(sources, TASK, kept, executor, kill)
    assert len(killed) == 1 and log.level == level
    exactly_the_same(merge(sources, parts, TASK), whole)
    assert len(list(tmp_path.glob("*/*.part"))) == FILES


def test_the_command(sources: list[Source], workers: Any, tmp_path: Path) -> None:
    words = ("bulk", sources[0].path.parent, "--json", "--parts")
    ran = command(*words, tmp_path / "a", "--cluster", workers.scheduler_address)
    assert ran.status == 0, ran.err
    assert ran.content == command(*words, tmp_path / "b", "--workers", 1).content
    ran = command(*words, tmp_path, "--cluster", workers.scheduler_address, "--workers", 2)
    assert ran.status == 2 and "leave --workers out" in ran.err


def test_nobody_answers(sources: list[Source], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "_SECONDS_TO_ANSWER", 1)
    ran = command("bulk", sources[0].path, "--cluster", "tcp://127.0.0.1:9")
    assert ran.status == 1
    assert "No scheduler answers at tcp://127.0.0.1:9" in ran.err
    ran = command("bulk", sources[0].path, "--cluster", "nonsense://x")
    assert ran.status == 1 and "No scheduler answers" in ran.err


def test_workers_of_another_version() -> None:
    with pytest.raises(SgputtError, match=r"worker tcp://b has sgputt 0\.0\.1; here it is"):
        module._refuse_others({"tcp://a": version("sgputt"), "tcp://b": "0.0.1"})
    with pytest.raises(SgputtError, match="no workers"):
        module._refuse_others({})


def test_without_dask(sources: list[Source], monkeypatch: pytest.MonkeyPatch) -> None:
    def absent(name: str) -> None:
        raise ImportError(name)

    monkeypatch.setattr(module, "import_module", absent)
    ran = command("bulk", sources[0].path, "--cluster", "tcp://127.0.0.1:9")
    assert ran.status == 1
    assert "needs Dask" in ran.err and 'pip install "sgputt[cluster]"' in ran.err
