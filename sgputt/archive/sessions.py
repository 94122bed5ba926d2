"""Practice in the archive: sets of drills as they were entered."""

from __future__ import annotations

import json
from collections import Counter
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any

import polars as pl

from sgputt.archive.connection import WHOSE, values_fit
from sgputt.archive.store import Archive
from sgputt.errors import ArchiveError
from sgputt.safe_text import name_key

# What was practised; sgputt.practice.session makes it and reads it.
SESSIONS_SCHEMA: dict[str, pl.DataType] = {
    "player": pl.String(),
    "date": pl.Date(),
    "drill": pl.String(),
    "balls": pl.Int64(),
    "successes": pl.Int64(),
    "restarts": pl.Int64(),
    "minutes": pl.Float64(),
    "note": pl.String(),
    "pass_mark": pl.String(),
}
_STORED = ("session_id", "entry", *SESSIONS_SCHEMA, "entered_at")
# The same set is the same whatever mark it was held to; the player counts without capitals.
_CONTENT = ("date", "drill", "balls", "successes", "restarts", "minutes", "note")


@dataclass
class Added:
    """What was stored, and how many sets were there already."""

    stored: list[int] = field(default_factory=list)
    unchanged: int = 0


class SessionLog:
    """The practice log of an open archive.

    Parameters
    ----------
    archive : Archive
    """

    def __init__(self, archive: Archive) -> None:
        self._archive = archive

    def add(self, sessions: pl.DataFrame, once: bool = False) -> Added:
        """Store sets of drills as one entry, all or none.

        Parameters
        ----------
        sessions : polars.DataFrame
            Columns of :data:`SESSIONS_SCHEMA`; null is not written down.
        once : bool
            Leave out sets that are there already, so that the same file changes nothing. Sets
            alike in all but the pass mark are the same; of several alike, as many are kept as
            were given at once.

        Raises
        ------
        ArchiveError
            The archive cannot be written.
        """
        added = Added()
        with self._archive.writing():
            there = Counter[tuple[object, ...]]()
            if once:
                columns = ", ".join(_CONTENT)
                there.update(self._archive.query(f"SELECT player_key, {columns} FROM sessions"))
            [(last,)] = self._archive.query("SELECT coalesce(max(entry), 0) FROM sessions")
            entry = int(last) + 1
            now = datetime.now(UTC).isoformat(timespec="seconds")
            for row in sessions.select(*SESSIONS_SCHEMA).iter_rows(named=True):
                content = (name_key(row["player"]), *(_plain(row[name]) for name in _CONTENT))
                if there[content] > 0:
                    there[content] -= 1
                    added.unchanged += 1
                else:
                    added.stored.append(self._insert(row, entry, now))
        return added

    def _insert(self, row: dict[str, Any], entry: int, now: str) -> int:
        player = str(row["player"])
        columns = ["entry", "player_key", *SESSIONS_SCHEMA, "entered_at"]
        values = [_plain(row[name]) for name in SESSIONS_SCHEMA]
        # In the spelling under which the player is already known, whatever the capitals.
        known = self._archive.query(
            "SELECT player FROM rounds WHERE player_key = :player"
            " UNION ALL SELECT player FROM sessions WHERE player_key = :player LIMIT 1",
            {"player": name_key(player)},
        )
        values[0] = str(known[0][0]) if known else player
        marks = ", ".join("?" * len(columns))
        found = self._archive.query(
            f"INSERT INTO sessions ({', '.join(columns)}) VALUES ({marks}) RETURNING session_id",
            (entry, name_key(player), *values, now),
        )
        return int(found[0][0])

    def table(self, player: str | None = None, drill: str | None = None) -> pl.DataFrame:
        """Sets in the order practised.

        Returns
        -------
        polars.DataFrame
            ``session_id, entry``, the columns of :data:`SESSIONS_SCHEMA`, ``entered_at``.
        """
        return self._rows(
            f"{WHOSE} AND (:drill IS NULL OR drill = :drill)",
            {**_whose(player), "drill": drill},
        )

    def undo(self, player: str | None = None) -> pl.DataFrame:
        """Take back the last entry, of this player or of anyone; a file is one entry.

        Returns
        -------
        polars.DataFrame
            The sets taken out, as :meth:`table` gives them.

        Raises
        ------
        ArchiveError
            No practice is logged, or the archive cannot be written.
        """
        last = f"{WHOSE} AND entry = (SELECT max(entry) FROM sessions WHERE {WHOSE})"
        with self._archive.writing():
            gone = self._rows(last, _whose(player))
            if gone.is_empty():
                raise ArchiveError(
                    f"There is no practice to take back{f' of {player}' if player else ''}.",
                    "See what is logged with: sgputt drills history",
                )
            self._archive.query(f"DELETE FROM sessions WHERE {last}", _whose(player))
        return gone

    def players(self) -> list[str]:
        """Players with practice logged, in order of name."""
        rows = self._archive.query("SELECT DISTINCT player FROM sessions ORDER BY 1")
        return [str(row[0]) for row in rows]

    def _rows(self, which: str, arguments: dict[str, object]) -> pl.DataFrame:
        rows = self._archive.query(
            f"SELECT {', '.join(_STORED)} FROM sessions WHERE {which} ORDER BY date, session_id",
            arguments,
        )
        numbers = {"session_id": pl.Int64(), "entry": pl.Int64()}
        schema = {**numbers, **SESSIONS_SCHEMA, "entered_at": pl.String(), "date": pl.String()}
        named = {name: schema[name] for name in _STORED}
        with values_fit(self._archive.path):
            frame = pl.DataFrame(rows, schema=named, orient="row")
            for mark in frame["pass_mark"].drop_nulls():
                _check_mark(json.loads(mark))
            return frame.with_columns(pl.col("date").str.to_date())


def _whose(player: str | None) -> dict[str, object]:
    return {"player": player, "key": None if player is None else name_key(player)}


def _check_mark(mark: Any) -> None:
    """Raise where a kept pass mark is not one, as a changed letter makes it."""
    counts = ("balls", "successes" if mark["in_a_row"] is None else "in_a_row")
    if not isinstance(mark["text"], str) or not all(isinstance(mark[key], int) for key in counts):
        raise ValueError(mark)


def _plain(value: object) -> object:
    """A value as SQLite holds it: dates as text."""
    return str(value) if hasattr(value, "isoformat") else value
