"""Text from elsewhere, made such that it neither acts on a terminal nor turns what is read."""

from __future__ import annotations

import json
import unicodedata
from collections.abc import Callable

# Letters of a player, course or event, wherever one is taken in.
MAX_NAME = 200
_SHOWN_CHARACTERS = 60
# These turn the letters after them around; the marks that languages need are others.
_TURNS = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\ufeff")


def clean(text: str) -> str:
    r"""Name or note with spaces collapsed, composed (NFC), without what controls a screen.

    Examples
    --------
    >>> clean(" Ann\x1b\u202e \t Lee\ud83d")
    'Ann Lee'
    """
    spaced = unicodedata.normalize("NFC", " ".join(text.split()))
    kept = "".join(
        c for c in spaced if unicodedata.category(c) not in ("Cc", "Cs") and c not in _TURNS
    )
    return " ".join(kept.split())


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
