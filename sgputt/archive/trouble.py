"""What SQLite and the system say of an archive, in words that lead to a way out."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import polars as pl

from sgputt.errors import ArchiveError

RESTORE = (
    "Go back to a backup with: sgputt restore FILE   "
    "(or keep what can still be read: sgputt restore --salvage)"
)
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


class DamagedError(ArchiveError):
    """An archive whose file is not what sgputt wrote."""


def damaged(path: Path, what: str) -> DamagedError:
    """Error for a damaged archive."""
    return DamagedError(f"Archive {path} is damaged: {what}.", RESTORE)


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
        raise ArchiveError(f"Archive {path}: {said}.", _way_out(said)) from exc
    except UnicodeDecodeError as exc:  # SQLite's own words may quote what is broken
        raise damaged(path, "what it says of itself cannot be read") from exc
    except OSError as exc:
        raise ArchiveError(
            f"Archive {path}: {exc.strerror}.", "Name another file with --archive."
        ) from exc


def _way_out(message: str) -> str:
    ways = (way for sign, way in _WAYS_OUT.items() if sign in message)
    return next(ways, "Name another file with --archive, or go back to a backup.")


@contextmanager
def values_fit(path: Path) -> Iterator[None]:
    """Turn a value of a wrong kind, read back from an archive, into an error with a way out."""
    try:
        yield
    except (pl.exceptions.PolarsError, TypeError, ValueError, KeyError, OverflowError) as exc:
        raise damaged(path, "a value in it is not what sgputt writes") from exc
