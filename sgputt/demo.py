"""An invented season for the demo: nothing in it was measured on anyone."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import polars as pl

from sgputt.putts.table import ROUND_KEY
from sgputt.stroke.invented import InventedGolfer, invented_season
from sgputt.stroke.player import PuttingStroke

DEMO_PLAYER = "Mara Lindqvist"
_COURSES = ("Saltmarsh Links", "Otterholt Park", "Quarry Hill")
_EVENTS = ("Saltmarsh Spring Medal", None, None, "Otterholt Open", None)
_ROUNDS = 24
_SEED = 7
_START = date(2026, 3, 14)
_EVERY_DAYS = 7
# A fair amateur who plays too little break on putts that run from left to right.
_GOLFER = InventedGolfer(
    DEMO_PLAYER,
    PuttingStroke(direction_deg=1.2, read=0.3, pace=0.09, less_left_to_right=0.55),
)
CARD_COLUMNS = [
    "date",
    "player",
    "course",
    "event",
    "round",
    "hole",
    "putt",
    "distance_ft",
    "result",
    "slope",
    "break",
    "miss_pace",
    "miss_side",
    "stimp_ft",
]


def demo_season() -> pl.DataFrame:
    """The demo's putts, in the shape of the putts table."""
    putts = invented_season(_GOLFER, _ROUNDS, _SEED, _START, _EVERY_DAYS)
    number = (pl.col("date") - _START).dt.total_days() // _EVERY_DAYS
    return putts.with_columns(
        pl.lit(pl.Series(_COURSES)).gather(number % len(_COURSES)).alias("course"),
        pl.lit(pl.Series(_EVENTS)).gather(number % len(_EVENTS)).alias("event"),
    )


def demo_cards(folder: Path) -> list[Path]:
    """Write the demo season as scorecards, one CSV a round, a row a putt."""
    paths = []
    for _, one in demo_season().group_by(ROUND_KEY, maintain_order=True):
        path = folder / f"{one['date'][0]}.csv"
        card_of(one).write_csv(path)
        paths.append(path)
    return paths


def card_of(one: pl.DataFrame) -> pl.DataFrame:
    """A round's putts as the rows of a card, with a row of 0 putts for each hole without one."""
    holes = pl.DataFrame({"hole": range(1, 19)}, schema={"hole": pl.Int16})
    rows = holes.join(one, on="hole", how="left", maintain_order="left")
    facts = ["date", "player", "course", "event", "round"]
    return rows.with_columns(
        *(pl.lit(one[name][0], dtype=one[name].dtype).alias(name) for name in facts),
        pl.col("putt").fill_null(0),
    ).select(CARD_COLUMNS)
