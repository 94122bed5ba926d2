"""The page of a season of 40 rounds, and the fit of its stroke."""

from __future__ import annotations

import datetime as dt
import sys
from pathlib import Path
from typing import Any

import polars as pl
import pytest

from sgputt.archive.store import Archive
from sgputt.intake import take_in
from sgputt.putts.table import conform_putts
from sgputt.scorecard import CardOptions
from sgputt.stroke.fitting import fit_putting_stroke
from sgputt.stroke.invented import InventedGolfer, invented_season
from tests.benchmarks.bench_start import script, start
from tests.benchmarks.conftest import Promise

ROUNDS = 40
COLUMNS = ["date", "player", "course", "hole", "putt", "distance_ft", "result", "slope", "break"]


@pytest.fixture(scope="module")
def putts() -> pl.DataFrame:
    return invented_season(InventedGolfer("Ada Brook"), ROUNDS, 1, dt.date(2026, 1, 3))


@pytest.mark.benchmark(group="season page of 40 rounds")
@pytest.mark.parametrize("way", ["import polars", "sgputt season --out"])
def bench_page(
    benchmark: Any, promise: Promise, putts: pl.DataFrame, tmp_path: Path, way: str
) -> None:
    """Wall time of the whole command, in a process of its own."""
    if way == "import polars":
        promise(way)
        benchmark.pedantic(start, (sys.executable, "-c", way), rounds=5, warmup_rounds=1)
        return
    promise(way, seconds_at_most=2.0)
    card, archive = tmp_path / "season.csv", tmp_path / "archive.sqlite"
    putts.select(COLUMNS).write_csv(card)
    with Archive(archive) as opened:
        # Holes chipped in have no putt, so a few holes are missing.
        taken = take_in(card, opened, CardOptions(), keep_good_holes=True)
        assert len(taken.stored.stored) == ROUNDS
    words = (script(), "season", "--archive", archive, "--out", tmp_path / "season.html")
    benchmark.pedantic(start, words, rounds=5, warmup_rounds=1)


@pytest.mark.benchmark(group="fit of a season's stroke")
def bench_fit(benchmark: Any, promise: Promise, putts: pl.DataFrame) -> None:
    promise("fit_putting_stroke, 40 rounds", seconds_at_most=1.5)
    table = conform_putts(putts)
    benchmark.pedantic(fit_putting_stroke, (table,), rounds=10, warmup_rounds=1)
