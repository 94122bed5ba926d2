"""Millions of putts to sums by round, beside dense arrays and plain pandas, and as they grow."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import polars as pl
import pytest

from sgputt.baseline.catalogue import get_baseline
from sgputt.bulk.putts_files import PUTTS, find_sources
from sgputt.bulk.reduce import Task, reduce_file
from sgputt.bulk.report import merge
from sgputt.bulk.run import reduce_all
from sgputt.gained.per_putt import strokes_gained
from sgputt.gained.runs import in_order
from sgputt.gained.slices import by_slices
from sgputt.gained.sums import round_sums
from sgputt.putts.table import PUTT_KEY, ROUND_KEY
from tests.benchmarks.conftest import Promise, PutsIn
from tests.benchmarks.dense import curves_of, dense_sums
from tests.benchmarks.plain_pandas import pandas_sums

MANY = 10_000_000
SIZES = (10_000, 100_000, 1_000_000, MANY)
BASELINE = get_baseline()
CURVES = curves_of(BASELINE)


def ours(paths: list[Path]) -> int:
    """Sums of each file, as `sgputt bulk` makes them."""
    rows = 0
    for path in paths:
        putts = pl.read_parquet(path, columns=list(PUTTS))
        rows += sum(by_slices(in_order(putts, PUTT_KEY), ROUND_KEY, sums_of))
    return rows


def sums_of(putts: pl.DataFrame) -> int:
    return round_sums(strokes_gained(putts, BASELINE, in_order_already=True)).height


def dense(paths: list[Path]) -> int:
    return sum(int((dense_sums(path, CURVES)["putts"] > 0).sum()) for path in paths)


def files(folder: Path) -> list[Path]:
    return sorted(folder.glob("*.parquet"))


@pytest.mark.benchmark(group="10 million putts in Parquet to sums by round")
@pytest.mark.parametrize("way", ["dense NumPy", "sgputt", "plain pandas"])
def bench_sums(benchmark: Any, putts_in: PutsIn, promise: Promise, way: str) -> None:
    paths = files(putts_in(MANY))
    if way == "sgputt":
        promise(way, per="dense NumPy", at_most=2.0)
        rows = benchmark.pedantic(ours, (paths,), rounds=5, warmup_rounds=1)
    elif way == "dense NumPy":
        promise(way)
        rows = benchmark.pedantic(dense, (paths,), rounds=5, warmup_rounds=1)
    else:
        promise(way, per="sgputt", at_least=3.0)
        found = benchmark.pedantic(pandas_sums, (paths, CURVES), rounds=2)
        # A player's rounds lie in one file, so all three find the same cells.
        rows = len(found)
    assert rows == ours(paths)


@pytest.mark.benchmark(group="the same with every row checked, and players summed up")
@pytest.mark.parametrize("way", ["dense NumPy", "sgputt bulk"])
def bench_bulk(benchmark: Any, putts_in: PutsIn, promise: Promise, way: str) -> None:
    folder, task = putts_in(MANY), Task(BASELINE)
    sources = find_sources([folder])
    if way == "dense NumPy":
        promise(way)
        benchmark.pedantic(dense, (files(folder),), rounds=3, warmup_rounds=1)
        return
    promise(way, per="dense NumPy")
    found = benchmark.pedantic(
        lambda: merge(sources, reduce_all(sources, task), task), rounds=3, warmup_rounds=1
    )
    assert found.kept == MANY


@pytest.mark.benchmark(group="growth")
@pytest.mark.parametrize("size", SIZES)
def bench_growth(benchmark: Any, putts_in: PutsIn, promise: Promise, size: int) -> None:
    sources, task = find_sources([putts_in(size)]), Task(BASELINE)
    promise(f"{size:,} putts", putts=size)
    rounds = 10 if size < MANY else 3
    benchmark.pedantic(
        lambda: [reduce_file(each, task) for each in sources], rounds=rounds, warmup_rounds=1
    )
