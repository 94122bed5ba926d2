"""Rows of the archive to tables and back, and what makes two rounds the same."""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import polars as pl

from sgputt.putts.table import HOLES_SCHEMA, PUTTS_SCHEMA
from sgputt.safe_text import name_key

ROUND_COLUMNS = ("player", "course", "event", "date", "round")
PUTT_COLUMNS = tuple(name for name in PUTTS_SCHEMA if name not in (*ROUND_COLUMNS, "par"))
HOLE_COLUMNS = tuple(name for name in HOLES_SCHEMA if name not in ROUND_COLUMNS)
# The player is in the key already, where capitals do not matter.
_NOT_CONTENT = ("player", "source", "source_row")


@dataclass(frozen=True)
class Round:
    """One round to be stored: its putts and holes, all of one player, date and round number."""

    putts: pl.DataFrame
    holes: pl.DataFrame


@dataclass(frozen=True)
class Card:
    """A scorecard as it was imported."""

    name: str
    content: bytes
    imported_at: str | None = None


class Facts(NamedTuple):
    """What the archive says of a round beside its putts."""

    player: str
    course: str
    event: str | None
    date: dt.date
    round: int

    @property
    def key(self) -> tuple[str, dt.date, int]:
        """What makes it this round and no other."""
        return name_key(self.player), self.date, self.round


def typed(
    rows: Sequence[tuple[Any, ...]], names: Sequence[str], schema: dict[str, pl.DataType]
) -> pl.DataFrame:
    """Table of rows as SQLite gives them, the round's id behind.

    Raises
    ------
    polars.exceptions.PolarsError, TypeError, ValueError, OverflowError
        A value is not of its column's kind.
    """
    plain = {
        name: pl.String() if isinstance(schema[name], pl.Enum | pl.Date) else schema[name]
        for name in names
    }
    frame = pl.DataFrame(rows, schema={**plain, "round_id": pl.Int64()}, orient="row")
    return frame.with_columns(pl.col("date").str.to_date()).select(
        *(pl.col(name).cast(dtype) for name, dtype in schema.items()), "round_id"
    )


def fingerprint(one: Round) -> str:
    """Digest of a round's content, whatever file and layout it came from."""
    putts = one.putts.drop(_NOT_CONTENT).sort("hole", "putt").write_csv()
    holes = one.holes.drop("player").sort("hole").write_csv()
    return hashlib.sha256((holes + putts).encode()).hexdigest()
