"""Opening the archive's file: nothing is written before it is known to be ours.

What SQLite and the system say of it is put into words that lead to a way out.
"""

from __future__ import annotations

import os
import re
import shutil
import sqlite3
import tempfile
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path

import polars as pl

from sgputt.archive.schema import (
    APPLICATION_ID,
    VERSION,
    bring_up_to_date,
    columns_at,
    columns_of,
    refuse_strangers,
)
from sgputt.errors import ArchiveError, SgputtError
from sgputt.files import clear_orphans, settled
from sgputt.putts.columns import words_of

RESTORE = (
    "Go back to a backup with: sgputt restore FILE   "
    "(or keep what can still be read: sgputt restore --salvage)"
)
_OTHER = "Name another file with --archive."
_WAYS_OUT = {
    "not a database": f"If it is your archive it is damaged. {RESTORE} Otherwise name another "
    "file with --archive.",
    "malformed": RESTORE,
    "locked": "Another sgputt is writing to it: try again in a moment.",
    "readonly": "The file may not be written to: change its permissions or use --archive.",
    "read-only": "The file may not be written to: change its permissions or use --archive.",
    "unable to open": "Check that the folder exists and may be written to, or use --archive.",
    "full": "The disk is full: make room and try again; nothing was changed.",
    "disk I/O": "The disk could not be written to or read: see whether it is full or failing, "
    "then try again; nothing was changed.",
}
_UNREADABLE = "Could not decode"
_NO_ROOM = ("full", "disk I/O")
_MAY_NOT = "attempt to write a readonly database"
_PAUSE_SECONDS = 0.02
_LARGEST_LOOKED_THROUGH = 256 * 1024 * 1024
_OWNER_ONLY = 0o600
# Of the file format of SQLite: https://www.sqlite.org/fileformat2.html, "The Database Header".
_SQLITE, _HEADER = b"SQLite format 3\0", 100
_OWNER = APPLICATION_ID.to_bytes(4, "big")
# How a row of putts, or our own table of rounds, stands in the file when its head is gone.
_TRACE = re.compile(
    "|".join(
        [
            "".join(f"({'|'.join(words_of(name))})" for name in ("result", "slope", "break")),
            r"player_key TEXT NOT NULL,\s+date TEXT NOT NULL",
        ]
    ).encode()
)
_LONGEST_TRACE = 100
_AT_ONCE = 1024 * 1024


class DamagedError(ArchiveError):
    """An archive whose file is not what sgputt wrote."""


def damaged(path: Path, what: str) -> DamagedError:
    """Error for a damaged archive."""
    return DamagedError(f"Archive {path} is damaged: {what}.", RESTORE)


def unwritten(path: Path, said: str) -> ArchiveError:
    """Error for an archive that SQLite cannot do something with."""
    ways = (way for sign, way in _WAYS_OUT.items() if sign in said)
    way = next(ways, "Name another file with --archive, or go back to a backup.")
    return ArchiveError(f"Archive {path}: {said}.", way)


@contextmanager
def explained(path: Path) -> Iterator[None]:
    """Turn what SQLite or the system says of an archive into an error with a way out."""
    try:
        yield
    except sqlite3.Error as exc:
        said = str(exc)
        if _UNREADABLE in said:
            raise damaged(path, "text in it cannot be read") from exc
        if "malformed" in said:
            raise damaged(path, said) from exc
        raise unwritten(path, said) from exc
    except UnicodeDecodeError as exc:  # SQLite's own words may quote what is broken
        raise damaged(path, "what it says of itself cannot be read") from exc
    except OSError as exc:
        raise ArchiveError(f"Archive {path}: {exc.strerror}.", _OTHER) from exc


@contextmanager
def values_fit(path: Path) -> Iterator[None]:
    """Turn a value of a wrong kind, read back from an archive, into an error with a way out."""
    try:
        yield
    except (pl.exceptions.PolarsError, TypeError, ValueError, KeyError, OverflowError) as exc:
        raise damaged(path, "a value in it is not what sgputt writes") from exc


def connect(path: Path, wait_seconds: float) -> tuple[sqlite3.Connection, str | None]:
    """Open an archive, making or bringing it up to date where it may be written to.

    Parameters
    ----------
    path : Path
        The SQLite file; absent is an empty archive.
    wait_seconds : float
        How long to wait for another writer.

    Returns
    -------
    connection : sqlite3.Connection
    str or None
        Why nothing can be written to it; None where that is possible.

    Raises
    ------
    ArchiveError
        Not an archive, or of a newer version.
    sqlite3.Error, OSError
        As SQLite or the system says.
    """
    refuse_no_file(path)
    if path.exists() and not _writable(path):
        return _connected_to_read(path), _MAY_NOT
    path.parent.mkdir(parents=True, exist_ok=True)
    clear_orphans(path.parent)
    with suppress(FileExistsError):
        # SQLite would let everybody read it; its logs take the permissions of the file.
        os.close(os.open(os.path.realpath(path), os.O_CREAT | os.O_EXCL | os.O_WRONLY, _OWNER_ONLY))
    try:
        return _connected(path, wait_seconds), None
    except sqlite3.OperationalError as exc:
        if not path.stat().st_size or not any(sign in str(exc) for sign in _NO_ROOM):
            raise
        return _connected_to_read(path), str(exc)


def _writable(path: Path) -> bool:
    return os.access(path, os.W_OK) and os.access(path.parent, os.W_OK)


def _connected(path: Path, wait_seconds: float) -> sqlite3.Connection:
    connection = sqlite3.connect(path, timeout=wait_seconds, isolation_level=None)
    try:
        version = refuse_strangers(connection)
        refuse_damaged(connection, path, version)
        connection.execute("PRAGMA foreign_keys = ON")
        _log_ahead(connection, wait_seconds)
        bring_up_to_date(connection)
    except BaseException:
        connection.close()
        raise
    return connection


def _connected_to_read(path: Path) -> sqlite3.Connection:
    connection = connect_to_read(path)
    try:
        version = refuse_strangers(connection)
        refuse_damaged(connection, path, version)
        if version < VERSION:
            connection = _in_memory(connection)
            bring_up_to_date(connection)
        connection.execute("PRAGMA query_only = ON")
    except BaseException:
        connection.close()
        raise
    return connection


def refuse_damaged(connection: sqlite3.Connection, path: Path, version: int) -> None:
    """Look through the whole file, which takes some 10 ms for a thousand rounds.

    Without that a broken page may only show as rounds that are not there.
    """
    gone = what_is_gone(connection, version)
    if gone is not None:
        raise damaged(path, gone)
    if path.stat().st_size > _LARGEST_LOOKED_THROUGH:
        return
    if connection.execute("PRAGMA integrity_check(1)").fetchone() != ("ok",):
        raise sqlite3.DatabaseError("database disk image is malformed")


def what_is_gone(connection: sqlite3.Connection, version: int) -> str | None:
    """The first table or column that an archive of that version should have and has not."""
    there = columns_of(connection)
    for table, columns in columns_at(version).items():
        if table not in there:
            return f"the table {table} is gone"
        for column in columns:
            if column not in there[table]:
                return f"the column {column} of the table {table} is gone"
    return None


def _log_ahead(connection: sqlite3.Connection, wait_seconds: float) -> None:
    # SQLite does not wait by itself where several change to the log at once.
    until = time.monotonic() + wait_seconds
    while True:
        try:
            connection.execute("PRAGMA journal_mode = WAL")
        except sqlite3.OperationalError as exc:
            if "locked" not in str(exc) or time.monotonic() > until:
                raise
            time.sleep(_PAUSE_SECONDS)
        else:
            return


def connect_to_read(path: Path) -> sqlite3.Connection:
    """Open an archive or a copy of one without writing anything, beside it either.

    Raises
    ------
    sqlite3.Error, OSError
        As SQLite or the system says.
    """
    log = Path(f"{path}-wal")
    if log.exists() and log.stat().st_size:
        return _with_its_log(path, log)
    # Immutable, since no lock file may be laid beside it.
    address = f"{path.resolve().as_uri()}?mode=ro&immutable=1"
    return sqlite3.connect(address, uri=True, isolation_level=None)


def _with_its_log(path: Path, log: Path) -> sqlite3.Connection:
    """A copy in memory: what was stored last lies in the log only, and reading that writes."""
    try:
        with tempfile.TemporaryDirectory() as folder:
            copy = Path(folder) / "copy.sqlite"
            shutil.copyfile(path, copy)
            shutil.copyfile(log, f"{copy}-wal")
            return _in_memory(sqlite3.connect(copy))
    except OSError:
        # No room for a copy anywhere. Held by one reader alone, the log needs no file beside it.
        alone = sqlite3.connect(path)
        alone.execute("PRAGMA locking_mode = EXCLUSIVE")
        return _in_memory(alone)


def _in_memory(opened: sqlite3.Connection) -> sqlite3.Connection:
    """A copy in memory of an open archive, which is closed."""
    memory = sqlite3.connect(":memory:", isolation_level=None)
    try:
        with closing(opened):
            opened.backup(memory)
    except BaseException:
        memory.close()
        raise
    return memory


def refuse_no_file(path: Path) -> None:
    """Raise :class:`ArchiveError` where a folder, device, pipe or circle of links is there."""
    try:
        settled(path)
    except SgputtError as exc:
        if path.parent.is_dir():
            raise ArchiveError(f"No archive can be there: {exc.what}", _OTHER) from exc


def made_by_us(path: Path) -> bool:
    """Whether a file is an archive, a damaged one too, or empty: by what it says or what it holds.

    Raises
    ------
    OSError
        It cannot be read.
    """
    with path.open("rb") as file:
        head = file.read(_HEADER)
        if not head or (head.startswith(_SQLITE) and head[68:72] == _OWNER):
            return True
        held = head
        while more := file.read(_AT_ONCE):
            held = held[-_LONGEST_TRACE:] + more
            if _TRACE.search(held):
                return True
    return False


def refuse_others_file(archive: Path) -> Path:
    """The file behind an archive's name, which may be absent; raise where it is not our own.

    Raises
    ------
    ArchiveError
        Something stands there that is neither an archive of ours nor a damaged one.
    """
    refuse_no_file(archive)
    archive = Path(os.path.realpath(archive))
    if archive.exists() and not made_by_us(archive):
        raise ArchiveError(
            f"{archive} is not an archive of sgputt, nor shows any trace of one; it was left as "
            "it is.",
            "Name the archive with --archive. If that is it, beyond recognition, rename it "
            "yourself first.",
        )
    return archive
