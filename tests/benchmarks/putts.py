"""Folders of invented putts, as many as wanted."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import polars as pl

from sgputt.stroke.invented import InventedGolfer, invented_season

START = date(2020, 1, 1)
ROUNDS_OF_A_PLAYER = 40
PUTTS_OF_A_ROUND = 31.2
PUTTS_OF_A_FILE = 1_000_000
# Files that are played; further ones are these again, under other names of players.
PLAYED = 3


# Feet of the unit in whole numbers of which lengths are written.
UNITS = {"inches": 1 / 12, "millimetres": 1 / 304.8}


def write_putts(folder: Path, putts: int, unit: str | None = None) -> Path:
    """A folder of that many putts, a million a file; one that is there already is left alone.

    Lengths are tenths of a foot, or whole numbers of ``unit``.
    """
    if folder.exists() and _rows(folder) == putts:
        return folder
    folder.mkdir(parents=True, exist_ok=True)
    played: dict[int, pl.DataFrame] = {}
    for number, start in enumerate(range(0, putts, PUTTS_OF_A_FILE)):
        rows = min(PUTTS_OF_A_FILE, putts - start)
        which = number % PLAYED
        if which not in played:
            played[which] = _play(which, rows)
        table = played[which].head(rows)
        if unit:
            lengths = pl.col("distance_ft", "leave_ft")
            table = table.with_columns((lengths / UNITS[unit]).round() * UNITS[unit])
        named = pl.format("Player {}-{}", pl.lit(number), pl.col("player"))
        table.with_columns(named.alias("player")).write_parquet(folder / f"{number:04}.parquet")
    return folder


def _rows(folder: Path) -> int:
    return int(pl.scan_parquet(folder / "*.parquet").select(pl.len()).collect().item())


def _play(seed: int, putts: int) -> pl.DataFrame:
    """A season of many rounds, cut into players of forty rounds each."""
    rounds = int(putts / PUTTS_OF_A_ROUND * 1.02) + ROUNDS_OF_A_PLAYER
    table = invented_season(InventedGolfer(""), rounds, seed, START, every_days=1)
    day = (pl.col("date") - pl.lit(START)).dt.total_days()
    player, number = day // ROUNDS_OF_A_PLAYER, day % ROUNDS_OF_A_PLAYER
    return table.with_columns(
        player.cast(pl.String).str.zfill(6).alias("player"),
        (pl.lit(date(2026, 1, 1)) + pl.duration(days=number * 6)).cast(pl.Date).alias("date"),
    )
