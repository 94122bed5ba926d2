"""From a file or bytes to rows of cells, each with its row number."""

from __future__ import annotations

import codecs
import os
import stat
from pathlib import Path

from sgputt.scorecard.delimited import split_text
from sgputt.scorecard.problem import FileError, Ledger
from sgputt.scorecard.row import Row

MAX_BYTES = 16 * 1024 * 1024
READABLE = "a CSV or .xlsx scorecard"

_ZIP = b"PK\x03\x04"
_OLD_WORKBOOK = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
# Absent on Windows, where it is not needed; O_BINARY is absent elsewhere.
_WITHOUT_WAITING = getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
_BOMS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)


def read_rows(source: Path | bytes, sheet: str | None, ledger: Ledger) -> list[Row]:
    """Rows of a CSV file or of one sheet of a workbook, blank rows left out.

    Raises
    ------
    FileError
        The file is missing, too large, empty, or of a kind that cannot be read.
    """
    data = source if isinstance(source, bytes) else bytes_of(source)
    if len(data) > MAX_BYTES:
        raise _too_large()
    if not data.strip():
        raise FileError("the file is empty", READABLE, "Write a blank card and fill it in.")
    if data.startswith(_ZIP):
        from sgputt.scorecard.workbook import read_workbook  # noqa: PLC0415  (openpyxl is slow)

        return read_workbook(data, sheet, ledger)
    return split_text(_text_of(data, ledger))


def name_of(path: Path) -> str:
    """Name of a file as Unicode text, whatever bytes it is made of."""
    return (path.name or str(path)).encode("utf-8", "replace").decode()


def bytes_of(path: Path) -> bytes:
    """Contents of an ordinary file; pipes and devices are refused, for they may never end.

    Raises
    ------
    FileError
        The file is missing, not an ordinary one, too large, or may not be read.
    """
    try:
        # Both: opening a device may act on it, and a pipe may have taken the file's place since.
        _refuse_special(path.stat())
        handle = os.open(path, os.O_RDONLY | _WITHOUT_WAITING)
        with os.fdopen(handle, "rb") as file:
            _refuse_special(os.fstat(handle))
            data = file.read(MAX_BYTES + 1)
    except (FileNotFoundError, NotADirectoryError, ValueError) as exc:
        raise FileError(
            "there is no such file", READABLE, "Check the name and the folder."
        ) from exc
    except OSError as exc:
        reason = exc.strerror or type(exc).__name__
        raise FileError(
            f"the file cannot be read ({reason})", READABLE, "Check that you may open it."
        ) from exc
    if len(data) > MAX_BYTES:
        raise _too_large()
    return data


def _refuse_special(status: os.stat_result) -> None:
    if stat.S_ISDIR(status.st_mode):
        raise FileError("this is a folder", READABLE, "Name a file in it.")
    if not stat.S_ISREG(status.st_mode):
        raise FileError(
            "this is not an ordinary file", READABLE, "Save the card as a file and name that."
        )
    if status.st_size > MAX_BYTES:
        raise _too_large()


def _text_of(data: bytes, ledger: Ledger) -> str:
    if data.startswith(_OLD_WORKBOOK):
        raise FileError(
            "this is a workbook of the old .xls kind", READABLE, "Save it as .xlsx or as CSV."
        )
    text = _decoded(data, ledger)
    if "\0" in text:
        raise _not_text()
    return text


def _decoded(data: bytes, ledger: Ledger) -> str:
    for bom, encoding in _BOMS:
        if data.startswith(bom):
            try:
                return data[len(bom) :].decode(encoding)
            except UnicodeDecodeError as exc:
                raise _not_text() from exc
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        pass
    try:
        text = data.decode("cp1252")
    except UnicodeDecodeError as exc:
        raise _not_text() from exc
    ledger.note("letters read as Windows-1252; save the file as UTF-8 if names look wrong")
    return text


def _not_text() -> FileError:
    return FileError("this is not text", READABLE, "Save the card as CSV (UTF-8) or as .xlsx.")


def _too_large() -> FileError:
    return FileError(
        f"the file is larger than {MAX_BYTES // 1024**2} MiB",
        READABLE,
        "Split it into several files, one a season for instance.",
    )
