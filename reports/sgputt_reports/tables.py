"""Tables that leave the house: what each column means, what kind of figure it holds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

import polars as pl
import polars.selectors as cs

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
