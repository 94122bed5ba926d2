"""Millions of putts to sums by round, beside dense arrays and three engines, and as they grow."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import polars as pl
import pyarrow.parquet as pq
import pytest

from sgputt.baseline.catalogue import get_baseline
from sgputt.bulk.putts_files import PUTTS, find_sources
from sgputt.bulk.reduce import Task, reduce_file
from sgputt.bulk.report import merge
from sgputt.bulk.run import reduce_all
from sgputt.gained.per_putt import strokes_gained
from sgputt.gained.runs import by_slices, in_order, read_ahead
from sgputt.gained.sums import SumsByLength, round_sums
from sgputt.putts.table import PUTT_KEY, ROUND_KEY
from tests.benchmarks.conftest import Promise, PutsIn
from tests.benchmarks.dense import COLUMNS, curves_of, dense_sums
from tests.benchmarks.engines import by_tenths, duckdb_sums, polars_sums
from tests.benchmarks.plain_pandas import pandas_sums

MANY = 10_000_000
SIZES = (10_000, 100_000, 1_000_000, MANY)
BASELINE = get_baseline()
CURVES = curves_of(BASELINE)
TENTHS = by_tenths(CURVES)
BY_LENGTH = SumsByLength(BASELINE)


# Rows of the sums and the strokes gained of them all.
Sums = tuple[int, float]


def ours(paths: list[Path]) -> Sums:
    """Sums of each file, as `sgputt bulk` makes them; it too reads ahead, what a file holds."""
    rows, gained = 0, 0.0
    for putts in read_ahead(pl.read_parquet(path, columns=list(PUTTS)) for path in paths):
        for more in by_slices(in_order(putts, PUTT_KEY, ROUND_KEY), ROUND_KEY, sums_of):
            rows, gained = rows + more[0], gained + more[1]
    return rows, gained


def sums_of(putts: pl.DataFrame) -> Sums:
    sums = BY_LENGTH.of(putts)
    return size_of(sums) if sums is not None else size_of(general_sums(putts))


def general_sums(putts: pl.DataFrame) -> pl.DataFrame:
    return round_sums(strokes_gained(putts, BASELINE, in_order_already=True))


def size_of(sums: pl.DataFrame) -> Sums:
    return sums.height, float(sums["strokes_gained"].sum())


def dense(paths: list[Path]) -> Sums:
    sums = [dense_sums(path, CURVES) for path in paths]
    rows = sum(int((each["putts"] > 0).sum()) for each in sums)
    return rows, float(sum(each["strokes_gained"].sum() for each in sums))


def pandas_size(paths: list[Path]) -> Sums:
    sums = pandas_sums(paths, CURVES)
    return len(sums), float(sums["strokes_gained"].sum())


def files(folder: Path) -> list[Path]:
    return sorted(folder.glob("*.parquet"))


def read(paths: list[Path]) -> None:
    """The columns that the sums need, and nothing done with them."""
    for path in paths:
        pq.read_table(path, columns=COLUMNS)


# Peers in the order of the table. Each finds the same cells: a player's rounds lie in one file.
PEERS: dict[str, Callable[[list[Path]], Sums]] = {
    "dense NumPy": dense,
    "sgputt": ours,
    "Polars, streaming": lambda paths: size_of(polars_sums(paths, TENTHS)),
    "DuckDB": lambda paths: size_of(duckdb_sums(paths, TENTHS)),
    "plain pandas": pandas_size,
}


@pytest.mark.benchmark(group="10 million putts in Parquet to sums by round")
@pytest.mark.parametrize("way", ["bare read of the columns", *PEERS])
def bench_sums(benchmark: Any, putts_in: PutsIn, promise: Promise, way: str) -> None:
    paths = files(putts_in(MANY))
    if way not in PEERS:
        promise(way)
        benchmark.pedantic(read, (paths,), rounds=5, warmup_rounds=1)
        return
    if way == "sgputt":
        promise(way, per="bare read of the columns", at_most=3.0)
    elif way == "dense NumPy":
        promise(way, per="sgputt")
    else:
        promise(way, per="sgputt", at_least=3.0 if way == "plain pandas" else 1.0)
    slow = way == "plain pandas"
    found = benchmark.pedantic(
        PEERS[way], (paths,), rounds=2 if slow else 5, warmup_rounds=0 if slow else 1
    )
    assert found == pytest.approx(ours(paths))


@pytest.mark.benchmark(group="the same with lengths in whole inches or millimetres")
@pytest.mark.parametrize("unit", ["inches", "millimetres"])
@pytest.mark.parametrize("way", ["sgputt", "plain pandas"])
def bench_units(benchmark: Any, putts_in: PutsIn, promise: Promise, way: str, unit: str) -> None:
    paths = files(putts_in(MANY, unit))
    if way == "sgputt":
        promise(f"sgputt, {unit}")
    else:
        promise(f"plain pandas, {unit}", per=f"sgputt, {unit}", at_least=3.0)
    found = benchmark.pedantic(PEERS[way], (paths,), rounds=2, warmup_rounds=0)
    assert found == pytest.approx(ours(paths))


@pytest.mark.benchmark(group="the same with every row checked, and players summed up")
@pytest.mark.parametrize("way", ["dense NumPy", "sgputt bulk"])
def bench_bulk(benchmark: Any, putts_in: PutsIn, promise: Promise, way: str) -> None:
    folder, task = putts_in(MANY), Task(BASELINE)
    sources = find_sources([folder])
    if way == "dense NumPy":
        promise(way)
        benchmark.pedantic(dense, (files(folder),), rounds=3, warmup_rounds=1)
        return
    promise(way, per="dense NumPy", at_most=2.0)
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
