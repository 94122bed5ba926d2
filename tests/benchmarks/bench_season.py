"""What a season costs: page, decision and stroke of 40 rounds, and archives of up to 2,000."""

from __future__ import annotations

import datetime as dt
import sys
from functools import cache
from pathlib import Path
from tempfile import mkdtemp
from typing import Any

import polars as pl
import pytest

from sgputt.archive.store import Archive
from sgputt.demo import card_of
from sgputt.intake import take_in
from sgputt.putts.table import ROUND_KEY
from sgputt.scorecard import CardOptions
from sgputt.stroke.fitting import fit_putting_stroke
from sgputt.stroke.invented import InventedGolfer, invented_season
from tests.benchmarks.bench_start import script, start
from tests.benchmarks.conftest import Promise

ROUNDS = 40
LONG = (40, 100, 250, 500, 1000, 2000)
LONGEST_SECONDS = 5.0
COMMANDS = {
    "season": (),
    "season --out": ("--out", "season.html"),
    "stroke": (),
    "practice": (),
    "export --what season (.xlsx)": ("--what", "season", "--out", "season.xlsx"),
}


@cache
def putts(rounds: int) -> pl.DataFrame:
    golfer = InventedGolfer("Ada Brook")
    return invented_season(golfer, rounds, 1, dt.date(2005, 1, 3), every_days=3)


@cache
def card(rounds: int) -> Path:
    """One scorecard of many rounds, a row a putt, with a row for every hole chipped in."""
    path = Path(mkdtemp(prefix="sgputt-bench-")) / f"{rounds}.csv"
    played = putts(rounds).group_by(ROUND_KEY, maintain_order=True)
    pl.concat([card_of(one) for _, one in played]).write_csv(path)
    return path


@cache
def archive(rounds: int) -> Path:
    path = card(rounds).with_suffix(".sqlite")
    with Archive(path) as opened:
        taken = take_in(card(rounds), opened, CardOptions(as_written=True))
        assert len(taken.stored.stored) == rounds
    return path


@pytest.mark.benchmark(group="a season of 40 rounds")
@pytest.mark.parametrize("way", ["import polars", "season --out", "practice"])
def bench_forty(benchmark: Any, promise: Promise, tmp_path: Path, way: str) -> None:
    """Wall time of the whole command, in a process of its own."""
    if way == "import polars":
        promise(way)
        benchmark.pedantic(start, (sys.executable, "-c", way), rounds=5, warmup_rounds=1)
        return
    promise(f"sgputt {way}", seconds_at_most=2.5 if way == "season --out" else 2.0)
    benchmark.pedantic(start, words(way, ROUNDS, tmp_path), rounds=5, warmup_rounds=1)


def words(way: str, rounds: int, folder: Path) -> tuple[object, ...]:
    """A command to start, its files in a folder of their own."""
    options = [folder / each if each.startswith("season.") else each for each in COMMANDS[way]]
    return (script(), way.split(maxsplit=1)[0], "--archive", archive(rounds), *options)


@pytest.mark.benchmark(group="fit of a season's stroke")
def bench_fit(benchmark: Any, promise: Promise) -> None:
    promise("fit_putting_stroke, 40 rounds", seconds_at_most=2.0)
    benchmark.pedantic(fit_putting_stroke, (putts(ROUNDS),), rounds=5, warmup_rounds=1)


@pytest.mark.benchmark(group="long archives")
@pytest.mark.parametrize("rounds", LONG)
@pytest.mark.parametrize("way", COMMANDS)
def bench_long(benchmark: Any, promise: Promise, tmp_path: Path, rounds: int, way: str) -> None:
    """Wall time of a command on so many rounds of one player, in a process of its own."""
    promise(way, rounds=rounds, longest_seconds=LONGEST_SECONDS)
    benchmark.pedantic(start, words(way, rounds, tmp_path), rounds=2, warmup_rounds=1)


@pytest.mark.benchmark(group="import of 500 rounds in one file")
def bench_import(benchmark: Any, promise: Promise, tmp_path: Path) -> None:
    """A fresh archive each time."""
    promise("sgputt import", seconds_at_most=1.5)
    path = tmp_path / "archive.sqlite"
    benchmark.pedantic(
        start,
        (script(), "import", card(500), "--as-written", "--archive", path),
        setup=lambda: path.unlink(missing_ok=True),
        rounds=3,
        warmup_rounds=1,
    )
