"""Reading what is left of a damaged archive, row by row."""

from __future__ import annotations

import os
import shutil
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sgputt.files import scratch_file

Cells = tuple[Any, ...]
# What SQLite raises on a page or a value that is not what it should be.
BROKEN = (sqlite3.Error, UnicodeError, ValueError, OverflowError, MemoryError)
_MOST_IDS = 100_000
_PAGE_SIZES = [2**power for power in range(9, 16)]
_MOST_BYTES = 2**32


class Wreck:
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
        names = ", ".join(f'"{name}"' for name in columns)
        found: dict[Cells, None] = {}
        for order in ("", "DESC"):
            by = ", ".join(f"{key} {order}" for key in _KEYS[table])
            statement = f"SELECT {names} FROM {table} WHERE {which} ORDER BY {by}"
            found |= dict.fromkeys(self._until_broken(statement, arguments, table))
        return list(found)

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
        names = ", ".join(f'"{name}"' for name in (key, *columns))
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


_KEYS = {
    "rounds": ("round_id",),
    "files": ("file_id",),
    "sessions": ("session_id",),
    "holes": ("hole",),
    "putts": ("hole", "putt"),
}


@contextmanager
def opened_wreck(archive: Path) -> Iterator[Wreck]:
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
            yield Wreck(db)
        finally:
            db.close()


def _lengthen(copy: Path) -> None:
    """Fill a file that was cut off with blank pages, else SQLite would read none of it."""
    header = copy.read_bytes()[:100]
    size = int.from_bytes(header[16:18], "big")
    pages = int.from_bytes(header[28:32], "big")
    if size in _PAGE_SIZES and copy.stat().st_size < size * pages <= _MOST_BYTES:
        os.truncate(copy, size * pages)
