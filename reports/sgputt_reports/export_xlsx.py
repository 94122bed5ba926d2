"""Tables as a workbook: a sheet a table, figures as figures, dates as dates, texts as texts."""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import Any
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

from openpyxl import Workbook
from openpyxl.cell.cell import TYPE_STRING, Cell
from openpyxl.styles import Alignment, Font
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet
from openpyxl.writer.excel import ExcelWriter

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
_MOST_IN_A_NAME = 31
_NOT_TEXT = dict.fromkeys((0xFFFE, 0xFFFF))


def to_workbook(tables: Sequence[Table], document: Document | None = None) -> bytes:
    """A workbook of the tables; the last sheet says what they are, when they are a document's.

    Parameters
    ----------
    tables : sequence of Table
    document : Document, optional
    """
    book = Workbook()
    first = book.active
    assert isinstance(first, Worksheet)
    book.remove(first)
    for table in tables:
        name = table.name.replace("_", " ")[:_MOST_IN_A_NAME]
        _fill(book.create_sheet(name), table)
    if document is not None:
        _say(book.create_sheet(ABOUT), document)
    buffer = io.BytesIO()
    with _Undated(buffer, "w", ZIP_DEFLATED, strict_timestamps=False) as packed:
        ExcelWriter(book, packed).save()
    return buffer.getvalue()


class _Undated(ZipFile):
    """A file that can be packed on a computer whose clock stands before 1980, as packing asks."""

    def writestr(self, zinfo_or_arcname: str | ZipInfo, *others: Any, **named: Any) -> None:
        part = zinfo_or_arcname
        if isinstance(part, str):
            part = ZipInfo(part)
            part.compress_type = self.compression
        super().writestr(part, *others, **named)


def _fill(sheet: Worksheet, table: Table) -> None:
    for at, column in enumerate(table.columns, start=1):
        head = _at(sheet, 1, at)
        _write_text(head, column.title)
        head.font = Font(bold=True)
        head.alignment = Alignment(wrap_text=True, vertical="top")
    rows = table.rows()
    for number, row in enumerate(rows, start=2):
        for at, column in enumerate(table.columns, start=1):
            _write(_at(sheet, number, at), row[column.name], column)
    for at, column in enumerate(table.columns, start=1):
        letter = get_column_letter(at)
        sheet.column_dimensions[letter].width = _width(column, rows)
    sheet.freeze_panes = "A2"
    sheet.auto_filter.ref = sheet.dimensions


def _write(cell: Cell, value: Any, column: Column) -> None:
    if value is None or value == "":
        return
    if column.kind == "text":
        _write_text(cell, str(value))
        cell.alignment = Alignment(wrap_text=len(str(value)) > _WIDEST, vertical="top")
        return
    cell.value = value
    cell.number_format = _FORMATS[column.kind]
    cell.alignment = Alignment(vertical="top")


def _write_text(cell: Cell, text: str) -> None:
    """Text, never a formula, not even when the cell is edited later."""
    safe = fmt.clean(text).translate(_NOT_TEXT)
    cell.value = safe
    cell.data_type = TYPE_STRING
    cell.quotePrefix = guard(safe) != safe


def _width(column: Column, rows: Sequence[dict[str, Any]]) -> float:
    longest_word = max(map(len, column.title.split()), default=0)
    values = (len(shown(row[column.name], column)) for row in rows)
    return min(max(longest_word, *values, 0) + _ROOM, _WIDEST)


def _say(sheet: Worksheet, document: Document) -> None:
    sheet.column_dimensions["A"].width = _ABOUT_WIDTH
    texts = [document.title, *document.lead]
    for heading, paragraphs in document.advice:
        texts += [heading, *paragraphs]
    bold = {document.title, *(heading for heading, _ in document.advice)}
    for number, text in enumerate([*texts, *filter(None, document.notes)], start=1):
        cell = _at(sheet, number, 1)
        _write_text(cell, text)
        cell.alignment = Alignment(wrap_text=True, vertical="top")
        cell.font = Font(bold=text in bold)


def _at(sheet: Worksheet, row: int, column: int) -> Cell:
    cell = sheet.cell(row=row, column=column)
    assert isinstance(cell, Cell)
    return cell
