"""The archive: rounds and the scorecards they came from, in one SQLite file."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from pathlib import Path
from types import TracebackType
from typing import Any, Self

import polars as pl

from sgputt.archive.copies import copy_to
from sgputt.archive.frames import (
    HOLE_COLUMNS,
    PUTT_COLUMNS,
    ROUND_COLUMNS,
    Card,
    Round,
    fingerprint,
    typed,
)
from sgputt.archive.opening import connect
from sgputt.archive.trouble import damaged, explained, values_fit
from sgputt.errors import ArchiveError
from sgputt.putts.table import HOLES_SCHEMA, PUTTS_SCHEMA, conform_putts
from sgputt.safe_text import name_key

_WAIT_SECONDS = 30.0


@dataclass(frozen=True)
class Conflict:
    """A round that the archive already holds with other content."""

    round_id: int
    player: str
    date: date
    round: int


@dataclass
class Stored:
    """What an import did: ids of rounds by outcome, and the rounds it refused."""

    stored: list[int] = field(default_factory=list)
    unchanged: list[int] = field(default_factory=list)
    replaced: list[int] = field(default_factory=list)
    conflicts: list[Conflict] = field(default_factory=list)


class Archive:
    """An open archive; use as a context manager.

    Parameters
    ----------
    path : Path
        The SQLite file.
    make : bool
        Make it, with its folder, if absent.

    Raises
    ------
    ArchiveError
        It cannot be opened: absent, not an archive, damaged, locked, no permission, disk full.
    """

    def __init__(self, path: Path, make: bool = True) -> None:
        self.path = path
        if not make and not path.exists():
            raise ArchiveError(
                f"There are no rounds yet: {path} does not exist.",
                "Store a round with: sgputt import FILE   (or see: sgputt demo)",
            )
        with explained(self.path):
            self._db = connect(path, _WAIT_SECONDS)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._db.close()

    def store(
        self, rounds: Sequence[Round], name: str, content: bytes, replace: bool = False
    ) -> Stored:
        """Store the rounds of one scorecard, all or none, with the scorecard itself.

        A round already there with the same content is left alone, so importing twice changes
        nothing; one with other content is refused unless ``replace``.

        Parameters
        ----------
        rounds : sequence of Round
        name, content : str, bytes
            The scorecard's file name and its bytes as they were.
        replace : bool
            Overwrite rounds whose content differs; they keep their ids.
        """
        with self.writing():
            outcome = Stored()
            for one in rounds:
                self._store_round(one, name, content, replace, outcome)
            self._drop_unused_files()
        return outcome

    def _store_round(
        self, one: Round, name: str, content: bytes, replace: bool, outcome: Stored
    ) -> None:
        key = one.holes.row(0, named=True)
        digest = fingerprint(one)
        known = self._db.execute(
            "SELECT round_id, fingerprint FROM rounds"
            " WHERE player_key = ? AND date = ? AND round = ?",
            (name_key(key["player"]), key["date"].isoformat(), key["round"]),
        ).fetchone()
        if known and known[1] == digest:
            outcome.unchanged.append(known[0])
            return
        if known and not replace:
            outcome.conflicts.append(Conflict(known[0], key["player"], key["date"], key["round"]))
            return
        if known:
            self._db.execute("DELETE FROM rounds WHERE round_id = ?", (known[0],))
        file_id = self._keep_file(name, content)
        round_id = self._insert_round(known[0] if known else None, key, digest, file_id)
        self._insert_rows("holes", HOLE_COLUMNS, round_id, one.holes)
        self._insert_rows("putts", PUTT_COLUMNS, round_id, one.putts)
        (outcome.replaced if known else outcome.stored).append(round_id)

    def _insert_round(
        self, round_id: int | None, key: dict[str, object], digest: str, file_id: int
    ) -> int:
        player = str(key["player"])
        cursor = self._db.execute(
            "INSERT INTO rounds (round_id, player, player_key, date, round, course, event,"
            " fingerprint, file_id) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
            (
                round_id,
                self._spelling(player),
                name_key(player),
                str(key["date"]),
                key["round"],
                key["course"],
                key["event"],
                digest,
                file_id,
            ),
        )
        return int(cursor.lastrowid or 0)

    def _spelling(self, player: str) -> str:
        """The spelling under which this player is already known, whatever the capitals."""
        known = self._db.execute(
            "SELECT player FROM rounds WHERE player_key = ? LIMIT 1", (name_key(player),)
        ).fetchone()
        return str(known[0]) if known else player

    def _insert_rows(
        self, table: str, columns: tuple[str, ...], round_id: int, frame: pl.DataFrame
    ) -> None:
        names = ", ".join(f'"{name}"' for name in columns)
        marks = ", ".join("?" * (len(columns) + 1))
        self._db.executemany(
            f"INSERT INTO {table} (round_id, {names}) VALUES ({marks})",
            ((round_id, *row) for row in frame.select(columns).iter_rows()),
        )

    def put_back(self, round_id: int | None, one: Round, card: Card) -> int:
        """Store a salvaged round under the id it had, or a new one; says which."""
        with self.writing():
            file_id = self._keep_file(card.name, card.content, card.imported_at)
            key = one.holes.row(0, named=True)
            given = self._insert_round(round_id, key, fingerprint(one), file_id)
            self._insert_rows("holes", HOLE_COLUMNS, given, one.holes)
            self._insert_rows("putts", PUTT_COLUMNS, given, one.putts)
        return given

    def _keep_file(self, name: str, content: bytes, imported_at: str | None = None) -> int:
        digest = hashlib.sha256(content).hexdigest()
        now = imported_at or datetime.now(UTC).isoformat(timespec="seconds")
        self._db.execute(
            "INSERT INTO files (sha256, name, content, imported_at) VALUES (?, ?, ?, ?)"
            " ON CONFLICT (sha256) DO NOTHING",
            (digest, name, content, now),
        )
        row = self._db.execute("SELECT file_id FROM files WHERE sha256 = ?", (digest,)).fetchone()
        return int(row[0])

    def _drop_unused_files(self) -> None:
        self._db.execute("DELETE FROM files WHERE file_id NOT IN (SELECT file_id FROM rounds)")

    def remove(self, *round_ids: int) -> None:
        """Take rounds out, all or none; a scorecard goes with the last round that came from it.

        Raises
        ------
        ArchiveError
            No round has one of these ids.
        """
        for round_id in round_ids:
            self._must_exist(round_id)
        with self.writing():
            for round_id in round_ids:
                self._db.execute("DELETE FROM rounds WHERE round_id = ?", (round_id,))
            self._drop_unused_files()

    def rounds(self, player: str | None = None) -> pl.DataFrame:
        """Rounds in the order played.

        Returns
        -------
        polars.DataFrame
            ``round_id, player, date, round, course, event, holes, putts, source, imported_at``;
            ``putts`` counts strokes with the putter, off the green too.
        """
        rows = self.query(
            "SELECT round_id, player, date, round, course, event,"
            " (SELECT count(*) FROM holes h WHERE h.round_id = r.round_id),"
            " (SELECT count(*) FROM putts p WHERE p.round_id = r.round_id),"
            " f.name, f.imported_at FROM rounds r JOIN files f USING (file_id)"
            " WHERE :player IS NULL OR player_key = :player ORDER BY date, round, player_key",
            {"player": _key(player)},
        )
        schema = {
            "round_id": pl.Int64,
            "player": pl.String,
            "date": pl.String,
            "round": pl.Int16,
            "course": pl.String,
            "event": pl.String,
            "holes": pl.Int64,
            "putts": pl.Int64,
            "source": pl.String,
            "imported_at": pl.String,
        }
        with values_fit(self.path):
            frame = pl.DataFrame(rows, schema=schema, orient="row")
            return frame.with_columns(pl.col("date").str.to_date())

    def players(self) -> list[str]:
        """Players with a round here, in order of name."""
        rows = self.query("SELECT DISTINCT player, player_key FROM rounds ORDER BY 1")
        if any(_key(str(player)) != key for player, key in rows):
            raise damaged(self.path, "a player's name in it is not what sgputt writes")
        return [str(player) for player, _ in rows]

    def putts(self, player: str | None = None, round_id: int | None = None) -> pl.DataFrame:
        """The putts table of one player, one round or all, with ``round_id`` behind."""
        columns = [f't."{name}"' for name in PUTT_COLUMNS]
        tables = "putts t JOIN holes h USING (round_id, hole)"
        rows = self._round_rows(tables, [*columns, "h.par"], "hole, putt", player, round_id)
        with values_fit(self.path):
            return conform_putts(typed(rows, [*ROUND_COLUMNS, *PUTT_COLUMNS, "par"], PUTTS_SCHEMA))

    def holes(self, player: str | None = None, round_id: int | None = None) -> pl.DataFrame:
        """Every hole played, chip-ins too, selected as in :meth:`putts`."""
        rows = self._round_rows("holes", HOLE_COLUMNS, "hole", player, round_id)
        with values_fit(self.path):
            return typed(rows, [*ROUND_COLUMNS, *HOLE_COLUMNS], HOLES_SCHEMA)

    def _round_rows(
        self,
        tables: str,
        columns: Sequence[str],
        order: str,
        player: str | None,
        round_id: int | None,
    ) -> list[tuple[Any, ...]]:
        """Rows with their round's columns in front; an unknown round is an error."""
        if round_id is not None:
            self._must_exist(round_id)
        return self.query(
            f"SELECT {', '.join((*ROUND_COLUMNS, *columns))}, round_id"
            f" FROM {tables} JOIN rounds USING (round_id)"
            " WHERE (:player IS NULL OR player_key = :player) AND (:id IS NULL OR round_id = :id)"
            f" ORDER BY date, round, player_key, {order}",
            {"player": _key(player), "id": round_id},
        )

    def scorecard(self, round_id: int) -> tuple[str, bytes]:
        """Name and bytes of the file a round was imported from; raises as :meth:`remove`."""
        self._must_exist(round_id)
        rows = self.query(
            "SELECT f.name, f.content, f.sha256 FROM files f JOIN rounds USING (file_id)"
            " WHERE round_id = ?",
            (round_id,),
        )
        if not rows or not isinstance(rows[0][1], bytes):
            raise damaged(self.path, f"the scorecard of round {round_id} is gone")
        name, content, digest = rows[0]
        if hashlib.sha256(content).hexdigest() != digest:
            raise damaged(self.path, f"the scorecard of round {round_id} is not as it was imported")
        return str(name), content

    def backup(self, path: Path) -> None:
        """Copy the archive as it stands to a new file; safe while it is in use.

        Raises
        ------
        ArchiveError
            The file exists already or cannot be written, or the archive is damaged.
        """
        copy_to(self._db, self.path, path)

    def _must_exist(self, round_id: int) -> None:
        if not self.query("SELECT 1 FROM rounds WHERE round_id = ?", (round_id,)):
            raise ArchiveError(
                f"There is no round {round_id} in {self.path}.", "See them with: sgputt rounds"
            )

    def query(
        self, statement: str, arguments: tuple[object, ...] | dict[str, object] = ()
    ) -> list[tuple[Any, ...]]:
        """Rows of one statement, for the archive's own modules; explains what SQLite says."""
        with explained(self.path):
            return self._db.execute(statement, arguments).fetchall()

    @contextmanager
    def writing(self) -> Iterator[None]:
        """One transaction, whole or not at all, for the archive's own modules."""
        with explained(self.path):
            self._db.execute("BEGIN IMMEDIATE")
            try:
                yield
                self._db.execute("COMMIT")
            except BaseException:
                if self._db.in_transaction:
                    self._db.execute("ROLLBACK")
                raise


def _key(player: str | None) -> str | None:
    return None if player is None else name_key(player)
