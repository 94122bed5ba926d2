"""Tables of the archive, and how an older archive is brought up to date."""

from __future__ import annotations

import sqlite3

from sgputt.errors import ArchiveError

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

# Step n brings an archive from version n to n + 1.
MIGRATIONS = (_V1, _V2)
VERSION = len(MIGRATIONS)


def bring_up_to_date(connection: sqlite3.Connection) -> None:
    """Create the tables, or run the steps an older archive lacks, in one transaction."""
    if _version(connection) == VERSION:
        return
    connection.execute("BEGIN IMMEDIATE")
    try:
        found = _version(connection)
        for step in MIGRATIONS[found:]:
            for statement in filter(str.strip, step.split(";")):
                connection.execute(statement)
        connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        connection.execute(f"PRAGMA user_version = {VERSION}")
        connection.execute("COMMIT")
    except BaseException:
        # Where the disk is full SQLite has gone back by itself.
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise


def _version(connection: sqlite3.Connection) -> int:
    return int(connection.execute("PRAGMA user_version").fetchone()[0])


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
        found = _version(connection)
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
