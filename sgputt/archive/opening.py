"""Opening the archive's file: nothing is written before it is known to be ours."""

from __future__ import annotations

import os
import sqlite3
from pathlib import Path

from sgputt.archive.schema import VERSION, bring_up_to_date, refuse_strangers
from sgputt.errors import ArchiveError


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
        return _connect_to_read(path, wait_seconds)
    path.parent.mkdir(parents=True, exist_ok=True)
    connection = sqlite3.connect(path, timeout=wait_seconds, isolation_level=None)
    try:
        refuse_strangers(connection)
        connection.execute("PRAGMA foreign_keys = ON")
        connection.execute("PRAGMA journal_mode = WAL")
        bring_up_to_date(connection)
    except BaseException:
        connection.close()
        raise
    return connection


def _writable(path: Path) -> bool:
    return os.access(path, os.W_OK) and os.access(path.parent, os.W_OK)


def _connect_to_read(path: Path, wait_seconds: float) -> sqlite3.Connection:
    """Open a file that may only be read; ``immutable`` since no lock file can be laid beside it."""
    address = f"{path.resolve().as_uri()}?mode=ro&immutable=1"
    connection = sqlite3.connect(address, uri=True, timeout=wait_seconds, isolation_level=None)
    try:
        if refuse_strangers(connection) < VERSION:
            raise ArchiveError(
                f"Archive {path} is of an older version and may not be written to.",
                "Copy it to where you may write, and name the copy with --archive.",
            )
    except BaseException:
        connection.close()
        raise
    return connection
