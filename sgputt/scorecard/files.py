"""From a file or bytes to rows of cells, each with its number and, in a workbook, its sheet."""

from __future__ import annotations

import codecs
import csv
import io
import os
import re
import stat
from itertools import islice
from pathlib import Path
from typing import NamedTuple

from sgputt.scorecard.headers import recognised
from sgputt.scorecard.problem import FileError, Ledger

MAX_BYTES = 16 * 1024 * 1024
MAX_ROWS = 100_000
MAX_COLUMNS = 256
# Letters of a cell that are still looked at; a remark is shorter.
MAX_CELL = 5_000
READABLE = "a CSV or .xlsx scorecard"
SEPARATORS = (",", ";", "\t", "|")
# What a cell with a formula that was never worked out reads as: anything but blank.
WITHOUT_VALUE = "a formula without its value"

_LINES_LOOKED_AT = 30
_ZIP = b"PK\x03\x04"
_OLD_WORKBOOK = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
# Absent on Windows, where it is not needed; O_BINARY is absent elsewhere.
_WITHOUT_WAITING = getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
_BOMS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
_QUOTES = 'Close the quote, or type two of them ("") for one inside a quoted cell.'
_LONG = f"{_QUOTES} If there is no quote, check that this is a scorecard."
_RULE = re.compile(r":?-{2,}:?|=+|\+?-+\+?")


class Row(NamedTuple):
    """Number of a row in the file (from 1), its cells as written, its sheet if several are read."""

    number: int
    cells: tuple[str, ...]
    sheet: str | None = None


class Sheet(NamedTuple):
    """Rows that hold anything, of a file of text (without a name) or of one sheet of a workbook."""

    name: str | None
    rows: list[Row]


def read_sheets(source: Path | bytes, sheet: str | None, ledger: Ledger) -> list[Sheet]:
    """The rows of a CSV file, or of the sheets of a workbook (of one, where it is named).

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
        from sgputt.scorecard.workbook import read_workbook  # noqa: PLC0415  (seldom needed)

        return read_workbook(data, sheet)
    return [Sheet(None, split_text(_text_of(data, ledger)))]


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


def too_many_rows() -> FileError:
    """Error for a file of more rows than are read."""
    return FileError(
        f"the file has more than {MAX_ROWS:,} rows",
        f"at most {MAX_ROWS:,} rows",
        "Split it into several files, one a season for instance.",
    )


def too_many_columns(row: int) -> FileError:
    """Error for a row of more cells than are read."""
    return FileError(
        f"there are more than {MAX_COLUMNS} columns",
        f"at most {MAX_COLUMNS} columns",
        "Copy the card into a file or sheet of its own.",
        row,
    )


def too_long(row: int | None) -> FileError:
    """Error for a cell of more letters than are read."""
    return FileError("a cell is far too long", "a scorecard", _LONG, row)


def split_text(text: str) -> list[Row]:
    """Rows that hold anything, numbered by the line on which each begins.

    Raises
    ------
    FileError
        A quote is never closed, a cell is absurdly long, or there are too many rows.
    """
    named = _named_separator(text)
    separator = named or max(SEPARATORS, key=lambda s: _names_found(text, s))
    rows = _split(text, separator)
    if separator == "|":
        rows = _without_frame(rows)
    return rows[1:] if named and rows and rows[0].number == 1 else rows


def _without_frame(rows: list[Row]) -> list[Row]:
    """Rows of a table drawn with pipes, without its edges and rules."""
    left = all(not row.cells[0].strip() for row in rows if len(row.cells) > 1)
    inner = [
        Row(row.number, row.cells[1:] if left and len(row.cells) > 1 else row.cells) for row in rows
    ]
    return [
        row
        for row in inner
        if not all(_RULE.fullmatch(cell.strip()) for cell in row.cells if cell.strip())
    ]


def _named_separator(text: str) -> str | None:
    first = text[:5].casefold()
    return first[4] if first[:4] == "sep=" and first[4:] in SEPARATORS else None


def _names_found(text: str, separator: str) -> int:
    lines = islice(io.StringIO(text, newline=""), _LINES_LOOKED_AT)
    try:
        return max(
            (recognised(cells[:MAX_COLUMNS]) for cells in csv.reader(lines, delimiter=separator)),
            default=0,
        )
    except csv.Error:
        return 0


def _split(text: str, separator: str) -> list[Row]:
    lines = io.StringIO(text, newline="")
    reader = csv.reader(lines, delimiter=separator, strict=True)
    rows: list[Row] = []
    start = 1
    try:
        for cells in reader:
            if cells and any(cell.strip() for cell in cells):
                if any(cell.strip() for cell in cells[MAX_COLUMNS:]):
                    raise too_many_columns(start)
                if max(map(len, cells)) > MAX_CELL:
                    raise too_long(start)
                rows.append(Row(start, tuple(cells[:MAX_COLUMNS])))
                _refuse_swallowed_rows(rows[-1], separator, reader.line_num)
            start = reader.line_num + 1
            if len(rows) > MAX_ROWS:
                raise too_many_rows()
    except csv.Error as exc:
        if "field limit" in str(exc):
            raise too_long(start) from exc
        raise FileError(
            f"the quotes do not match ({exc})", "matching quotes", _QUOTES, start
        ) from exc
    return rows


def _refuse_swallowed_rows(row: Row, separator: str, last_line: int) -> None:
    # A stray quote makes one cell of several rows, which would then vanish into a note.
    if last_line == row.number:
        return
    for cell in row.cells:
        if any(line.count(separator) >= 3 for line in cell.splitlines()[1:]):
            raise FileError(
                "a quoted cell runs over several rows", "matching quotes", _QUOTES, row.number
            )
