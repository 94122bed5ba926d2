"""Tables with what their columns are, as CSV, JSON, Parquet, Markdown and workbooks."""

from __future__ import annotations

import io
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any, Literal

import polars as pl
import polars.selectors as cs
from xlsxwriter import Workbook
from xlsxwriter.format import Format
from xlsxwriter.worksheet import Worksheet

from sgputt import wording
from sgputt.safe_text import guard, guarded, json_text, on_a_page

# Sums depend on the order in which threads add; further digits would differ from run to run.
_DIGITS = 12

Kind = Literal["text", "day", "count", "number", "feet", "strokes", "gain", "share", "percent"]


@dataclass(frozen=True)
class Column:
    """A column: its name for scripts, its title for readers, and the kind of its values.

    ``gain`` is strokes with a sign, ``strokes`` without; ``share`` and ``percent`` are 0 to
    1, shown in per cent, whole and to a tenth.
    """

    name: str
    title: str
    kind: Kind


_COLUMNS = {
    each.name: each
    for each in (
        Column("table", "table", "text"),
        Column("line", "line", "text"),
        Column("unit", "unit", "text"),
        Column("figure", "figure", "text"),
        Column("which", "which", "text"),
        Column("value", "value", "gain"),
        Column("count", "number", "count"),
        Column("player", "player", "text"),
        Column("date", "date", "day"),
        Column("round", "round", "count"),
        Column("course", "course", "text"),
        Column("event", "event", "text"),
        Column("round_id", "id", "count"),
        Column("holes", "holes", "count"),
        Column("rounds", "rounds", "count"),
        Column("putts", "putts", "count"),
        Column("distance", "distance", "text"),
        Column("slope", "slope", "text"),
        Column("component", "component", "text"),
        Column("per_round", "strokes gained a round", "gain"),
        Column("fair_per_round", "fair, a model", "gain"),
        Column("fair_low", "fair from", "gain"),
        Column("fair_high", "fair to", "gain"),
        Column("low", "90 % from", "gain"),
        Column("high", "90 % to", "gain"),
        Column("shrunk_per_round", "shrunk", "gain"),
        Column("shrunk_low", "shrunk from", "gain"),
        Column("shrunk_high", "shrunk to", "gain"),
        Column("chance_of_loss", "chance of a real loss", "share"),
        Column("rounds_to_tell", "rounds to tell", "count"),
        Column("strokes_gained", "strokes gained", "gain"),
        Column("holing", "holing", "gain"),
        Column("leave", "leave", "gain"),
        Column("not_split", "not split", "gain"),
        Column("conceded", "conceded", "gain"),
        Column("one_putts", "one-putts", "count"),
        Column("three_putts", "three-putts", "count"),
        Column("feet_holed", "feet holed", "feet"),
        Column("first_putt_ft", "first putt, ft", "feet"),
        Column("over", "rounds in the mean", "count"),
        Column("mean", "rolling mean", "gain"),
        Column("quarter_ft", "a quarter", "feet"),
        Column("median_ft", "half", "feet"),
        Column("three_quarters_ft", "three quarters", "feet"),
        Column("nine_tenths_ft", "nine in ten", "feet"),
        Column("made", "made", "count"),
        Column("share", "share", "share"),
        Column("baseline", "baseline", "share"),
        Column("misses", "misses", "count"),
        Column("lost_per_round", "strokes lost a round", "strokes"),
        Column("part", "part", "text"),
        Column("change", "change", "text"),
        Column("rank", "rank", "count"),
        Column("drill", "drill", "text"),
        Column("drill_name", "name of the drill", "text"),
        Column("sets", "sets", "count"),
        Column("last", "last", "day"),
        Column("successes", "successes", "count"),
        Column("rate", "successes", "share"),
        Column("mark", "latest mark", "text"),
        Column("passed", "sets passed", "count"),
        Column("judged", "of sets with a mark", "count"),
        Column("minutes", "minutes", "count"),
        Column("balls", "balls", "count"),
        Column("why", "why", "text"),
        Column("setup", "set-up", "text"),
        Column("do", "what to do", "text"),
        Column("pass_mark", "pass mark", "text"),
        Column("set_up", "set up for you", "text"),
        Column("cause", "cause", "text"),
        Column("habit", "habit", "text"),
        Column("break", "break", "text"),
        Column("default", "a default", "text"),
        Column("told", "more than luck", "text"),
        Column("worth_per_set", "worth a set", "strokes"),
        Column("chance_best", "chance that it is best", "share"),
        Column("worth_per_round", "worth a round", "strokes"),
    )
}


@dataclass(frozen=True)
class Figures:
    """Which columns of a table go into the one table of all figures, for CSV.

    ``line`` names the columns that say what a row is; ``low`` and ``high`` may be absent.
    """

    line: tuple[str, ...]
    value: str
    unit: str
    count: str = ""
    low: str = "low"
    high: str = "high"


@dataclass(frozen=True)
class Table:
    """One table: a name for scripts and sheets, a title, its columns and rows, a word on it.

    ``prose`` names columns of whole sentences, too wide for a table on a page.
    """

    name: str
    title: str
    columns: tuple[Column, ...]
    frame: pl.DataFrame
    note: str = ""
    figures: tuple[Figures, ...] = ()
    prose: tuple[str, ...] = ()

    def rows(self) -> list[dict[str, Any]]:
        """Rows by the names of the columns."""
        return self.frame.to_dicts()


@dataclass(frozen=True)
class Document:
    """Tables with what is said before and behind them.

    Attributes
    ----------
    title : str
    lead : sequence of str
        Paragraphs before the tables; the first says whose and of when.
    advice : sequence of tuple
        A heading and its paragraphs each: what to do next.
    tables : sequence of Table
    notes : sequence of str
        What the figures mean and assume.
    facts : dict
        What stands beside the tables in JSON.
    """

    title: str
    lead: Sequence[str] = ()
    advice: Sequence[tuple[str, Sequence[str]]] = ()
    tables: Sequence[Table] = ()
    notes: Sequence[str] = ()
    facts: Mapping[str, Any] = field(default_factory=dict)


def make_table(
    name: str,
    title: str,
    frame: pl.DataFrame,
    columns: Sequence[str],
    *,
    note: str = "",
    kinds: Mapping[str, Kind] | None = None,
    titles: Mapping[str, str] | None = None,
    figures: Sequence[Figures] = (),
    prose: Sequence[str] = (),
) -> Table:
    """Make a table of those of the columns that the frame has.

    Parameters
    ----------
    name, title : str
    frame : polars.DataFrame
        NaN stands for unknown, as null does.
    columns : sequence of str
        In the order wanted.
    note : str
    kinds, titles : mapping
        Where they differ from what the column usually holds and is called.
    figures : sequence of Figures
        What of it goes into the table of all figures.
    prose : sequence of str
        Columns of whole sentences.
    """
    kinds, titles = kinds or {}, titles or {}
    known = [column for column in columns if column in frame.columns]
    described = tuple(_describe(each, kinds.get(each), titles.get(each)) for each in known)
    steady = frame.select(known).with_columns(
        cs.float().fill_nan(None).round_sig_figs(_DIGITS), cs.enum().cast(pl.String)
    )
    return Table(name, title, described, steady, note, tuple(figures), tuple(prose))


def _describe(name: str, kind: Kind | None, title: str | None) -> Column:
    usual = _COLUMNS.get(name, Column(name, name.replace("_", " "), "text"))
    return Column(name, title or usual.title, kind or usual.kind)


def all_figures(tables: Sequence[Table]) -> Table:
    """One table of the figures of many: ``table, line, count, value, low, high, unit``."""
    parts = [_figures(table, each) for table in tables for each in table.figures]
    columns = ("table", "line", "count", "value", "low", "high", "unit")
    return make_table("figures", "Figures", pl.concat(parts), columns)


def _figures(table: Table, which: Figures) -> pl.DataFrame:
    there = table.frame.columns

    def numbers(name: str, dtype: pl.DataType) -> pl.Expr:
        return (pl.col(name) if name in there else pl.lit(None)).cast(dtype)

    return table.frame.select(
        pl.lit(table.title).alias("table"),
        pl.concat_str(which.line, separator=", ", ignore_nulls=True).alias("line"),
        numbers(which.count, pl.Int64()).alias("count"),
        numbers(which.value, pl.Float64()).alias("value"),
        numbers(which.low, pl.Float64()).alias("low"),
        numbers(which.high, pl.Float64()).alias("high"),
        (pl.col("unit") if "unit" in there else pl.lit(which.unit)).alias("unit"),
    )


_MARKS = re.compile(r"([\\`*_\[\]|~#])")
_LEFT = ("text", "day")
_SPANS = ("distance", "green speed")
_WRITERS: dict[Kind, Callable[[Any], str]] = {
    "gain": wording.signed,
    "share": wording.percent,
    "percent": lambda share: f"{wording.number(100 * share)}\u00a0%",
    "strokes": lambda strokes: wording.number(strokes, 2),
    "feet": wording.number,
    "number": wording.number,
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
        return "" if column.kind == "text" else wording.NONE
    if isinstance(value, date):
        return value.isoformat()
    write = _WRITERS.get(column.kind, str)
    return wording.tidy(value) if column.name in _SPANS else write(value)


def escaped(text: str) -> str:
    r"""Text that Markdown shows as it is: no mark-up, no HTML, no control characters.

    Examples
    --------
    >>> escaped("a|b <i> *c*")
    'a\\|b &lt;i&gt; \\*c\\*'
    """
    plain = on_a_page(text).replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    return _MARKS.sub(r"\\\1", plain)


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
        safe = on_a_page(text).translate(_NOT_TEXT)[:_MOST_IN_A_CELL]
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
