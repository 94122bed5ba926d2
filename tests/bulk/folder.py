"""Folders of invented putts, with every kind of hole in them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import polars as pl
from polars.testing import assert_frame_equal

from sgputt.bulk.putts_files import problems_of, sift, typed
from sgputt.bulk.report import Bulk
from sgputt.stroke.invented import InventedGolfer, invented_season
from sgputt.stroke.player import TOUR_STROKE, PuttingStroke

PLAYERS = ("Ada Brook", "Mara Lindqvist", "Tom Vale")
STROKES = dict(
    zip(
        PLAYERS,
        (TOUR_STROKE, PuttingStroke(pace=0.12), PuttingStroke(direction_deg=1.7)),
        strict=True,
    )
)
TABLES = ("players", "player_seasons", "squads", "squad_seasons", "distances", "problems")


def exactly_the_same(one: Bulk, other: Bulk) -> None:
    """Every figure to the last digit."""
    for name in TABLES:
        assert_frame_equal(getattr(one, name), getattr(other, name), check_exact=True)
    assert (one.read, one.kept, one.found) == (other.read, other.kept, other.found)


def putts(player: str, rounds: int = 6, year: int = 2026, seed: int = 1) -> pl.DataFrame:
    """Some rounds of a player, some leaves and lengths of which were not written."""
    golfer = InventedGolfer(player, STROKES[player])
    table = invented_season(golfer, rounds, seed, date(year, 4, 1), every_days=3)
    row = pl.int_range(pl.len())
    later = pl.col("putt") > 1
    return table.with_columns(
        pl.when(later & (row % 11 == 0)).then(None).otherwise("distance_ft").alias("distance_ft"),
        pl.when(row % 5 == 0).then(None).otherwise("leave_ft").alias("leave_ft"),
    )


def frames() -> dict[str, pl.DataFrame]:
    """Four files: two years, three players, two squads."""
    ada, mara, tom = PLAYERS
    files = {
        "2025/north.parquet": pl.concat([putts(ada, 5, 2025, 2), putts(mara, 4, 2025, 3)]),
        "2025/south.parquet": putts(tom, 7, 2025, 4),
        "2026.parquet": pl.concat([putts(tom, 3, 2026, 5), putts(ada, 6, 2026, 6)]),
        "late.parquet": putts(mara, 2, 2026, 7),
    }
    squad = pl.when(pl.col("player") == tom).then(pl.lit("South")).otherwise(pl.lit("North"))
    return {name: table.with_columns(squad.alias("squad")) for name, table in files.items()}


def write(folder: Path, files: Mapping[str, pl.DataFrame]) -> Path:
    for name, table in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        table.write_parquet(folder / name)
    return folder


@dataclass(frozen=True)
class Checked:
    """Rows that can be used, what is wrong with the others, and how much of it."""

    good: pl.DataFrame
    problems: pl.DataFrame
    found: int


def check(rows: pl.DataFrame, file: str, holes_alone: bool = False) -> Checked:
    good, wrong = sift(typed(rows), holes_alone)
    return Checked(good, *problems_of(wrong, rows, file))


def spoilt(table: pl.DataFrame, row: int, column: str, value: Any) -> pl.DataFrame:
    """The table with another value in a row, counted from 1."""
    here = pl.int_range(1, pl.len() + 1) == row
    return table.with_columns(pl.when(here).then(pl.lit(value)).otherwise(column).alias(column))
