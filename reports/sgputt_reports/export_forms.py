"""Tables and documents as CSV, JSON, Parquet and Markdown."""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Iterator
from datetime import date
from typing import Any

import polars as pl

from sgputt.safe_text import guarded, json_text
from sgputt_reports import format as fmt
from sgputt_reports.tables import Column, Document, Kind, Table, all_figures

_MARKS = re.compile(r"([\\`*_\[\]|~#])")
_LEFT = ("text", "day")
_SPANS = ("distance", "green speed")
_WRITERS: dict[Kind, Callable[[Any], str]] = {
    "gain": fmt.signed,
    "share": fmt.percent,
    "percent": lambda share: f"{fmt.number(100 * share)}\u00a0%",
    "strokes": lambda strokes: fmt.number(strokes, 2),
    "feet": fmt.number,
    "number": fmt.number,
}


def to_csv(table: Table) -> bytes:
    """A table as CSV under the columns' names; no spreadsheet runs a text of it."""
    return guarded(table.frame).write_csv().encode("utf-8")


def document_to_csv(document: Document) -> bytes:
    """The only table of a document as CSV, or the figures of all its tables as one."""
    tables = document.tables
    return to_csv(tables[0] if len(tables) == 1 else all_figures(tables))


def to_parquet(table: Table) -> bytes:
    """A table as Parquet; the words of an enum as text, which every reader takes."""
    buffer = io.BytesIO()
    table.frame.cast({pl.Enum: pl.String}).write_parquet(buffer)
    return buffer.getvalue()


def document_json(document: Document) -> dict[str, Any]:
    """A document's facts, then each table as a list of rows."""
    return {**document.facts, **{table.name: table.rows() for table in document.tables}}


def to_json(value: Any) -> bytes:
    """A value as JSON."""
    return f"{json_text(value)}\n".encode()


def document_to_markdown(document: Document) -> bytes:
    """A document as Markdown: what to do next, the tables, what they mean."""
    parts = [f"# {escaped(document.title)}", *map(escaped, document.lead)]
    for heading, paragraphs in document.advice:
        parts += [f"## {escaped(heading)}", *map(escaped, paragraphs)]
    for table in document.tables:
        parts += _table(table)
    if document.notes:
        parts += ["## What the figures mean", *map(escaped, filter(None, document.notes))]
    return ("\n\n".join(parts) + "\n").encode("utf-8")


def to_markdown(table: Table) -> bytes:
    """One table as Markdown."""
    return ("\n\n".join(_table(table)) + "\n").encode("utf-8")


def _table(table: Table) -> Iterator[str]:
    yield f"## {escaped(table.title)}"
    yield "\n".join(_lines(table))
    if table.note:
        yield escaped(table.note)


def _lines(table: Table) -> Iterator[str]:
    columns = [each for each in table.columns if each.name not in table.prose]
    yield _line(escaped(each.title) for each in columns)
    yield _line("---" if each.kind in _LEFT else "---:" for each in columns)
    for row in table.rows():
        yield _line(escaped(shown(row[each.name], each)) for each in columns)


def _line(cells: Iterator[str]) -> str:
    return f"| {' | '.join(cells)} |"


def shown(value: Any, column: Column) -> str:
    """A value as a reader sees it; a dash for an unknown figure, nothing for an absent word."""
    if value is None:
        return "" if column.kind == "text" else fmt.NONE
    if isinstance(value, date):
        return value.isoformat()
    write = _WRITERS.get(column.kind, str)
    return fmt.tidy(value) if column.name in _SPANS else write(value)


def escaped(text: str) -> str:
    r"""Text that Markdown shows as it is: no mark-up, no HTML, no control characters.

    Examples
    --------
    >>> escaped("a|b <i> *c*")
    'a\\|b &lt;i&gt; \\*c\\*'
    """
    plain = fmt.clean(text).replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    return _MARKS.sub(r"\\\1", plain)
