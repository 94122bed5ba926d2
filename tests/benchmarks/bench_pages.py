"""What all pages of a squad cost: 12 players of 17 rounds each, written once and then again."""

from __future__ import annotations

import datetime as dt
import shutil
from functools import cache
from pathlib import Path
from tempfile import mkdtemp
from typing import Any

import polars as pl
import pytest

from sgputt.archive.store import Archive
from sgputt.baseline.catalogue import get_baseline
from sgputt.demo import card_of
from sgputt.intake import take_in
from sgputt.practice.drills import load_drills
from sgputt.putts.table import ROUND_KEY
from sgputt.scorecard import CardOptions
from sgputt.stroke.invented import InventedGolfer, invented_season
from sgputt_reports.site import SiteOptions, write_site
from tests.benchmarks.conftest import Promise

PLAYERS, ROUNDS = 12, 17
SECONDS, SECONDS_AGAIN = 30.0, 2.0


@cache
def archive() -> Path:
    home = Path(mkdtemp(prefix="sgputt-bench-"))
    path = home / "squad.sqlite"
    with Archive(path) as opened:
        for number in range(PLAYERS):
            golfer = InventedGolfer(f"Player {chr(ord('A') + number)}")
            played = invented_season(golfer, ROUNDS, number, dt.date(2026, 3, 1))
            card = home / f"{number}.csv"
            cards = [card_of(one) for _, one in played.group_by(ROUND_KEY, maintain_order=True)]
            pl.concat(cards).write_csv(card)
            taken = take_in(card, opened, CardOptions(as_written=True))
            assert len(taken.stored.stored) == ROUNDS
    return path


@pytest.mark.benchmark(group="all pages of 204 rounds of 12 players")
@pytest.mark.parametrize("way", ["pages", "pages, nothing changed"])
def bench_pages(benchmark: Any, promise: Promise, way: str) -> None:
    """All pages written by as many processes as there are cores, and the look whether to."""
    folder, first = archive().with_suffix(""), way == "pages"
    options = SiteOptions(archive(), get_baseline(), load_drills())
    promise(way, seconds_at_most=SECONDS if first else SECONDS_AGAIN)
    if first:
        shutil.rmtree(folder, ignore_errors=True)
    report = benchmark.pedantic(write_site, (folder, options), rounds=1 if first else 3)
    assert len(report.written) == (PLAYERS * (ROUNDS + 3) + 2 if first else 0)
