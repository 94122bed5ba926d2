"""One sheet of an .xlsx workbook to rows of text."""

from __future__ import annotations

import datetime as dt
import io
import warnings
import zipfile
from collections.abc import Iterable
from contextlib import closing
from typing import Any

from sgputt.scorecard.headers import ROWS_LOOKED_AT
from sgputt.scorecard.problem import FileError, Ledger
from sgputt.scorecard.row import MAX_ROWS, Row, too_many_rows

MAX_UNPACKED_BYTES = 64 * 1024 * 1024
MAX_COLUMNS = 256


def read_workbook(data: bytes, sheet: str | None, ledger: Ledger) -> list[Row]:
    """Rows of the named sheet, or of the first, blank rows left out.

    Raises
    ------
    FileError
        Not a workbook, no such sheet, or larger than is read.
    """
    try:
        _refuse_bombs(data)
        return _rows_of(data, sheet, ledger)
    except FileError:
        raise
    except Exception as exc:  # openpyxl raises almost anything on a damaged workbook
        raise FileError(
            "this is not an .xlsx workbook, or it is damaged",
            "a CSV or .xlsx scorecard",
            "Save the card again as .xlsx or as CSV.",
        ) from exc


def _refuse_bombs(data: bytes) -> None:
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        unpacked = sum(part.file_size for part in packed.infolist())
    if unpacked > MAX_UNPACKED_BYTES:
        raise FileError(
            f"the workbook unpacks to more than {MAX_UNPACKED_BYTES // 1024**2} MiB",
            "a CSV or .xlsx scorecard",
            "Copy the card into a workbook of its own.",
        )


def _rows_of(data: bytes, sheet: str | None, ledger: Ledger) -> list[Row]:
    import openpyxl  # noqa: PLC0415  (slow to import, seldom needed)

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        with closing(
            openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=True)
        ) as book:
            chosen = _chosen(book.sheetnames, sheet, ledger)
            worksheet = book[chosen]
            # The sheet's own claim of its size may be wrong, or huge.
            worksheet.reset_dimensions()
            return _text_rows(worksheet.iter_rows(values_only=True))


def _chosen(names: list[str], sheet: str | None, ledger: Ledger) -> str:
    if sheet is not None and sheet not in names:
        raise FileError(
            f"there is no sheet '{sheet}'",
            f"one of the sheets {', '.join(names)}",
            f"Sheets here: {', '.join(names)}.",
        )
    if sheet is None and len(names) > 1:
        ledger.note(
            f"sheet '{names[0]}' read; not read: {', '.join(names[1:])} (choose one with --sheet)"
        )
    return sheet or names[0]


def _text_rows(values: Iterable[tuple[Any, ...]]) -> list[Row]:
    rows: list[Row] = []
    for number, cells in enumerate(values, start=1):
        if number > MAX_ROWS:
            raise too_many_rows()
        texts = tuple(_text(cell) for cell in cells[:MAX_COLUMNS])
        beyond = cells[MAX_COLUMNS:]
        if beyond.count(None) < len(beyond):
            raise FileError(
                f"the sheet has more than {MAX_COLUMNS} columns",
                f"at most {MAX_COLUMNS} columns",
                "Copy the card into a sheet of its own.",
                number,
            )
        if any(text.strip() for text in texts):
            rows.append(Row(number, texts[: max(i for i, t in enumerate(texts, 1) if t)]))
    return _widened(rows)


def _widened(rows: list[Row]) -> list[Row]:
    # Cells right of the header are then a column without a name, not a fault of their row.
    width = max((len(row.cells) for row in rows), default=0)
    top = [Row(r.number, r.cells + ("",) * (width - len(r.cells))) for r in rows[:ROWS_LOOKED_AT]]
    return top + rows[ROWS_LOOKED_AT:]


def _text(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, dt.datetime):
        return value.date().isoformat()
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return str(value)
