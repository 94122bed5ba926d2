r"""Text that a spreadsheet would run, kept from running in CSV, and back.

A spreadsheet takes a CSV cell for a formula by its first character. Such text gets an apostrophe
in front, and so does text that has apostrophes in front of such a character already; so taking one
off gives back exactly what was there. A spreadsheet that is told of another separator also finds
cells inside a text, so what follows any of the usual separators is guarded in the same way, also
behind quotation marks, which the spreadsheet takes off.
"""

from __future__ import annotations

import re

import polars as pl

_Changes = tuple[tuple[str, str], ...]

# The full-width signs act in some spreadsheets too.
_SIGNS = r"=+\-@＝＋－＠"
_PARTS, _BEFORE = r",;|\t\r\n", "[ \u00a0'\"]*"
_GUARDS = (
    (rf"([{_PARTS}])({_BEFORE}[{_SIGNS}])", r"\1'\2"),
    (rf"^()({_BEFORE}[{_SIGNS}\t\r\n])", r"\1'\2"),
)
_UNGUARDS = (
    (rf"^()'({_BEFORE}[{_SIGNS}\t\r\n])", r"\1\2"),
    (rf"([{_PARTS}])'({_BEFORE}[{_SIGNS}])", r"\1\2"),
)


def guard(text: str) -> str:
    """Text that no spreadsheet runs.

    Examples
    --------
    >>> guard("=1+1"), guard("Ann"), guard("'=1+1")
    ("'=1+1", 'Ann', "''=1+1")
    """
    return _changed(text, _GUARDS)


def unguard(text: str) -> str:
    """The text that :func:`guard` was given.

    Examples
    --------
    >>> unguard("'=1+1"), unguard("'Ann'")
    ('=1+1', "'Ann'")
    """
    # Every cell of a card comes through here, and hardly any has an apostrophe to take off.
    return _changed(text, _UNGUARDS) if "'" in text else text


def guarded(table: pl.DataFrame) -> pl.DataFrame:
    """A table with every text guarded; numbers, dates and the words of an enum stay."""
    return _all_changed(table, _GUARDS)


def unguarded(table: pl.DataFrame) -> pl.DataFrame:
    """The table that :func:`guarded` was given, read back from CSV."""
    return _all_changed(table, _UNGUARDS)


def _changed(text: str, changes: _Changes) -> str:
    for pattern, instead in changes:
        text = re.sub(pattern, instead, text)
    return text


def _all_changed(table: pl.DataFrame, changes: _Changes) -> pl.DataFrame:
    texts = pl.col(pl.String)
    for pattern, instead in changes:
        texts = texts.str.replace_all(pattern, instead.replace("\\", "$"))
    return table.with_columns(texts)
