"""Opening the archive's file: nothing is written before it is known to be ours."""

from __future__ import annotations

import os
import re
import shutil
import sqlite3
import tempfile
import time
from contextlib import closing, suppress
from pathlib import Path

from sgputt.archive.schema import APPLICATION_ID, VERSION, bring_up_to_date, refuse_strangers
from sgputt.errors import ArchiveError, SgputtError
from sgputt.files import settled
from sgputt.putts.table import BREAKS, RESULTS, SLOPES

_PAUSE_SECONDS = 0.02
_LARGEST_LOOKED_THROUGH = 256 * 1024 * 1024
_OTHER = "Name another file with --archive."
# Of the file format of SQLite: https://www.sqlite.org/fileformat2.html, "The Database Header".
_SQLITE, _HEADER = b"SQLite format 3\0", 100
_OWNER = APPLICATION_ID.to_bytes(4, "big")
# How a row of putts, or our own table of rounds, stands in the file when its head is gone.
_TRACE = re.compile(
    "|".join(
        [
            "".join(f"({'|'.join(words)})" for words in (RESULTS, SLOPES, BREAKS)),
            r"player_key TEXT NOT NULL,\s+date TEXT NOT NULL",
        ]
    ).encode()
)
_LONGEST_TRACE = 100
_AT_ONCE = 1024 * 1024


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
    refuse_no_file(path)
    if path.exists() and not _writable(path):
        return _connect_only_to_read(path)
    path.parent.mkdir(parents=True, exist_ok=True)
    with suppress(FileExistsError):
        # SQLite would let everybody read it; its logs take the permissions of the file.
        os.close(os.open(os.path.realpath(path), os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
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
