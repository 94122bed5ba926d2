r"""Text that a spreadsheet would run, kept from running in CSV, and back.

A spreadsheet takes a CSV cell for a formula by its first character. Such text gets an apostrophe
in front, and so does text that has apostrophes in front of such a character already; so taking one
off gives back exactly what was there.
"""

from __future__ import annotations

import re

import polars as pl

# The full-width signs act in some spreadsheets too.
_RUNS = r"[=+\-@\t\r\n＝＋－＠]"
_GUARDS = re.compile(f"^('*{_RUNS})")
_UNGUARDS = re.compile(f"^'('*{_RUNS})")


def guard(text: str) -> str:
    """Text that no spreadsheet runs.

    Examples
    --------
    >>> guard("=1+1"), guard("Ann"), guard("'=1+1")
    ("'=1+1", 'Ann', "''=1+1")
    """
    return _GUARDS.sub(r"'\1", text)


def unguard(text: str) -> str:
    """The text that :func:`guard` was given.

    Examples
    --------
    >>> unguard("'=1+1"), unguard("'Ann'")
    ('=1+1', "'Ann'")
    """
    return _UNGUARDS.sub(r"\1", text)


def guarded(table: pl.DataFrame) -> pl.DataFrame:
    """A table with every text guarded; numbers, dates and the words of an enum stay."""
    return table.with_columns(pl.col(pl.String).str.replace(_GUARDS.pattern, "'$1"))


def unguarded(table: pl.DataFrame) -> pl.DataFrame:
    """The table that :func:`guarded` was given, read back from CSV."""
    return table.with_columns(pl.col(pl.String).str.replace(_UNGUARDS.pattern, "$1"))
