"""A round in rows and in tables, and what makes two rounds the same.

A round's fingerprint is a digest of the columns listed here, written in a form of our own: neither
a new column nor another version of a library changes those of stored rounds.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, NamedTuple

import polars as pl

from sgputt.putts.table import HOLES_SCHEMA, PUTTS_SCHEMA
from sgputt.safe_text import name_key

ROUND_COLUMNS = ("player", "course", "event", "date", "round")
PUTT_COLUMNS = tuple(name for name in PUTTS_SCHEMA if name not in (*ROUND_COLUMNS, "par"))
HOLE_COLUMNS = tuple(name for name in HOLES_SCHEMA if name not in ROUND_COLUMNS)
# How a hole can only have ended with a putt.
NEEDS_A_PUTT = ("holed", "conceded")

# What version 0.1 took a fingerprint of. The player is in the key already, where capitals do not
# matter; the file and its rows are not content.
_ROUND = ("course", "event", "date", "round")
_HOLE_1 = ("hole", "par", "ending")
_PUTT_1 = (
    *("hole", "par", "putt", "distance_ft", "leave_ft", "result", "slope", "break", "miss_pace"),
    *("miss_side", "cause", "surface", "stimp_ft", "grade"),
)
# To the second form a column may be added at the end: what is null is left out of it.
_HOLE_2 = _HOLE_1
_PUTT_2 = (
    *("hole", "putt", "distance_ft", "leave_ft", "result", "slope", "break", "miss_pace"),
    *("miss_side", "cause", "surface", "stimp_ft", "grade", "break_in"),
)
_SECOND = "2:"


@dataclass(frozen=True)
class Round:
    """One round to be stored: its putts and holes, all of one player, date and round number.

    ``answers`` is what was said beside its card, in the words of whoever reads cards; the archive
    only keeps it.
    """

    putts: pl.DataFrame
    holes: pl.DataFrame
    answers: str | None = None

    @property
    def facts(self) -> Facts:
        """What is said of it once."""
        return Facts(*self.holes.row(0)[: len(ROUND_COLUMNS)])


@dataclass(frozen=True)
class Card:
    """A scorecard as it was imported, and what was said beside it."""

    name: str
    content: bytes
    imported_at: str | None = None
    answers: str | None = None


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


# Rounds of a scorecard, read in every way that it may have been read when it was imported; without
# facts, only as it stands and only if nothing is wrong with it.
Reread = Callable[[Card, Facts | None], Iterable[Round]]


def facts_of(row: Sequence[Any]) -> Facts | None:
    """Facts from a row of :data:`ROUND_COLUMNS`; None where one of them cannot be."""
    player, course, event, day, number = row
    texts = isinstance(player, str) and isinstance(course, str) and isinstance(event, str | None)
    if not texts or not player or not isinstance(number, int) or not 1 <= number <= 99:
        return None
    try:
        return Facts(player, course, event, dt.date.fromisoformat(day), number)
    except (TypeError, ValueError):
        return None


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
    content = {
        "round": _written(one.holes, _ROUND, ("hole",))[0],
        "holes": _written(one.holes, _HOLE_2, ("hole",)),
        "putts": _written(one.putts, _PUTT_2, ("hole", "putt")),
    }
    text = json.dumps(content, sort_keys=True, separators=(",", ":"), allow_nan=False)
    return f"{_SECOND}{hashlib.sha256(text.encode()).hexdigest()}"


def has_fingerprint(one: Round, stored: str) -> bool:
    """Whether a round is the one that was stored with this fingerprint, of whatever version."""
    if stored.startswith(_SECOND):
        return fingerprint(one) == stored
    # As version 0.1 took it: of two tables as CSV, and nothing in the columns of later.
    holes, putts = one.holes.sort("hole"), one.putts.sort("hole", "putt")
    text = _csv(holes, (*_ROUND, *_HOLE_1)) + _csv(putts, (*_ROUND, *_PUTT_1))
    later = [name for name in _PUTT_2 if name not in _PUTT_1 and name in putts.columns]
    return hashlib.sha256(text.encode()).hexdigest() == stored and all(
        putts[name].null_count() == putts.height for name in later
    )


def _written(
    table: pl.DataFrame, columns: Sequence[str], order: Sequence[str]
) -> list[dict[str, Any]]:
    """Rows in their order without what is not known; plain loops, as a round is a short table."""
    at = {name: number for number, name in enumerate(table.columns)}
    by = [at[name] for name in order]
    rows = sorted(table.iter_rows(), key=lambda row: [(row[n] is not None, row[n]) for n in by])
    wanted = [(name, at[name]) for name in columns if name in at]
    # NaN, which is not equal to itself, is not known either.
    return [
        {name: _plain(v) for name, n in wanted if (v := row[n]) is not None and v == v}  # noqa: PLR0124
        for row in rows
    ]


def _plain(value: object) -> object:
    """Dates as text, and no zero below zero."""
    if isinstance(value, dt.date):
        return value.isoformat()
    return value + 0.0 if isinstance(value, float) else value


def _csv(table: pl.DataFrame, columns: Sequence[str]) -> str:
    rows = [",".join(map(_cell, row)) for row in table.select(columns).iter_rows()]
    return "".join(f"{row}\n" for row in (",".join(columns), *rows))


def _cell(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, float):
        # Python writes 1e-05 and 1e-06, that version wrote 0.00001 and 1e-6.
        text = repr(value)
        return f"{Decimal(text):f}" if text.endswith("e-05") else text.replace("e-0", "e-")
    text = str(value)
    if not text or any(sign in text for sign in ',"\r\n'):
        return '"' + text.replace('"', '""') + '"'
    return text
