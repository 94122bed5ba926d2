"""Rounds checked and set right by their cards; a new archive from what is left of a damaged one."""

from __future__ import annotations

import datetime as dt
import hashlib
import os
import shutil
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import polars as pl

from sgputt.archive.backup import is_sound, set_aside
from sgputt.archive.connection import RESTORE, VERSION, columns_at, explained, refuse_others_file
from sgputt.archive.rounds import (
    HOLE_COLUMNS,
    NEEDS_A_PUTT,
    PUTT_COLUMNS,
    ROUND_COLUMNS,
    Card,
    Facts,
    Reread,
    Round,
    facts_of,
    has_fingerprint,
    typed,
)
from sgputt.archive.store import Archive
from sgputt.errors import ArchiveError, TableError
from sgputt.files import half_written, scratch_file, write_beside
from sgputt.putts.table import HOLES_SCHEMA, PUTTS_SCHEMA
from sgputt.safe_text import name_key, shown

_MOST_SAID = 20


@dataclass(frozen=True)
class Differing:
    """A round that is not as it was stored.

    Attributes
    ----------
    round_id : int
    what : tuple of str
        What differs, a value each; of many the first.
    corrected : bool
        Whether it was set right.
    """

    round_id: int
    what: tuple[str, ...]
    corrected: bool


@dataclass
class Verified:
    """What was found.

    Attributes
    ----------
    whole : int
        Rounds that are as they were stored.
    differing : list of Differing
    cards : list of str
        Scorecards that are not as they were imported.
    """

    whole: int = 0
    differing: list[Differing] = field(default_factory=list)
    cards: list[str] = field(default_factory=list)

    @property
    def all_is_well(self) -> bool:
        """Whether nothing is left that differs."""
        return not self.cards and all(each.corrected for each in self.differing)


def verify(archive: Archive, reread: Reread, correct: bool = True) -> Verified:
    """Hold every round to its fingerprint and every scorecard to its digest.

    Parameters
    ----------
    archive : Archive
    reread : callable
        Reads a scorecard in every way that it may have been read when it was imported.
    correct : bool
        Write what a scorecard says in place of what differs, where its reading has the round's own
        fingerprint.

    Raises
    ------
    ArchiveError
        The archive cannot be read, or cannot be written to where something is to be corrected.
    """
    found = Verified()
    spoilt = archive.spoilt_cards()
    found.cards = [f"{name}, of round {round_id}" for round_id, name in spoilt.items()]
    for round_id, digest in archive.fingerprints().items():
        (facts, key), stored = archive.facts(round_id), _stored(archive, round_id)
        if (
            facts is not None
            and stored is not None
            and has_fingerprint(stored, digest)
            and name_key(facts.player) == key
        ):
            found.whole += 1
            continue
        card = None
        if round_id not in spoilt:
            name, content = archive.scorecard(round_id)
            card = Card(name, content, answers=archive.answers(round_id))
        found.differing.append(_look(archive, round_id, digest, stored, card, reread, correct))
    return found


def _stored(archive: Archive, round_id: int) -> Round | None:
    try:
        putts, holes = archive.putts(round_id=round_id), archive.holes(round_id=round_id)
    except ArchiveError:
        return None
    return Round(putts.drop("round_id"), holes.drop("round_id"))


def _look(
    archive: Archive,
    round_id: int,
    digest: str,
    stored: Round | None,
    card: Card | None,
    reread: Reread,
    correct: bool,
) -> Differing:
    facts, key = archive.facts(round_id)
    readings: list[Round] = []
    if card is not None:
        # The name may be what changed; the key is kept by itself.
        named = facts and (facts if name_key(facts.player) == key else facts._replace(player=key))
        readings = [one for one in reread(card, named) if one.facts.key[0] == key]
    for one in readings:
        # The fingerprint itself may be what changed.
        only_that = stored is not None and facts == one.facts and not any(_differences(stored, one))
        if has_fingerprint(one, digest) or only_that:
            what = [*_facts_differ(facts, one.facts), *_tables_differ(stored, one)]
            if correct:
                archive.set_right(round_id, one)
            return Differing(round_id, tuple(what[:_MOST_SAID]) or ("its fingerprint",), correct)
    what = ["something in it, and its scorecard does not tell what"]
    if stored is None:
        what = ["values in it cannot be read, and its scorecard does not tell them"]
    return Differing(round_id, tuple(what), corrected=False)


def _facts_differ(stored: Facts | None, right: Facts) -> Iterator[str]:
    if stored is None:
        yield "date, player or round cannot be read"
        return
    for name, was, now in zip(Facts._fields, right, stored, strict=True):
        if name != "player" and was != now:
            yield f"{name} is {now}, was {was}"
    if stored.player != right.player:
        yield f"player is {stored.player}, was {right.player}"


def _tables_differ(stored: Round | None, right: Round) -> list[str]:
    if stored is None:
        return ["holes or putts cannot be read"]
    return list(_differences(stored, right))


def _differences(stored: Round, right: Round) -> Iterator[str]:
    """Each value that differs, by hole and putt."""
    for now, was, keys, columns in (
        (stored.holes, right.holes, ["hole"], HOLE_COLUMNS),
        (stored.putts, right.putts, ["hole", "putt"], PUTT_COLUMNS),
    ):
        there, before = _by_key(now, keys, columns), _by_key(was, keys, columns)
        for key in sorted(before.keys() | there.keys()):
            where = ", ".join(f"{name} {part}" for name, part in zip(keys, key, strict=True))
            if key not in there or key not in before:
                yield f"{where} is {'there' if key in there else 'gone'}"
                continue
            for name in columns:
                if there[key][name] != before[key][name] and name not in ("source", "source_row"):
                    yield f"{where}: {name} is {there[key][name]}, was {before[key][name]}"


def _by_key(
    table: pl.DataFrame, keys: list[str], columns: tuple[str, ...]
) -> dict[tuple[int, ...], dict[str, object]]:
    names = [name for name in columns if name in table.columns]
    empty: dict[str, object] = dict.fromkeys(columns)
    return {
        tuple(row[name] for name in keys): {**empty, **row}
        for row in table.select(names).iter_rows(named=True)
    }


Cells = tuple[Any, ...]
# What SQLite raises on a page or a value that is not what it should be.
BROKEN = (sqlite3.Error, UnicodeError, ValueError, OverflowError, MemoryError)
_MOST_IDS = 100_000
_PAGE_SIZES = [2**power for power in range(9, 16)]
_MOST_BYTES = 2**32
_KEYS = {
    "rounds": ("round_id",),
    "files": ("file_id",),
    "sessions": ("session_id",),
    "holes": ("hole",),
    "putts": ("hole", "putt"),
    "settings": ("player_key", "name"),
}
_MISFIT = (pl.exceptions.PolarsError, TableError, TypeError, *BROKEN)
_LOST_CARD = Card("scorecard lost", b"")


@dataclass
class Salvaged:
    """What became of a damaged archive.

    Attributes
    ----------
    whole, from_cards, doubtful, lost : list of str
        Rounds as they were; read again from their scorecards; kept without certainty that nothing
        in them changed; not to be read.
    sessions : int
        Sets of drills kept.
    more_lost : list of str
        What else may be missing.
    cards : list of Path
        Scorecards to be imported again by hand.
    aside : Path or None
        Where the damaged archive is kept; None: it is not damaged and was left as it is.
    """

    whole: list[str] = field(default_factory=list)
    from_cards: list[str] = field(default_factory=list)
    doubtful: list[str] = field(default_factory=list)
    lost: list[str] = field(default_factory=list)
    sessions: int = 0
    more_lost: list[str] = field(default_factory=list)
    cards: list[Path] = field(default_factory=list)
    aside: Path | None = None


def salvage(archive: Path, reread: Reread, today: dt.date) -> Salvaged:
    """Store what can be read of a damaged archive in a new one; the damaged one is kept aside.

    Parameters
    ----------
    archive : Path
        The damaged archive, in whose place the new one is put.
    reread : callable
        Reads scorecards, which are kept in the archive too.
    today : datetime.date
        For the name of the archive kept aside.

    Raises
    ------
    ArchiveError
        There is none, it is in use, or nothing can be read; nothing was changed.
    """
    with explained(archive):
        archive = refuse_others_file(archive)
    if not archive.is_file():
        raise ArchiveError(f"There is no archive {archive}.", "Name it with --archive.")
    sound = is_sound(archive)
    with (
        suppress(_NotNeededError),
        _opened_remains(archive) as remains,
        half_written(archive, private=True) as half,
    ):
        with Archive(half) as new:
            done = _Salvage(remains, new, reread, archive).run()
            new.query("PRAGMA journal_mode = DELETE")
        if not (done.whole or done.from_cards or done.doubtful or done.sessions):
            raise ArchiveError(
                f"Nothing could be read of {archive}; it was left as it is.",
                RESTORE.partition("   ")[0],
            )
        if sound and not (done.from_cards or done.doubtful or done.lost or done.more_lost):
            raise _NotNeededError
        done.aside = set_aside(archive, "damaged", today)
    return done


class _Remains:
    """A damaged archive; whatever cannot be read is left out.

    Parameters
    ----------
    db : sqlite3.Connection
        Open on a copy of it.

    Attributes
    ----------
    broken : set of str
        Tables of which some row could not be read.
    """

    def __init__(self, db: sqlite3.Connection) -> None:
        self._db = db
        self.broken: set[str] = set()

    def rows(
        self, table: str, columns: Sequence[str], which: str = "1", arguments: Cells = ()
    ) -> list[Cells]:
        """Rows from both ends of a table, up to what cannot be read; each once, in no order."""
        names = self._names(table, columns)
        found: dict[Cells, None] = {}
        for order in ("", "DESC"):
            by = ", ".join(f"{key} {order}" for key in _KEYS[table])
            statement = f"SELECT {names} FROM {table} WHERE {which} ORDER BY {by}"
            found |= dict.fromkeys(self._until_broken(statement, arguments, table))
        return list(found)

    def _names(self, table: str, columns: Sequence[str]) -> str:
        """Columns to read; an older archive lacks some, which are null."""
        there = {row[1] for row in self._until_broken(f"PRAGMA table_info({table})")}
        return ", ".join(f"`{name}`" if name in there or not there else "NULL" for name in columns)

    def unknown_tables(self) -> list[str]:
        """Tables of a newer version, which this one cannot keep."""
        rows = self._until_broken("SELECT name FROM sqlite_master WHERE type = 'table'")
        names = {str(row[0]) for row in rows}
        return sorted(
            name for name in names - set(columns_at(VERSION)) if not name.startswith("sqlite_")
        )

    def _until_broken(
        self, statement: str, arguments: Cells = (), table: str = ""
    ) -> Iterator[Cells]:
        try:
            cursor = self._db.execute(statement, arguments)
            while (row := cursor.fetchone()) is not None:
                yield row
        except BROKEN:
            self.broken.add(table)

    def by_id(self, table: str, columns: Sequence[str]) -> dict[int, Cells]:
        """Rows of a table with a numbered key, those between two broken pages too."""
        (key,) = _KEYS[table]
        rows = {row[0]: row for row in self.rows(table, [key, *columns]) if isinstance(row[0], int)}
        names = self._names(table, [key, *columns])
        last = max([0, *rows, *self.numbered(table)])
        for number in range(1, min(last, _MOST_IDS) + 1):
            if number not in rows:
                statement = f"SELECT {names} FROM {table} WHERE {key} = ?"
                rows |= {row[0]: row for row in self._until_broken(statement, (number,))}
        return {number: row[1:] for number, row in sorted(rows.items())}

    def numbered(self, table: str) -> set[int]:
        """Numbers of this table that other places of the archive speak of."""
        asked = {
            "rounds": (
                "SELECT round_id FROM holes GROUP BY 1",
                "SELECT round_id FROM holes GROUP BY 1 ORDER BY 1 DESC",
                "SELECT round_id FROM rounds INDEXED BY sqlite_autoindex_rounds_1"
                " WHERE player_key >= ''",
            ),
            "files": (
                "SELECT file_id FROM rounds",
                "SELECT file_id FROM files INDEXED BY sqlite_autoindex_files_1 WHERE sha256 >= ''",
            ),
            "sessions": ("SELECT seq FROM sqlite_sequence WHERE name = 'sessions'",),
        }[table]
        found = {row[0] for each in asked for row in self._until_broken(each)}
        return {number for number in found if isinstance(number, int) and number > 0}

    def keys_of_rounds(self) -> dict[int, Cells]:
        """Player's key, date and round by id, which the index knows too."""
        statement = (
            "SELECT round_id, player_key, date, round FROM rounds"
            " INDEXED BY sqlite_autoindex_rounds_1 WHERE player_key >= ''"
        )
        return {row[0]: row[1:] for row in self._until_broken(statement)}


@contextmanager
def _opened_remains(archive: Path) -> Iterator[_Remains]:
    """Open a copy of a damaged archive, since reading it could change what is left."""
    with scratch_file(archive.parent) as copy:
        for log in ("", "-wal", "-journal"):
            if Path(f"{archive}{log}").exists():
                shutil.copyfile(f"{archive}{log}", f"{copy}{log}")
        _lengthen(copy)
        db = sqlite3.connect(copy, isolation_level=None)
        # A broken letter spoils its cell, not the row.
        db.text_factory = lambda data: data.decode("utf-8", "replace")
        try:
            # Without this a fault in the list of tables would hide all of them.
            db.execute("PRAGMA writable_schema = ON")
            yield _Remains(db)
        finally:
            db.close()


def _lengthen(copy: Path) -> None:
    """Fill a file that was cut off with blank pages, else SQLite would read none of it."""
    header = copy.read_bytes()[:100]
    size = int.from_bytes(header[16:18], "big")
    pages = int.from_bytes(header[28:32], "big")
    if size in _PAGE_SIZES and copy.stat().st_size < size * pages <= _MOST_BYTES:
        os.truncate(copy, size * pages)


class _NotNeededError(Exception):
    """The archive is sound."""


class _Salvage:
    """One salvaging: what remains to be read, an archive to fill."""

    def __init__(self, remains: _Remains, new: Archive, reread: Reread, path: Path) -> None:
        self._remains = remains
        self._new = new
        self._reread = reread
        self._path = path
        self._done = Salvaged()
        self._spellings: dict[str, str] = {}
        self._kept: set[tuple[str, dt.date, int]] = set()
        self._used: set[int] = set()
        self._cards = dict(self._readable_cards())

    def run(self) -> Salvaged:
        known: dict[int, tuple[Facts, Cells]] = {}
        columns = [*ROUND_COLUMNS, "fingerprint", "file_id", "answers", "player_key"]
        renamed: dict[int, str] = {}
        for round_id, row in self._remains.by_id("rounds", columns).items():
            facts = facts_of(row[:5])
            if facts is not None:
                known[round_id] = (facts, row[5:])
                # The second is the key that version 0.1 wrote.
                keys = (name_key(facts.player), facts.player.strip().casefold())
                if isinstance(row[8], str) and row[8] and row[8] not in keys:
                    renamed[round_id] = row[8]
                else:
                    self._spellings.setdefault(keys[0], facts.player)
                if row[6] in self._cards and isinstance(row[7], str):
                    # What was said of one round holds for others of its card that are lost.
                    self._cards[row[6]] = replace(self._cards[row[6]], answers=row[7])
        for round_id, (facts, (digest, file_id, answers, _)) in known.items():
            card = self._cards.get(file_id, _LOST_CARD)
            said = answers if isinstance(answers, str) else None
            self._used.add(file_id)
            key = renamed.get(round_id)
            named = facts if key is None else facts._replace(player=self._spellings.get(key, key))
            card = replace(card, answers=said)
            self._keep_known(round_id, named, str(digest), card, as_named=key is None)
        for round_id in sorted(self._remains.numbered("rounds") - set(known)):
            self._keep_unknown(round_id)
        self._read_other_cards()
        self._keep_sessions()
        self._keep_settings()
        self._say_what_else()
        return self._done

    def _readable_cards(self) -> Iterator[tuple[int, Card]]:
        rows = self._remains.by_id("files", ["sha256", "name", "content", "imported_at"])
        for file_id, (digest, name, content, when) in rows.items():
            if isinstance(content, bytes) and hashlib.sha256(content).hexdigest() == digest:
                yield file_id, Card(str(name), content, str(when))

    def _keep_known(
        self, round_id: int, facts: Facts, digest: str, card: Card, as_named: bool
    ) -> None:
        read = self._stored(round_id, facts)
        said = f"round {round_id}: {facts.player}, {facts.date}, {facts.course}"
        if as_named and read is not None and has_fingerprint(read, digest):
            self._put(round_id, read, card, self._done.whole, said)
            return
        again = list(self._reread(card, facts)) if card.content else []
        for one in again:
            if has_fingerprint(one, digest):
                self._put(round_id, one, card, self._done.from_cards, said)
                return
        same = [one for one in again if one.facts.key == facts.key]
        if read is not None or same:
            self._put(round_id, read or same[0], card, self._done.doubtful, said)
        else:
            self._done.lost.append(said)

    def _keep_unknown(self, round_id: int) -> None:
        """A round whose own row is gone; its holes, the index or a scorecard may tell of it."""
        key, day, number = self._remains.keys_of_rounds().get(round_id, (None, None, None))
        player = self._spellings.get(key, key) if isinstance(key, str) else None
        facts = facts_of((player, "unknown", None, day, number))
        read = self._stored(round_id, facts or Facts("?", "unknown", None, dt.date(2000, 1, 1), 1))
        said = f"round {round_id}" + (f": {facts.player}, {facts.date}" if facts else "")
        for file_id, card in self._cards.items():
            for one in self._reread(card, None):
                if (facts and one.facts.key == facts.key) or (read and _alike(one, read)):
                    self._used.add(file_id)
                    self._put(round_id, one, card, self._done.from_cards, said)
                    return
        if facts is not None and read is not None:
            self._put(round_id, read, _LOST_CARD, self._done.doubtful, f"{said}, course unknown")
        else:
            self._done.lost.append(said)

    def _stored(self, round_id: int, facts: Facts) -> Round | None:
        """Holes and putts as the archive gives them, those that make sense; None if none does."""
        whose = (*facts[:3], facts.date.isoformat(), facts.round)
        where = ("round_id = ?", (round_id,))
        holes = self._remains.rows("holes", HOLE_COLUMNS, *where)
        putts = self._remains.rows("putts", PUTT_COLUMNS, *where)
        good: list[tuple[pl.DataFrame, pl.DataFrame]] = []
        for hole in sorted(holes, key=str):
            one = _hole(whose, hole, [putt for putt in putts if putt[0] == hole[0]], round_id)
            good += [one] if one is not None else []
        if not good:
            return None
        both = (pl.concat(each).drop("round_id") for each in zip(*good, strict=True))
        played, holes_played = (each.sort("hole") for each in both)
        return Round(played.sort("hole", "putt"), holes_played)

    def _put(
        self, round_id: int | None, one: Round, card: Card, where: list[str], said: str
    ) -> None:
        key = one.facts.key
        if key in self._kept:
            self._done.lost.append(f"{said} (another round stands in its place)")
            return
        self._kept.add(key)
        given = self._new.put_back(round_id, one, card)
        where.append(said if round_id is not None else f"round {given}: {said}")

    def _read_other_cards(self) -> None:
        """Scorecards no kept round came from belong to rounds of which nothing else is left."""
        for file_id, card in self._cards.items():
            if file_id in self._used:
                continue
            rounds = [one for one in self._reread(card, None) if one.facts.key not in self._kept]
            for one in rounds:
                said = f"{one.holes['player'][0]}, {one.holes['date'][0]}, from {card.name}"
                self._put(None, one, card, self._done.from_cards, said)
            if not rounds:
                ending = f"card-{file_id}{Path(card.name).suffix or '.csv'}"
                self._done.cards.append(
                    write_beside(self._path, ending, card.content, private=True)
                )

    def _keep_sessions(self) -> None:
        columns = [row[1] for row in self._new.query("PRAGMA table_info(sessions)")][1:]
        names = ", ".join(["session_id", *columns])
        marks = ", ".join("?" * (len(columns) + 1))
        for number, row in self._remains.by_id("sessions", columns).items():
            try:
                dt.date.fromisoformat(row[columns.index("date")])
                with self._new.writing():
                    self._new.query(
                        f"INSERT INTO sessions ({names}) VALUES ({marks})", (number, *row)
                    )
            except (ArchiveError, *_MISFIT):
                self._done.more_lost.append(f"a set of drills ({number})")
            else:
                self._done.sessions += 1

    def _keep_settings(self) -> None:
        for key, name, value in self._remains.rows("settings", ["player_key", "name", "value"]):
            spelled = self._spellings.get(key, key) if isinstance(key, str) else None
            try:
                if name == "player":
                    self._new.change_settings(player=value)
                elif name in ("unit", "shown_in", "handed"):
                    self._new.change_settings(**{name: value}, whose=spelled)
            except (ArchiveError, *_MISFIT):
                self._done.more_lost.append("a setting")

    def _say_what_else(self) -> None:
        self._done.more_lost += [
            f"the table {shown(name)}, which this version does not know"
            for name in self._remains.unknown_tables()
        ]
        says = {"rounds": "rounds that nothing tells of", "sessions": "sets of drills"}
        self._done.more_lost += [
            f"perhaps {says[table]}" for table in sorted(says) if table in self._remains.broken
        ]


def _hole(
    whose: Cells, hole: Cells, putts: list[Cells], round_id: int
) -> tuple[pl.DataFrame, pl.DataFrame] | None:
    """Putts and hole as tables; None where a value, or the count of the putts, cannot be."""
    number, par, ending = hole
    if not putts and ending in NEEDS_A_PUTT:
        return None
    if [putt[1] for putt in sorted(putts, key=str)] != list(range(1, len(putts) + 1)):
        return None
    try:
        played = typed([(*whose, *hole, round_id)], [*ROUND_COLUMNS, *HOLE_COLUMNS], HOLES_SCHEMA)
        rows = [(*whose, *putt, par, round_id) for putt in putts]
        struck = typed(rows, [*ROUND_COLUMNS, *PUTT_COLUMNS, "par"], PUTTS_SCHEMA)
    except _MISFIT:
        return None
    lengths = struck["distance_ft"].drop_nulls()
    if number is None or not 1 <= number <= 36 or not lengths.is_between(0, 100).all():
        return None
    return struck, played


def _alike(one: Round, other: Round) -> bool:
    compared = ("hole", "putt", "distance_ft", "result")
    return not one.putts.is_empty() and one.putts.select(compared).equals(
        other.putts.select(compared)
    )
