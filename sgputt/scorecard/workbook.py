"""One sheet of an .xlsx workbook to rows of text."""

from __future__ import annotations

import datetime as dt
import io
import warnings
from collections.abc import Iterable
from contextlib import closing
from typing import Any

from sgputt.scorecard.headers import ROWS_LOOKED_AT
from sgputt.scorecard.problem import FileError, Ledger
from sgputt.scorecard.row import (
    MAX_COLUMNS,
    MAX_ROWS,
    WITHOUT_VALUE,
    Row,
    too_many_columns,
    too_many_rows,
)
from sgputt.scorecard.unpacked import safely_packed

# As many as spreadsheets have; most may be blank and formatted.
_LAST_ROW = 1_048_576
_MAX_CELLS = 10_000_000


def read_workbook(data: bytes, sheet: str | None, ledger: Ledger) -> list[Row]:
    """Rows of the named sheet, or of the first, blank rows left out.

    Raises
    ------
    FileError
        Not a workbook, no such sheet, or larger than is read.
    """
    try:
        return _rows_of(*safely_packed(data), sheet, ledger)
    except FileError:
        raise
    except Exception as exc:  # openpyxl raises almost anything on a damaged workbook
        raise FileError(
            "this is not an .xlsx workbook, or it is damaged",
            "a CSV or .xlsx scorecard",
            "Save the card again as .xlsx or as CSV.",
        ) from exc


def _rows_of(
    data: bytes, without_value: dict[str, set[str]], sheet: str | None, ledger: Ledger
) -> list[Row]:
    import openpyxl  # noqa: PLC0415  (slow to import, seldom needed)
    from openpyxl.utils.cell import coordinate_to_tuple  # noqa: PLC0415

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        with closing(
            openpyxl.load_workbook(
                io.BytesIO(data), read_only=True, data_only=True, keep_links=False
            )
        ) as book:
            chosen = _chosen([each.title for each in book.worksheets], sheet, ledger)
            worksheet = book[chosen]
            # The sheet's own claim of its size may be wrong, or huge.
            worksheet.reset_dimensions()
            places = without_value.get(str(getattr(worksheet, "_worksheet_path", "")), set())
            formulas = {coordinate_to_tuple(place) for place in places}
            return _text_rows(worksheet.iter_rows(values_only=True), formulas)


def _chosen(names: list[str], sheet: str | None, ledger: Ledger) -> str:
    if not names:
        raise FileError(
            "the workbook has no sheet with cells",
            "a CSV or .xlsx scorecard",
            "Save the card again as .xlsx or as CSV.",
        )
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


def _text_rows(values: Iterable[tuple[Any, ...]], without_value: set[tuple[int, int]]) -> list[Row]:
    rows: list[Row] = []
    seen = 0
    for number, cells in enumerate(values, start=1):
        seen += len(cells)
        texts = tuple(
            WITHOUT_VALUE if (number, column) in without_value else _text(cell)
            for column, cell in enumerate(cells[:MAX_COLUMNS], start=1)
        )
        beyond = cells[MAX_COLUMNS:]
        if beyond.count(None) < len(beyond):
            raise too_many_columns(number)
        if any(text.strip() for text in texts):
            rows.append(Row(number, texts[: max(i for i, t in enumerate(texts, 1) if t)]))
        if len(rows) > MAX_ROWS or number > _LAST_ROW or seen > _MAX_CELLS:
            raise too_many_rows()
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
