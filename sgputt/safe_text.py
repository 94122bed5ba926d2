r"""Text from elsewhere made safe: in names, on a terminal, in JSON, on a page, in a spreadsheet.

Signs that cannot be seen (Unicode's default ignorable ones: marks of direction, joiners, blanks of
no width) make two names that look the same; signs that control a screen act on it. A spreadsheet
takes a CSV cell for a formula by its first character. Such text gets an apostrophe in front, and so
does text that has apostrophes in front of such a character already; so taking one off gives back
exactly what was there. A spreadsheet that is told of another separator also finds cells inside a
text, so what follows any of the usual separators is guarded in the same way, also behind quotation
marks, which the spreadsheet takes off.
"""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import polars as pl

# Letters of a player, course or event, wherever one is taken in.
MAX_NAME = 200
_SHOWN_CHARACTERS = 60

# Default_Ignorable_Code_Point of the Unicode Character Database, DerivedCoreProperties.txt; from
# memory. U+FFF9 to U+FFFB mark notes between lines and are as invisible.
_UNSEEN = (
    "\u00ad\u034f\u061c\u115f\u1160\u17b4\u17b5\u180b-\u180f\u200b-\u200f\u202a-\u202e\u2060-\u206f"
    "\u3164\ufe00-\ufe0f\ufeff\uffa0\ufff0-\ufffb\U0001bca0-\U0001bca3\U0001d173-\U0001d17a"
    "\U000e0000-\U000e0fff"
)
# Joiners and variations, which some languages and pictures need between two other signs.
_JOINS = "\u200c\u200d\ufe00-\ufe0f\U000e0020-\U000e007f"
_CONTROLS = "\x00-\x1f\x7f-\x9f\ud800-\udfff\u2028\u2029"
_ANY_UNSEEN = re.compile(f"[{_UNSEEN}]")
_NOT_IN_A_NAME = re.compile(
    f"[{_CONTROLS}]|(?![{_JOINS}])[{_UNSEEN}]|(?:^|(?<=\\s))[{_JOINS}]+|[{_JOINS}]+(?=\\s|$)"
)
_BLANKS = re.compile(r"[\t\n\r\v\f\x1c-\x1f\x85\u2028\u2029]")
_TURNS = re.compile("[\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069\ufeff]")


def clean(text: str) -> str:
    r"""Name or note with spaces collapsed, composed (NFC), without unseen and controlling signs.

    Joiners stay between two other signs, where languages and pictures need them.

    Examples
    --------
    >>> clean(" Ann\x1b\u202e \t Lee\ud83d\u200b\u200d")
    'Ann Lee'
    """
    spaced = " ".join(text.split())
    if spaced.isascii() and spaced.isprintable():
        return spaced
    spaced = unicodedata.normalize("NFC", spaced)
    while (kept := " ".join(_NOT_IN_A_NAME.sub("", spaced).split())) != spaced:
        spaced = kept
    return spaced


def name_key(name: str) -> str:
    r"""What is the same for names that are one: capitals, spaces and unseen signs aside.

    Examples
    --------
    >>> name_key("Zoë  LEE\u200f") == name_key("Zoe\u0308 Lee")
    True
    """
    seen = _ANY_UNSEEN.sub("", clean(name)).casefold()
    return unicodedata.normalize("NFC", " ".join(seen.split()))


def without_accents(text: str) -> str:
    """Text whose letters have lost their accents, as it is typed where a keyboard has none.

    Examples
    --------
    >>> without_accents("éloïse núñez")
    'eloise nunez'
    """
    parts = unicodedata.normalize("NFKD", text)
    return "".join(sign for sign in parts if not unicodedata.combining(sign))


def printable(text: str) -> str:
    r"""Text without signs that could act on a terminal or turn the reading direction.

    Examples
    --------
    >>> printable("Ann\x1b[31m\u202e")
    'Ann\ufffd[31m\ufffd'
    """
    return _without_signs(text, lambda sign: "\N{REPLACEMENT CHARACTER}")


def shown(text: str, most: int = _SHOWN_CHARACTERS) -> str:
    """Text of a file on one line, so that it cannot pass for a message of its own; cut short."""
    flat = " ".join(text.split())
    return flat if len(flat) <= most else f"{flat[:most]}..."


def on_a_line(text: str) -> str:
    """Text as :func:`printable` gives it, on one line: it passes for no message of its own."""
    return printable(text).replace("\n", " ")


def on_a_page(text: str) -> str:
    r"""Text without control characters and without marks that turn the reading direction.

    Examples
    --------
    >>> on_a_page("Ann\u202e\tLee")
    'Ann Lee'
    """
    return _TURNS.sub("", re.sub(f"[{_CONTROLS}]", "", _BLANKS.sub(" ", text)))


def json_text(value: object) -> str:
    r"""A value as JSON; such signs are written as escapes, which stand for the very same text.

    Examples
    --------
    >>> print(json_text("Zoë\x9b\u202e"))
    "Zoë\u009b\u202e"
    """
    text = json.dumps(value, ensure_ascii=False, indent=2, default=str, allow_nan=False)
    return _without_signs(text, lambda sign: json.dumps(sign)[1:-1])


def _without_signs(text: str, instead: Callable[[str], str]) -> str:
    lines = text.split("\n")
    return "\n".join(
        line
        if line.isprintable()
        else "".join(sign if sign.isprintable() else instead(sign) for sign in line)
        for line in lines
    )


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
    import polars as pl  # noqa: PLC0415  (messages are shown before there is a table)

    texts = pl.col(pl.String)
    for pattern, instead in changes:
        texts = texts.str.replace_all(pattern, instead.replace("\\", "$"))
    return table.with_columns(texts)
