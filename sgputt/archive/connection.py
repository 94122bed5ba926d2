"""The archive's file: opened safely, its tables, and how an older archive is brought up to date.

Nothing is written before the file is known to be ours. What SQLite and the system say of it is put
into words that lead to a way out.
"""

from __future__ import annotations

import os
import re
import shutil
import sqlite3
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager, suppress
from functools import cache
from pathlib import Path

import polars as pl

from sgputt.errors import ArchiveError, SgputtError
from sgputt.files import OWNER_ONLY, clear_orphans, settled
from sgputt.putts.columns import words_of
from sgputt.safe_text import clean, name_key

# "SgPt": lets any tool see whose file this is (PRAGMA application_id).
APPLICATION_ID = 0x53675074

_V1 = """
CREATE TABLE files (
    file_id INTEGER PRIMARY KEY,
    sha256 TEXT NOT NULL UNIQUE,
    name TEXT NOT NULL,
    content BLOB NOT NULL,
    imported_at TEXT NOT NULL
);
CREATE TABLE rounds (
    round_id INTEGER PRIMARY KEY AUTOINCREMENT,
    player TEXT NOT NULL,
    player_key TEXT NOT NULL,
    date TEXT NOT NULL,
    round INTEGER NOT NULL,
    course TEXT NOT NULL,
    event TEXT,
    fingerprint TEXT NOT NULL,
    file_id INTEGER NOT NULL REFERENCES files,
    UNIQUE (player_key, date, round)
);
CREATE TABLE holes (
    round_id INTEGER NOT NULL REFERENCES rounds ON DELETE CASCADE,
    hole INTEGER NOT NULL,
    par INTEGER,
    ending TEXT NOT NULL,
    PRIMARY KEY (round_id, hole)
) WITHOUT ROWID;
CREATE TABLE putts (
    round_id INTEGER NOT NULL,
    hole INTEGER NOT NULL,
    putt INTEGER NOT NULL,
    distance_ft REAL,
    leave_ft REAL,
    result TEXT NOT NULL,
    slope TEXT NOT NULL,
    "break" TEXT NOT NULL,
    miss_pace TEXT,
    miss_side TEXT,
    cause TEXT,
    surface TEXT NOT NULL,
    stimp_ft REAL,
    grade REAL,
    source TEXT,
    source_row INTEGER,
    PRIMARY KEY (round_id, hole, putt),
    FOREIGN KEY (round_id, hole) REFERENCES holes ON DELETE CASCADE
) WITHOUT ROWID;
"""

# Sets of drills; those entered together, from one file, share their `entry` and are undone as one.
_V2 = """
CREATE TABLE sessions (
    session_id INTEGER PRIMARY KEY AUTOINCREMENT,
    entry INTEGER NOT NULL,
    player TEXT NOT NULL,
    player_key TEXT NOT NULL,
    date TEXT NOT NULL,
    drill TEXT NOT NULL,
    balls INTEGER NOT NULL CHECK (balls > 0),
    successes INTEGER NOT NULL CHECK (successes BETWEEN 0 AND balls),
    restarts INTEGER CHECK (restarts >= 0),
    minutes REAL CHECK (minutes > 0),
    note TEXT NOT NULL,
    pass_mark TEXT,
    entered_at TEXT NOT NULL
);
CREATE INDEX sessions_by_player ON sessions (player_key, drill, date);
"""

# What holds for a player, or with an empty key for the whole archive.
_V3 = """
ALTER TABLE putts ADD COLUMN "break_in" REAL;
CREATE TABLE settings (
    player_key TEXT NOT NULL,
    name TEXT NOT NULL,
    value TEXT NOT NULL,
    PRIMARY KEY (player_key, name)
) WITHOUT ROWID;
"""

# What was said beside the card when a round was imported, so that its card is read so again.
_V4 = "ALTER TABLE rounds ADD COLUMN answers TEXT;"


def _names_as_now(db: sqlite3.Connection) -> None:
    """Until version 2 unseen signs in a name made another player.

    Where both then have a round of one day and number, the second stays apart.
    """
    for table in ("rounds", "sessions"):
        players = db.execute(f"SELECT DISTINCT player, player_key FROM {table}").fetchall()
        spelled = {key: player for player, key in players}
        for player, key in players:
            new = name_key(str(player))
            if new not in ("", key):
                spelling = spelled.get(new, clean(player))
                db.execute(
                    f"UPDATE OR IGNORE {table} SET player = ?, player_key = ? WHERE player = ?",
                    (spelling, new, player),
                )


Step = str | Callable[[sqlite3.Connection], None]
# Those at place n bring an archive from version n to n + 1.
MIGRATIONS: tuple[tuple[Step, ...], ...] = (
    (_V1,),
    (_V2,),
    (_V3, _names_as_now),
    (_V4,),
)
VERSION = len(MIGRATIONS)


def bring_up_to_date(connection: sqlite3.Connection) -> None:
    """Create the tables, or run the steps an older archive lacks, in one transaction."""
    if version_of(connection) == VERSION:
        return
    connection.execute("BEGIN IMMEDIATE")
    try:
        _run(connection, MIGRATIONS[version_of(connection) :])
        connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        connection.execute(f"PRAGMA user_version = {VERSION}")
        connection.execute("COMMIT")
    except BaseException:
        # Where the disk is full SQLite has gone back by itself.
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise


def _run(connection: sqlite3.Connection, migrations: tuple[tuple[Step, ...], ...]) -> None:
    for step in (step for steps in migrations for step in steps):
        if callable(step):
            step(connection)
        else:
            for statement in filter(str.strip, step.split(";")):
                connection.execute(statement)


def version_of(connection: sqlite3.Connection) -> int:
    """The version that an archive says it is of; 0 of a new file."""
    return int(connection.execute("PRAGMA user_version").fetchone()[0])


def columns_at(version: int) -> dict[str, tuple[str, ...]]:
    """Tables and their columns in an archive of that version."""
    return _columns_after(MIGRATIONS[:version])


@cache
def _columns_after(migrations: tuple[tuple[Step, ...], ...]) -> dict[str, tuple[str, ...]]:
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as empty:
        _run(empty, migrations)
        return columns_of(empty)


def columns_of(connection: sqlite3.Connection) -> dict[str, tuple[str, ...]]:
    """Tables and their columns as they are."""
    tables = connection.execute(
        "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite\\_%'"
        " ESCAPE '\\'"
    ).fetchall()
    return {
        str(table): tuple(
            str(row[1]) for row in connection.execute(f'PRAGMA table_info("{table}")')
        )
        for (table,) in tables
    }


def refuse_strangers(connection: sqlite3.Connection) -> int:
    """Version of an archive, 0 of an empty file; reads only.

    Raises
    ------
    ArchiveError
        The archive was written by a newer sgputt, or the file belongs to another program.
    """
    # As one reading: another process may be making it at this moment.
    connection.execute("BEGIN")
    try:
        tables = int(connection.execute("SELECT count(*) FROM sqlite_master").fetchone()[0])
        owner = int(connection.execute("PRAGMA application_id").fetchone()[0])
        found = version_of(connection)
    finally:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
    if (tables or found) and owner != APPLICATION_ID:
        raise ArchiveError(
            "That SQLite file was not made by sgputt.", "Name another file with --archive."
        )
    if found > VERSION:
        raise ArchiveError(
            f"The archive is of version {found}; this sgputt reads up to version {VERSION}.",
            "Use the newer sgputt that wrote it.",
        )
    return found


RESTORE = (
    "Go back to a backup with: sgputt restore FILE   "
    "(or keep what can still be read: sgputt restore --salvage)"
)
_OTHER = "Name another file with --archive."
_WAYS_OUT = {
    "not a database": f"If it is your archive it is damaged. {RESTORE}. Otherwise name another "
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
# How long another writer is waited for.
WAIT_SECONDS = 30.0
# Rows of one player, by the spelling or the key of the name; of all where none is given.
WHOSE = "(:player IS NULL OR player_key = :key OR player = :player)"
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
        os.close(os.open(os.path.realpath(path), os.O_CREAT | os.O_EXCL | os.O_WRONLY, OWNER_ONLY))
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
    wrong = what_is_wrong(connection, version)
    if wrong is not None:
        raise damaged(path, wrong)
    if path.stat().st_size > _LARGEST_LOOKED_THROUGH:
        return
    if connection.execute("PRAGMA integrity_check(1)").fetchone() != ("ok",):
        raise sqlite3.DatabaseError("database disk image is malformed")


def what_is_wrong(connection: sqlite3.Connection, version: int) -> str | None:
    """What an archive has or lacks beside the tables of the version it says it is of."""
    there, should = columns_of(connection), columns_at(version)
    for table, columns in should.items():
        if table not in there:
            return f"the table {table} is gone"
        for column in columns:
            if column not in there[table]:
                return f"the column {column} of the table {table} is gone"
    # Where another process has just brought it up to date nothing is wrong.
    if version == VERSION or version_of(connection) != version:
        return None
    said = f"it says that it is of version {version}"
    if version < 0:
        return said
    for table, columns in columns_at(VERSION).items():
        later = set(columns) - set(should.get(table, ()))
        if later & set(there.get(table, ())):
            return f"{said}, and has what came later in its table {table}"
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
