"""Streams that take any text: closed ones, and those of a locale with few letters."""

from __future__ import annotations

import codecs
import io
import os
import sys

_ERRORS = "sgputt"
# A minus that became a question mark would be another figure.
_PLAINLY = {
    "\N{MINUS SIGN}": "-",
    "\N{EN DASH}": "-",
    "\N{NO-BREAK SPACE}": " ",
    "\N{RIGHT SINGLE QUOTATION MARK}": "'",
}


def make_fit() -> None:
    """Let stdout and stderr take any text; what a stream's letters cannot say is a ``?``."""
    codecs.register_error(_ERRORS, _instead)
    for name in ("stdout", "stderr"):
        stream = getattr(sys, name)
        if stream is None:
            setattr(sys, name, open(os.devnull, "w", encoding="utf-8"))  # noqa: PTH123, SIM115
        elif isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors=_ERRORS)


def _instead(error: UnicodeError) -> tuple[str, int]:
    assert isinstance(error, UnicodeEncodeError)
    said = error.object[error.start : error.end]
    return "".join(_PLAINLY.get(sign, "?") for sign in said), error.end
