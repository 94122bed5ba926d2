"""The rules of a row of putts, and how the putts of a hole follow each other.

One list for scorecards, for tables handed in (:func:`sgputt.putts_from`) and for folders of Parquet
putts (``sgputt bulk``), so that what one refuses all refuse, in the same words.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import polars as pl

from sgputt.putts.columns import COLUMN, IN_TABLE, LONGEST_FT, PuttColumn
from sgputt.putts.table import HOLE_KEY, LEAVE_TOLERANCE_FT

EARLIEST_YEAR = 1950
# Columns that `placed` adds.
PLACE, LAST, NEXT_FT, BEFORE, ROW_BEFORE = "place", "last", "next_ft", "putt_before", "row_before"
MISSED = pl.col("result") == "missed"
_GOES_ON = ~pl.col(LAST)

Values = dict[str, Any]


@dataclass(frozen=True, eq=False)
class Rule:
    """A rule of one column, by the rows that break it.

    Attributes
    ----------
    column : str
        What is to blame.
    broken : polars.Expr
        In terms of the putts table and of what :func:`placed` adds; null is not broken.
    allowed, hint : str
        What may stand there, and what to do.
    said : callable
        The fault in words, from the values of the row; empty: that the value is not allowed.
    """

    column: str
    broken: pl.Expr
    allowed: str
    hint: str
    said: Callable[[Values], str] = lambda _: ""


@dataclass(frozen=True)
class Fault:
    """A row that breaks a rule: its index in the table that was handed in, and its values."""

    at: int
    rule: Rule
    values: Values

    @property
    def what(self) -> str:
        """The fault in words."""
        return self.rule.said(self.values) or (
            f"'{_shown(self.values[self.rule.column])}' is not {self.rule.allowed}"
        )


def _shown(value: object) -> str:
    return "" if value is None else f"{value:g}" if isinstance(value, float) else str(value)


def _limits(column: PuttColumn) -> Rule:
    """Within its limits, which a length must be above; null only where that means not known."""
    value = pl.col(column.name)
    least, most = column.least or 0, column.most or 0
    above = column.name == "distance_ft"
    outside = ~value.is_between(least, most, closed="right" if above else "both")
    if column.name == "leave_ft":
        # What is left of a putt that was not missed is the business of another rule.
        outside &= MISSED
    if (column.needed and column.name != "distance_ft") or column.name == "round":
        outside |= value.is_null()
    return Rule(column.name, outside, column.allowed, column.hint)


def _word(column: PuttColumn) -> Rule:
    allowed = f"one of: {', '.join(column.words)}"
    hint = "The words are written in full."
    return Rule(column.name, pl.col(column.name).is_null(), allowed, hint)


def _date() -> Rule:
    date = pl.col("date")
    tomorrow = dt.date.today() + dt.timedelta(days=1)
    outside = date.is_null() | ~date.is_between(dt.date(EARLIEST_YEAR, 1, 1), tomorrow)
    return Rule("date", outside, f"a date from {EARLIEST_YEAR} to today", COLUMN["date"].hint)


def _out_of_line(row: Values) -> str:
    if row[BEFORE] == row["putt"]:
        where = f"in row {row[ROW_BEFORE]} too" if row.get(ROW_BEFORE) is not None else "twice"
        return f"putt {row['putt']} of hole {row['hole']} stands {where}"
    return f"putt {(row[BEFORE] or 0) + 1} of hole {row['hole']} is missing"


def _leave_of_missed(row: Values) -> str:
    left = f"the leave is {row['leave_ft']:g} ft, but "
    if row["leave_ft"] == 0:
        return left + "the putt was missed"
    return f"{left}the next putt is {row[NEXT_FT]:g} ft"


def _miss(name: str) -> Rule:
    said_nothing = pl.col(name).is_null() | pl.col(name).cast(pl.String).is_in(["unknown", "none"])
    return Rule(
        name,
        ~MISSED & ~said_nothing,
        "nothing, as this putt was not missed",
        "Clear it, or count one putt more.",
        lambda row: f"putt {row['putt']} was {row['result']}, yet a miss is written",
    )


_LEAVE = COLUMN["leave_ft"]

VALUES = (
    _date(),
    *(_limits(column) for column in IN_TABLE if column.most is not None),
    *(_word(column) for column in IN_TABLE if column.words and (column.needed or column.default)),
)
ORDER = (
    Rule(
        "putt",
        (pl.col("putt") != pl.col(PLACE))
        & (
            (pl.col("putt") == pl.col(BEFORE)) | (pl.col("putt") != pl.col(BEFORE).fill_null(0) + 1)
        ),
        "the putts of a hole, each once, counted 1, 2, 3",
        "Count the putts of a hole 1, 2, 3, or take out rows written twice; a second round of a "
        "day has another number in the column 'round'.",
        _out_of_line,
    ),
    Rule(
        "distance_ft",
        (pl.col(PLACE) == 1) & pl.col("distance_ft").is_null(),
        "the length of the first putt",
        "Write it (12, 3.7 m, 8 paces); a hole without a putt has no row, or putt 0.",
        lambda _: "the length of the first putt is not written",
    ),
    Rule(
        "result",
        _GOES_ON & ~MISSED,
        "missed, as a putt follows on this hole",
        "Write missed here, or take out the putts after it.",
        lambda row: (
            f"hole {row['hole']} was over with putt {row['putt']} ({row['result']}), "
            "yet a putt follows"
        ),
    ),
    Rule(
        "leave_ft",
        (pl.col("result") == "holed") & (pl.col("leave_ft").abs() > LEAVE_TOLERANCE_FT),
        "0, as the putt was holed",
        _LEAVE.hint,
        lambda row: f"the leave is {row['leave_ft']:g} ft, but nothing is left",
    ),
    Rule(
        "leave_ft",
        MISSED
        & pl.col("leave_ft").is_between(0, LONGEST_FT, closed="right")
        & ((pl.col("leave_ft") - pl.col(NEXT_FT)).abs() > LEAVE_TOLERANCE_FT)
        & _GOES_ON,
        "the length of the next putt",
        _LEAVE.hint,
        _leave_of_missed,
    ),
    Rule(
        "leave_ft",
        MISSED & (pl.col("leave_ft") == 0),
        "a length, as the putt was missed",
        _LEAVE.hint,
        _leave_of_missed,
    ),
    *(_miss(name) for name in ("miss_pace", "miss_side", "cause")),
)
RULES = (*VALUES, *ORDER)


def placed(table: pl.DataFrame, hole: Sequence[str] = HOLE_KEY) -> pl.DataFrame:
    """Rows in the order of their putts, with what the rules of a hole look at.

    Parameters
    ----------
    table : polars.DataFrame
        With ``putt``, ``distance_ft`` and the columns of ``hole``.
    hole : sequence of str
        What makes a hole.

    Returns
    -------
    polars.DataFrame
        ``at`` (the index of each row before), ``place`` within the hole from 1, ``last``, and the
        next length, the number and the row of the putt before.
    """
    ordered = table.with_row_index("at").sort(*hole, "putt", maintain_order=True, nulls_last=True)
    row = pl.col("source_row") if "source_row" in table.columns else pl.lit(None, pl.Int32)
    return ordered.with_columns(
        pl.int_range(1, pl.len() + 1).over(hole).alias(PLACE),
        (pl.int_range(pl.len()).over(hole) == pl.len().over(hole) - 1).alias(LAST),
        pl.col("distance_ft").shift(-1).over(hole).alias(NEXT_FT),
        pl.col("putt").shift(1).over(hole).alias(BEFORE),
        row.shift(1).over(hole).alias(ROW_BEFORE),
    )


def find_faults(
    table: pl.DataFrame, rules: Sequence[Rule] = RULES, hole: Sequence[str] = HOLE_KEY
) -> Iterator[Fault]:
    """Every rule that a row of a table breaks, row by row.

    Parameters
    ----------
    table : polars.DataFrame
        The putts table, or those of its columns that there are.
    rules : sequence of Rule
    hole : sequence of str
        What makes a hole.
    """
    ready = placed(table, hole)
    there = [rule for rule in rules if rule.column in table.columns]
    broken = ready.select(
        "at", *(rule.broken.fill_null(False).alias(str(n)) for n, rule in enumerate(there))
    )
    wrong = broken.filter(pl.any_horizontal(pl.exclude("at")))
    values = {
        row["at"]: row
        for row in ready.filter(pl.col("at").is_in(wrong["at"].implode())).iter_rows(named=True)
    }
    for found in wrong.sort("at").iter_rows(named=True):
        for number, rule in enumerate(there):
            if found[str(number)]:
                yield Fault(found["at"], rule, values[found["at"]])
