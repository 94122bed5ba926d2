"""Streams that take any text: closed ones, and those of a locale with few letters."""

from __future__ import annotations

import codecs
import io
import os
import sys

_ERRORS = "sgputt"
_ASCII = "sgputt_ascii"
# A minus that became a question mark would be another figure.
_PLAINLY = {
    "\N{MINUS SIGN}": "-",
    "\N{EN DASH}": "-",
    "\N{NO-BREAK SPACE}": " ",
    "\N{RIGHT SINGLE QUOTATION MARK}": "'",
}


def accept_any_text() -> None:
    """Let stdout and stderr take any text; what a stream's letters cannot say is a ``?``."""
    codecs.register_error(_ERRORS, _instead)
    codecs.register(_find_ascii)
    for name in ("stdout", "stderr"):
        stream = getattr(sys, name)
        if stream is None:
            setattr(sys, name, open(os.devnull, "w", encoding="utf-8"))  # noqa: PTH123, SIM115
        elif isinstance(stream, io.TextIOWrapper):
            ascii_only = codecs.lookup(stream.encoding).name == "ascii"
            stream.reconfigure(encoding=_ASCII if ascii_only else None, errors=_ERRORS)


def _find_ascii(name: str) -> codecs.CodecInfo | None:
    """ASCII by another name: what is called so click takes for a mistake and writes UTF-8."""
    if name != _ASCII:
        return None
    ascii_ = codecs.lookup("ascii")
    return codecs.CodecInfo(
        ascii_.encode,
        ascii_.decode,
        ascii_.streamreader,
        ascii_.streamwriter,
        ascii_.incrementalencoder,
        ascii_.incrementaldecoder,
        name=_ASCII,
    )


def _instead(error: UnicodeError) -> tuple[str, int]:
    assert isinstance(error, UnicodeEncodeError)
    said = error.object[error.start : error.end]
    return "".join(_PLAINLY.get(sign, "?") for sign in said), error.end
