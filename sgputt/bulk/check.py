"""Checking rows of putts: those that break no rule, and what is wrong with the others."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import polars as pl

from sgputt.bulk.putts_files import NAMES, PUTTS, ROW, SQUAD
from sgputt.gained.runs import first_rows, in_order, new_run, run_of
from sgputt.putts.rules import BEFORE, LAST, MISSED, NEXT_FT, ORDER, PLACE, VALUES, Rule
from sgputt.putts.table import DEFAULTS, HOLE_KEY, PUTT_KEY, PUTTS_SCHEMA, ROUND_KEY
from sgputt.safe_text import MAX_NAME, shown

PROBLEMS_SCHEMA: dict[str, pl.DataType] = {
    "file": pl.String(),
    "row": pl.Int64(),
    "column": pl.String(),
    "value": pl.String(),
    "what": pl.String(),
    "allowed": pl.String(),
    "hint": pl.String(),
}
NO_SQUAD = "all players"
# Further rows of a file that break the same rule are counted, not listed.
MOST_LISTED = 100


# Of the rules of the putts table, those of the columns that are read here.
RULES = (
    *(
        Rule(
            name,
            pl.col(f"unfit {name}") | (pl.col(name).str.len_chars() > MAX_NAME),
            f"a name of up to {MAX_NAME} letters",
            "Shorten it.",
        )
        for name in NAMES
    ),
    *(rule for rule in (*VALUES, *ORDER) if rule.column in PUTTS),
    Rule(
        SQUAD,
        pl.col("same_round") & (pl.col(SQUAD) != pl.col(SQUAD).shift(1)),
        "one squad a round",
        "Give all putts of the round the same squad.",
    ),
)


@dataclass(frozen=True)
class Checked:
    """Rows that can be used, and what is wrong with the others.

    Attributes
    ----------
    good : polars.DataFrame
        The columns of the putts table that strokes gained need, ``squad`` and ``row``, sorted by
        player, date, round, hole and putt.
    problems : polars.DataFrame
        Columns of :data:`PROBLEMS_SCHEMA`.
    found : int
        Problems, also those not listed.
    read : int
        Rows looked at.
    """

    good: pl.DataFrame
    problems: pl.DataFrame
    found: int
    read: int


def check(rows: pl.DataFrame, file: str, holes_alone: bool = False) -> Checked:
    """Check rows; a round with a problem is left out whole, or only its holes that have one.

    Parameters
    ----------
    rows : polars.DataFrame
        From :func:`sgputt.bulk.putts_files.read_slices`.
    file : str
        Name to give the file in problems.
    holes_alone : bool
        Leave out only holes with a problem.
    """
    table = _placed(in_order(_typed(rows), PUTT_KEY))
    broken = table.select(_broken(rule).alias(str(at)) for at, rule in enumerate(RULES))
    counts = broken.sum().row(0)
    if not any(counts):
        return Checked(_good(table), pl.DataFrame(schema=PROBLEMS_SCHEMA), 0, rows.height)
    problems = [
        _listed(rule, table.filter(broken[str(at)]), rows, file)
        for at, rule in enumerate(RULES)
        if counts[at]
    ]
    wrong = table.filter(broken.select(pl.any_horizontal(pl.all())).to_series())
    keys = HOLE_KEY if holes_alone else ROUND_KEY
    kept = table.join(wrong, on=keys, how="anti", nulls_equal=True, maintain_order="left")
    return Checked(_good(kept), pl.concat(problems).sort("row"), sum(counts), rows.height)


def _broken(rule: Rule) -> pl.Expr:
    broken = rule.broken.fill_null(False)
    # A value that did not take its type is null by now.
    return pl.col(_unfit(rule.column)) | broken if rule in VALUES else broken


def _unfit(name: str) -> str:
    """Column that says where a value did not take its type."""
    return f"unfit {name}"


def no_rows() -> pl.DataFrame:
    """What is good of a file that is not."""
    return _good(_placed(_typed(pl.DataFrame(schema={ROW: pl.UInt32()}))))


def _typed(rows: pl.DataFrame) -> pl.DataFrame:
    """Every column with its type, and beside it where a value did not take it."""
    columns = [pl.col(ROW).cast(pl.Int64)]
    for name in (*PUTTS, SQUAD):
        kind = PUTTS_SCHEMA.get(name, pl.String())
        default = NO_SQUAD if name == SQUAD else DEFAULTS.get(name)
        given = pl.col(name) if name in rows.columns else pl.lit(None, kind)
        value = _cast(given, rows.schema.get(name, kind), kind)
        columns.append((value.is_null() & given.is_not_null()).alias(_unfit(name)))
        columns.append(value.fill_null(default).alias(name) if default else value.alias(name))
    return rows.select(columns).with_columns(pl.col("distance_ft", "leave_ft").fill_nan(None))


def _cast(given: pl.Expr, was: pl.DataType, kind: pl.DataType) -> pl.Expr:
    """Values in their type; null where they do not fit it."""
    if was == kind:
        return given
    if isinstance(kind, pl.Enum):
        return given.cast(pl.String, strict=False).cast(kind, strict=False)
    if kind == pl.Date:
        # A number would be taken for days since 1970: 20260503 for a day in the year 57441.
        if isinstance(was, pl.Datetime):
            return given.dt.date()
        return given.cast(pl.String, strict=False).str.to_date("%Y-%m-%d", strict=False)
    value = given.cast(kind, strict=False)
    if kind.is_integer():
        whole = value.cast(pl.Float64) == given.cast(pl.Float64, strict=False)
        return pl.when(whole).then(value)
    return value


def _placed(table: pl.DataFrame) -> pl.DataFrame:
    """Add each putt's place in its hole, from 1, whether it is the last, and what follows it."""
    run = run_of(table, HOLE_KEY)
    return table.with_columns(
        pl.Series(PLACE, np.arange(table.height) - first_rows(run)[run] + 1),
        pl.Series(LAST, np.diff(run, append=-1) != 0),
        pl.col("distance_ft").shift(-1).alias(NEXT_FT),
        pl.when(~new_run(HOLE_KEY)).then(pl.col("putt").shift(1)).alias(BEFORE),
        (~new_run(ROUND_KEY)).alias("same_round"),
    )


def _good(table: pl.DataFrame) -> pl.DataFrame:
    """The columns for strokes gained; a leave that was not written is the next putt's length."""
    left = pl.coalesce("leave_ft", pl.when(~pl.col(LAST)).then(NEXT_FT))
    leave = pl.when(pl.col("result") == "holed").then(0.0).when(MISSED).then(left)
    return table.with_columns(leave.alias("leave_ft")).select(*PUTTS, SQUAD, ROW)


def _listed(rule: Rule, wrong: pl.DataFrame, given: pl.DataFrame, file: str) -> pl.DataFrame:
    """The first of the rows that break a rule, with what stood there and the fault in words."""
    first = wrong.sort(ROW).head(MOST_LISTED)
    at = given[ROW].cast(pl.Int64)
    there = given.filter(at.is_in(first[ROW].implode())).sort(ROW)
    value = pl.col(rule.column) if rule.column in given.columns else pl.lit(None)
    stood = there.select(value.cast(pl.String, strict=False).fill_null("")).to_series()
    return pl.DataFrame(
        [
            (file, row[ROW], rule.column, shown(text), rule.said(row), rule.allowed, rule.hint)
            for row, text in zip(first.iter_rows(named=True), stood, strict=True)
        ],
        schema=PROBLEMS_SCHEMA,
        orient="row",
    )
