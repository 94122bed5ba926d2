"""The archive: rounds and the scorecards they came from, in one SQLite file."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime
from pathlib import Path
from types import TracebackType
from typing import Any, Literal, Self, get_args

import polars as pl

from sgputt.archive.backup import copy_to
from sgputt.archive.connection import (
    WAIT_SECONDS,
    WHOSE,
    connect,
    damaged,
    explained,
    unwritten,
    values_fit,
)
from sgputt.archive.rounds import (
    HOLE_COLUMNS,
    NEEDS_A_PUTT,
    PUTT_COLUMNS,
    ROUND_COLUMNS,
    Card,
    Facts,
    Round,
    facts_of,
    fingerprint,
    has_fingerprint,
    typed,
)
from sgputt.errors import ArchiveError
from sgputt.putts.table import HOLES_SCHEMA, PUTTS_SCHEMA, conform_putts
from sgputt.putts.units import UNITS
from sgputt.safe_text import clean, name_key

_SELECTED = f"{WHOSE} AND (:id IS NULL OR round_id = :id)"


ShownIn = Literal["feet", "metres"]
Handed = Literal["right", "left"]
# What each setting may be, and whether it is of a player or of the whole archive.
_OF_THE_ARCHIVE = ("player", "shown_in")
_MAY_BE: dict[str, tuple[str, ...]] = {
    "unit": tuple(UNITS),
    "shown_in": get_args(ShownIn),
    "handed": get_args(Handed),
}
# What to type where nothing is stored yet.
NO_ROUNDS_HINT = (
    "Store a round with: sgputt import FILE\n  To look around with invented rounds first:"
    " sgputt demo, then sgputt season --archive demo.sqlite"
)


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


@dataclass(frozen=True)
class Settings:
    """What is kept of who plays and how they write and read.

    Attributes
    ----------
    player : str or None
        Whose rounds are meant where no player is named.
    unit : str or None
        In which that player writes lengths, one of :data:`sgputt.putts.units.UNITS`.
    shown_in : {'feet', 'metres'}
        In which lengths are shown.
    handed : {'right', 'left'} or None
        How that player plays.
    """

    player: str | None = None
    unit: str | None = None
    shown_in: ShownIn = "feet"
    handed: Handed | None = None


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

    Examples
    --------
    >>> import sgputt, tempfile
    >>> with (
    ...     tempfile.TemporaryDirectory() as folder,
    ...     sgputt.Archive(Path(folder) / "putting.sqlite") as archive,
    ... ):
    ...     archive.players(), archive.putts().height
    ([], 0)
    """

    def __init__(self, path: Path, make: bool = True) -> None:
        self.path = path
        if not make and not path.exists():
            raise ArchiveError(
                f"There are no rounds yet: {path} does not exist.",
                NO_ROUNDS_HINT,
            )
        with explained(self.path):
            self._db, self._only_to_read = connect(path, WAIT_SECONDS)

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
        self,
        rounds: Sequence[Round],
        name: str,
        content: bytes,
        replace: bool = False,
        before: Callable[[Stored], None] = lambda stored: None,
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
        before : callable, optional
            Told what will have been done, just before it is; when it raises, nothing is.
        """
        with self.writing():
            outcome = Stored()
            file_id: int | None = None
            for one in rounds:
                known = self._find(one)
                if known and has_fingerprint(one, known[1]):
                    outcome.unchanged.append(known[0])
                elif known and not replace:
                    whose, _, _, day, number = one.facts
                    outcome.conflicts.append(Conflict(known[0], whose, day, number))
                else:
                    if known:
                        self._db.execute("DELETE FROM rounds WHERE round_id = ?", (known[0],))
                    if file_id is None:
                        file_id = self._keep_file(name, content)
                    given = self._insert(known[0] if known else None, one, file_id)
                    (outcome.replaced if known else outcome.stored).append(given)
            self._drop_unused_files()
            before(outcome)
        return outcome

    def _find(self, one: Round) -> tuple[int, str] | None:
        """Id and fingerprint of the round of that player, day and number."""
        player, day, number = one.facts.key
        found = self._db.execute(
            "SELECT round_id, fingerprint FROM rounds"
            " WHERE player_key = ? AND date = ? AND round = ?",
            (player, day.isoformat(), number),
        ).fetchone()
        return None if found is None else (int(found[0]), str(found[1]))

    def _insert(self, round_id: int | None, one: Round, file_id: int) -> int:
        player, course, event, day, number = one.facts
        values = (self._spelling(player), name_key(player), str(day), number, course, event)
        cursor = self._db.execute(
            "INSERT INTO rounds (round_id, player, player_key, date, round, course, event,"
            " fingerprint, file_id, answers) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
            (round_id, *values, fingerprint(one), file_id, one.answers),
        )
        given = int(cursor.lastrowid or 0)
        self._insert_rows("holes", HOLE_COLUMNS, given, one.holes)
        self._insert_rows("putts", PUTT_COLUMNS, given, one.putts)
        return given

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
        at = [frame.columns.index(name) for name in columns]
        self._db.executemany(
            f"INSERT INTO {table} (round_id, {names}) VALUES ({marks})",
            ((round_id, *map(row.__getitem__, at)) for row in frame.iter_rows()),
        )

    def put_back(self, round_id: int | None, one: Round, card: Card) -> int:
        """Store a salvaged round under the id it had, or a new one; says which."""
        with self.writing():
            file_id = self._keep_file(card.name, card.content, card.imported_at)
            return self._insert(round_id, replace(one, answers=card.answers), file_id)

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
            f" WHERE {WHOSE} ORDER BY date, round, player_key",
            {"player": player, "key": _key(player)},
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
        # The second is what version 0.1 wrote of a name that is another's but for unseen signs.
        if any(key not in (_key(str(name)), str(name).strip().casefold()) for name, key in rows):
            raise damaged(self.path, "a player's name in it is not what sgputt writes")
        return [str(player) for player, _ in rows]

    def putts(self, player: str | None = None, round_id: int | None = None) -> pl.DataFrame:
        """The putts table of one player, one round or all, with ``round_id`` behind."""
        columns = [f't."{name}"' for name in PUTT_COLUMNS]
        tables = "putts t JOIN holes h USING (round_id, hole)"
        rows = self._round_rows(tables, [*columns, "h.par"], "hole, putt", player, round_id)
        self._refuse_gaps(player, round_id)
        with values_fit(self.path):
            return conform_putts(typed(rows, [*ROUND_COLUMNS, *PUTT_COLUMNS, "par"], PUTTS_SCHEMA))

    def holes(self, player: str | None = None, round_id: int | None = None) -> pl.DataFrame:
        """Every hole played, chip-ins too, selected as in :meth:`putts`."""
        rows = self._round_rows("holes", HOLE_COLUMNS, "hole", player, round_id)
        self._refuse_gaps(player, round_id)
        with values_fit(self.path):
            return typed(rows, [*ROUND_COLUMNS, *HOLE_COLUMNS], HOLES_SCHEMA)

    def _refuse_gaps(self, player: str | None, round_id: int | None) -> None:
        """Raise where a round has lost its holes, or a hole its putts."""
        gone = self.query(
            "SELECT round_id, hole FROM rounds LEFT JOIN holes USING (round_id)"
            " LEFT JOIN (SELECT round_id, hole, count(*) AS there, max(putt) AS last"
            " FROM putts GROUP BY round_id, hole) USING (round_id, hole)"
            f" WHERE {_SELECTED} AND (hole IS NULL OR there <> last"
            f" OR (there IS NULL AND ending IN {NEEDS_A_PUTT})) LIMIT 1",
            {"player": player, "key": _key(player), "id": round_id},
        )
        for number, hole in gone:
            what = "its holes are" if hole is None else f"putts of hole {hole} are"
            raise damaged(self.path, f"round {number} is not whole: {what} gone")

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
            f" WHERE {_SELECTED} ORDER BY date, round, player_key, {order}",
            {"player": player, "key": _key(player), "id": round_id},
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

    def answers(self, round_id: int) -> str | None:
        """What was said beside a round's card, as it was stored; None of older archives."""
        self._must_exist(round_id)
        ((said,),) = self.query("SELECT answers FROM rounds WHERE round_id = ?", (round_id,))
        return said if isinstance(said, str) else None

    def fingerprints(self) -> dict[int, str]:
        """The fingerprint of every round, as it was stored."""
        rows = self.query("SELECT round_id, fingerprint FROM rounds ORDER BY date, round, round_id")
        return {int(number): str(digest) for number, digest in rows}

    def facts(self, round_id: int) -> tuple[Facts | None, str]:
        """What is said of a round, None where it cannot be read, and its player's key."""
        columns = ", ".join(ROUND_COLUMNS)
        (row,) = self.query(
            f"SELECT {columns}, player_key FROM rounds WHERE round_id = ?", (round_id,)
        )
        return facts_of(row[:-1]), str(row[-1])

    def spoilt_cards(self) -> dict[int, str]:
        """Rounds whose scorecard is not as it was imported, or gone, and its name."""
        rows = self.query(
            "SELECT round_id, f.name, content, sha256 FROM rounds LEFT JOIN files f USING (file_id)"
        )
        return {
            int(number): str(name)
            for number, name, content, digest in rows
            if not isinstance(content, bytes) or hashlib.sha256(content).hexdigest() != digest
        }

    def set_right(self, round_id: int, one: Round) -> None:
        """Write a round again as it should be, under its id and from the same scorecard."""
        self._must_exist(round_id)
        with self.writing():
            file_id, answers = self._db.execute(
                "SELECT file_id, answers FROM rounds WHERE round_id = ?", (round_id,)
            ).fetchone()
            # Also what lost its round or its hole, which would not go with them.
            for table in ("putts", "holes", "rounds"):
                self._db.execute(f"DELETE FROM {table} WHERE round_id = ?", (round_id,))
            self._insert(round_id, replace(one, answers=answers), file_id)

    def backup(self, path: Path) -> None:
        """Copy the archive as it stands to a new file; safe while it is in use.

        Raises
        ------
        ArchiveError
            The file exists already or cannot be written, or the archive is damaged.
        """
        copy_to(self._db, self.path, path)

    def settings(self, player: str | None = None) -> Settings:
        """What is set for a player; without one, for the player set.

        Raises
        ------
        ArchiveError
            The archive is damaged.
        """
        rows = self.query("SELECT player_key, name, value FROM settings ORDER BY player_key")
        of_all = {name: value for key, name, value in rows if not key}
        set_player = of_all.get("player")
        if set_player is not None and not (isinstance(set_player, str) and clean(set_player)):
            raise damaged(self.path, "the player set in it is no name")
        whose = player if player is not None else set_player
        own = {name: value for key, name, value in rows if whose and key == name_key(whose)}
        found = {**of_all, **{name: own[name] for name in own if name not in _OF_THE_ARCHIVE}}
        for name, value in found.items():
            if name != "player" and value not in _MAY_BE.get(name, ()):
                raise damaged(self.path, f"the setting {name} is not one that there is")
        return Settings(**found)

    def change_settings(
        self,
        player: str | None = None,
        unit: str | None = None,
        shown_in: str | None = None,
        handed: str | None = None,
        whose: str | None = None,
    ) -> Settings:
        """Set what is given; an empty text takes a setting away, None leaves it as it is.

        Parameters
        ----------
        player, unit, shown_in, handed : str, optional
            As in :class:`Settings`.
        whose : str, optional
            Whose unit and hand that is; else the player set, else everybody's.

        Returns
        -------
        Settings
            As they are now.

        Raises
        ------
        ArchiveError
            A value may not be set, or the archive cannot be written.
        """
        given = {"player": player, "unit": unit, "shown_in": shown_in, "handed": handed}
        for name, value in given.items():
            allowed = _MAY_BE.get(name, ())
            if value and name in _MAY_BE and value not in allowed:
                raise ArchiveError(
                    f"{name} cannot be '{value}'.", f"It may be one of: {', '.join(allowed)}."
                )
        with self.writing():
            if player is not None:
                self._set("", "player", self._spelling(clean(player)))
            key = name_key(whose or self.settings().player or "")
            for name in ("unit", "shown_in", "handed"):
                value = given[name]
                if value is not None:
                    self._set("" if name in _OF_THE_ARCHIVE else key, name, value)
        return self.settings(whose)

    def _set(self, key: str, name: str, value: str) -> None:
        if value:
            self._db.execute("INSERT OR REPLACE INTO settings VALUES (?, ?, ?)", (key, name, value))
        else:
            self._db.execute("DELETE FROM settings WHERE player_key = ? AND name = ?", (key, name))

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
        if self._only_to_read is not None:
            raise unwritten(self.path, self._only_to_read)
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
