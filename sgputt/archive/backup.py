"""Copies of an archive: made whole and checked, put in the archive's place."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from sgputt.archive.connection import (
    WAIT_SECONDS,
    DamagedError,
    bring_up_to_date,
    connect_to_read,
    damaged,
    explained,
    refuse_others_file,
    refuse_strangers,
    what_is_wrong,
)
from sgputt.errors import ArchiveError, SgputtError
from sgputt.files import half_written

_LOGS = ("-wal", "-journal")


@dataclass(frozen=True)
class Restored:
    """What a restoring did.

    Attributes
    ----------
    rounds, sessions : int
        How many rounds and sets of drills the archive holds now.
    newest : str or None
        When the last round in it was imported.
    aside : Path or None
        Where the archive that stood there before is kept.
    was_damaged : bool
        Whether that one was damaged.
    """

    rounds: int
    sessions: int
    newest: str | None
    aside: Path | None
    was_damaged: bool


def copy_to(db: sqlite3.Connection, source: Path, target: Path) -> None:
    """Write a whole and sound copy of an open archive to a new file.

    Raises
    ------
    ArchiveError
        The file exists already or cannot be written, or the archive is damaged.
    """
    if os.path.lexists(target):
        raise ArchiveError(f"{target} exists already.", "Name a new file for the backup.")
    try:
        with half_written(target, private=True) as half:
            _copy(db, half)
            faults = faults_of(half)
            if faults:
                raise damaged(source, f"{faults[0]}; no copy was made")
    except ArchiveError:
        raise
    except SgputtError as exc:
        raise ArchiveError(exc.what, exc.hint) from exc
    except (sqlite3.Error, UnicodeDecodeError, OSError) as exc:
        if "malformed" in str(exc) or isinstance(exc, UnicodeDecodeError):
            raise damaged(source, f"{exc}; no copy was made") from exc
        raise ArchiveError(f"{target}: the backup could not be written ({exc}).") from exc


def _copy(db: sqlite3.Connection, path: Path) -> None:
    with closing(sqlite3.connect(path, isolation_level=None)) as copy:
        db.backup(copy)
        # One file, with no log beside it that could be left behind when it is carried off.
        copy.execute("PRAGMA journal_mode = DELETE")


def faults_of(path: Path) -> list[str]:
    """What SQLite finds wrong with the file of an archive that nothing has open."""
    with closing(connect_to_read(path)) as db:
        gone = what_is_wrong(db, refuse_strangers(db))
        if gone is not None:
            return [gone]
        rows = [str(row[0]) for row in db.execute("PRAGMA integrity_check(3)")]
        strays = db.execute("PRAGMA foreign_key_check").fetchall()
    faults = [] if rows == ["ok"] else [line for row in rows for line in row.splitlines()]
    return faults + [f"rows of {row[0]} belong to nothing" for row in strays[:1]]


def restore(backup: Path, archive: Path, today: date) -> Restored:
    """Put a backup in the archive's place; what stands there is kept aside.

    Parameters
    ----------
    backup : Path
        A file that :func:`copy_to` made, or any archive of this or an older version.
    archive : Path
        The archive, which may be damaged or absent.
    today : datetime.date
        For the name of the archive kept aside.

    Raises
    ------
    ArchiveError
        The backup is absent, damaged, empty or no archive, the archive is in use, or what stands
        in its place is not our own; nothing was changed.
    """
    with explained(archive):
        archive = refuse_others_file(archive)
    if not backup.is_file():
        raise ArchiveError(f"There is no file {backup}.", "Name a file that sgputt backup wrote.")
    if archive.exists() and backup.samefile(archive):
        raise ArchiveError(f"{backup} is the archive itself.", "Name the copy to go back to.")
    with explained(backup):
        _refuse_unsound(backup)
    with explained(archive):
        archive.parent.mkdir(parents=True, exist_ok=True)
        with half_written(archive, private=True) as half:
            with closing(connect_to_read(backup)) as db:
                _copy(db, half)
            with closing(sqlite3.connect(half, isolation_level=None)) as db:
                bring_up_to_date(db)
            return _take_place(half, archive, today)


def _refuse_unsound(backup: Path) -> None:
    hint = "Name a file that sgputt backup wrote."
    try:
        with closing(connect_to_read(backup)) as db:
            if refuse_strangers(db) == 0:
                raise ArchiveError(f"{backup} is empty.", hint)
    except sqlite3.DatabaseError as exc:
        if "not a database" not in str(exc):
            raise
        raise ArchiveError(f"{backup} is no backup, it is not a database.", hint) from exc
    try:
        faults = faults_of(backup)
    except sqlite3.DatabaseError as exc:
        if "malformed" not in str(exc):
            raise
        faults = [str(exc)]
    if faults:
        raise ArchiveError(
            f"The backup {backup} is damaged itself: {faults[0]}. Nothing was changed.",
            "Name an older backup, or keep what can still be read: sgputt restore --salvage",
        )


def _take_place(half: Path, archive: Path, today: date) -> Restored:
    """Keep aside what stands in the archive's place; the caller moves the file in."""
    with closing(connect_to_read(half)) as db:
        (rounds,) = db.execute("SELECT count(*) FROM rounds").fetchone()
        (sessions,) = db.execute("SELECT count(*) FROM sessions").fetchone()
        (newest,) = db.execute(
            "SELECT max(imported_at) FROM files JOIN rounds USING (file_id)"
        ).fetchone()
    was_damaged = archive.exists() and not is_sound(archive)
    aside = set_aside(archive, "damaged" if was_damaged else "replaced", today)
    return Restored(rounds, sessions, newest, aside, was_damaged)


def is_sound(archive: Path) -> bool:
    """Whether an archive's file is as sgputt writes it; its log is written into it on the way.

    Raises
    ------
    ArchiveError
        Another process is writing to it.
    """
    try:
        with explained(archive), closing(sqlite3.connect(archive, timeout=WAIT_SECONDS)) as db:
            db.isolation_level = None
            db.execute("BEGIN IMMEDIATE")
            db.execute("ROLLBACK")
            db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        with explained(archive):
            return not faults_of(archive)
    except DamagedError:
        return False
    except ArchiveError as exc:
        if "locked" in exc.what:
            raise
        return False


def set_aside(archive: Path, word: str, today: date) -> Path | None:
    """Rename an archive, and the log beside it, to ``NAME.word-DATE``; None where there is none.

    A log without its archive is renamed too: SQLite would write it into the next one there.
    """
    first = archive.with_name(f"{archive.name}.{word}-{today}")
    aside = first
    number = 1
    while any(os.path.lexists(f"{aside}{log}") for log in ("", *_LOGS)):
        number += 1
        aside = Path(f"{first}-{number}")
    was_there = archive.exists()
    if was_there:
        try:
            # A second name for it, so that there is an archive in its place at every moment.
            os.link(archive, aside)
        except OSError:
            archive.rename(aside)
    for log in _LOGS:
        if Path(f"{archive}{log}").is_file():
            Path(f"{archive}{log}").rename(f"{aside}{log}")
    Path(f"{archive}-shm").unlink(missing_ok=True)
    return aside if was_there else None
