"""Tables of the archive, and how an older archive is brought up to date."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from contextlib import closing
from functools import cache

from sgputt.errors import ArchiveError
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
MIGRATIONS: tuple[tuple[Step, ...], ...] = ((_V1,), (_V2,), (_V3, _names_as_now))
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
