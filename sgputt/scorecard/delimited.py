"""CSV text to rows: finds the separator, keeps the line numbers of an editor."""

from __future__ import annotations

import csv
import io
from itertools import islice

from sgputt.scorecard.headers import recognised
from sgputt.scorecard.problem import FileError
from sgputt.scorecard.row import MAX_COLUMNS, MAX_ROWS, Row, too_many_columns, too_many_rows

SEPARATORS = (",", ";", "\t")
_LINES_LOOKED_AT = 30
_QUOTES = 'Close the quote, or type two of them ("") for one inside a quoted cell.'
_LONG = f"{_QUOTES} If there is no quote, check that this is a scorecard."


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
    return rows[1:] if named and rows and rows[0].number == 1 else rows


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
                rows.append(Row(start, tuple(cells[:MAX_COLUMNS])))
                _refuse_swallowed_rows(rows[-1], separator, reader.line_num)
            start = reader.line_num + 1
            if len(rows) > MAX_ROWS:
                raise too_many_rows()
    except csv.Error as exc:
        if "field limit" in str(exc):
            raise FileError("a cell is far too long", "a CSV scorecard", _LONG, start) from exc
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
