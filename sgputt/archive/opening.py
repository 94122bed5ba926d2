"""Opening the archive's file: nothing is written before it is known to be ours."""

from __future__ import annotations

import os
import shutil
import sqlite3
import tempfile
import time
from contextlib import closing
from pathlib import Path

from sgputt.archive.schema import VERSION, bring_up_to_date, refuse_strangers
from sgputt.errors import ArchiveError

_PAUSE_SECONDS = 0.02
_LARGEST_LOOKED_THROUGH = 256 * 1024 * 1024


def connect(path: Path, wait_seconds: float) -> sqlite3.Connection:
    """Open an archive, making or bringing it up to date where it may be written to.

    Parameters
    ----------
    path : Path
        The SQLite file; absent is an empty archive.
    wait_seconds : float
        How long to wait for another writer.

    Raises
    ------
    ArchiveError
        Not an archive, too new, or too old and not writable.
    sqlite3.Error, OSError
        As SQLite or the system says.
    """
    if path.exists() and not _writable(path):
        return _connect_only_to_read(path)
    path.parent.mkdir(parents=True, exist_ok=True)
    connection = sqlite3.connect(path, timeout=wait_seconds, isolation_level=None)
    try:
        refuse_strangers(connection)
        refuse_damaged(connection, path)
        connection.execute("PRAGMA foreign_keys = ON")
        _log_ahead(connection, wait_seconds)
        bring_up_to_date(connection)
    except BaseException:
        connection.close()
        raise
    return connection


def _writable(path: Path) -> bool:
    return os.access(path, os.W_OK) and os.access(path.parent, os.W_OK)


def _connect_only_to_read(path: Path) -> sqlite3.Connection:
    connection = connect_to_read(path)
    try:
        if refuse_strangers(connection) < VERSION:
            raise ArchiveError(
                f"Archive {path} is of an older version and may not be written to.",
                "Copy it to where you may write, and name the copy with --archive.",
            )
        refuse_damaged(connection, path)
    except BaseException:
        connection.close()
        raise
    return connection


def refuse_damaged(connection: sqlite3.Connection, path: Path) -> None:
    """Look through the whole file, which takes some 10 ms for a thousand rounds.

    Without that a broken page may only show as rounds that are not there.
    """
    if path.stat().st_size > _LARGEST_LOOKED_THROUGH:
        return
    if connection.execute("PRAGMA integrity_check(1)").fetchone() != ("ok",):
        raise sqlite3.DatabaseError("database disk image is malformed")


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
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "copy.sqlite"
        shutil.copyfile(path, copy)
        shutil.copyfile(log, f"{copy}-wal")
        with closing(sqlite3.connect(copy)) as opened:
            memory = sqlite3.connect(":memory:", isolation_level=None)
            try:
                opened.backup(memory)
            except BaseException:
                memory.close()
                raise
    return memory
