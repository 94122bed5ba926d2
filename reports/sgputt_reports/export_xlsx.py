"""Tables as a workbook: a sheet a table, figures as figures, dates as dates, texts as texts."""

from __future__ import annotations

import io
from collections.abc import Sequence
from datetime import datetime
from typing import Any

from xlsxwriter import Workbook
from xlsxwriter.format import Format
from xlsxwriter.worksheet import Worksheet

from sgputt.safe_text import guard
from sgputt_reports import format as fmt
from sgputt_reports.export_forms import shown
from sgputt_reports.tables import Column, Document, Kind, Table

ABOUT = "about"
_FORMATS: dict[Kind, str] = {
    "day": "yyyy-mm-dd",
    "count": "0",
    "number": "0.0",
    "feet": "0.0",
    "strokes": "0.00",
    "gain": "+0.00;-0.00;0.00",
    "share": "0%",
    "percent": "0.0%",
}
_WIDEST, _ROOM, _ABOUT_WIDTH = 60, 3, 100
# Of a long table so many rows say how wide a column is.
_ROWS_MEASURED = 1000
_MOST_IN_A_NAME = 31
# The most that a cell of a workbook holds (ECMA-376).
_MOST_IN_A_CELL = 32767
_NOT_TEXT = dict.fromkeys((0xFFFE, 0xFFFF))
# Written into every file, so that the same tables give the same bytes.
_MADE = datetime(2026, 1, 1)


def to_workbook(tables: Sequence[Table], document: Document | None = None) -> bytes:
    """A workbook of the tables; the last sheet says what they are, when they are a document's.

    Parameters
    ----------
    tables : sequence of Table
    document : Document, optional
    """
    buffer = io.BytesIO()
    # Rows are written out as they come: a long table takes no more memory than a short one.
    with Workbook(buffer, {"constant_memory": True, "strings_to_numbers": False}) as book:
        book.set_properties({"created": _MADE})
        cells = _Cells(book)
        for table in tables:
            name = table.name.replace("_", " ")[:_MOST_IN_A_NAME]
            _fill(book.add_worksheet(name), table, cells)
        if document is not None:
            _say(book.add_worksheet(ABOUT), document, cells)
    return buffer.getvalue()


class _Cells:
    """Writes cells of one workbook; texts are never formulas, not even when edited later."""

    def __init__(self, book: Workbook) -> None:
        self._book = book
        self._formats: dict[tuple[Any, ...], Format] = {}

    def text(
        self, sheet: Worksheet, row: int, at: int, text: str, bold: bool = False, wrap: bool = False
    ) -> None:
        safe = fmt.clean(text).translate(_NOT_TEXT)[:_MOST_IN_A_CELL]
        look = self._format(bold=bold, text_wrap=wrap, quote_prefix=guard(safe) != safe)
        if safe:
            sheet.write_string(row, at, safe, look)

    def value(self, sheet: Worksheet, row: int, at: int, value: Any, column: Column) -> None:
        if value is None:
            return
        if column.kind == "text":
            self.text(sheet, row, at, str(value), wrap=len(str(value)) > _WIDEST)
            return
        write = sheet.write_datetime if column.kind == "day" else sheet.write_number
        write(row, at, value, self._format(num_format=_FORMATS[column.kind]))

    def _format(self, **facts: Any) -> Format:
        key = tuple(sorted(facts.items()))
        if key not in self._formats:
            told = {name: value for name, value in facts.items() if value}
            self._formats[key] = self._book.add_format({"valign": "top", **told})
        return self._formats[key]


def _fill(sheet: Worksheet, table: Table, cells: _Cells) -> None:
    rows = table.rows()
    for at, column in enumerate(table.columns):
        sheet.set_column(at, at, _width(column, rows[:_ROWS_MEASURED]))
    for at, column in enumerate(table.columns):
        cells.text(sheet, 0, at, column.title, bold=True, wrap=True)
    for number, row in enumerate(rows, start=1):
        for at, column in enumerate(table.columns):
            cells.value(sheet, number, at, row[column.name], column)
    sheet.freeze_panes(1, 0)
    sheet.autofilter(0, 0, len(rows), max(len(table.columns) - 1, 0))


def _width(column: Column, rows: Sequence[dict[str, Any]]) -> float:
    longest_word = max(map(len, column.title.split()), default=0)
    values = (len(shown(row[column.name], column)) for row in rows)
    return min(max(longest_word, *values, 0) + _ROOM, _WIDEST)


def _say(sheet: Worksheet, document: Document, cells: _Cells) -> None:
    sheet.set_column(0, 0, _ABOUT_WIDTH)
    texts = [document.title, *document.lead]
    for heading, paragraphs in document.advice:
        texts += [heading, *paragraphs]
    bold = {document.title, *(heading for heading, _ in document.advice)}
    for number, text in enumerate([*texts, *filter(None, document.notes)]):
        cells.text(sheet, number, 0, text, bold=text in bold, wrap=True)
