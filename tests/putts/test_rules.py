"""One set of rules: what a card is refused for, a table and a Parquet file are refused for."""

from __future__ import annotations

import datetime as dt
import re

import polars as pl
import pytest

import sgputt
from sgputt.bulk.putts_files import ROW
from sgputt.errors import TableError
from sgputt.putts.rules import find_faults
from sgputt.putts.table import conform_putts
from sgputt.scorecard import CardOptions, read_scorecard
from tests.bulk.folder import check

DAY = dt.date(2026, 5, 3)
Row = tuple[int, int, float | None, str]
CASES: dict[str, tuple[list[Row], str, str]] = {
    "holed twice": (
        [(1, 1, 9.0, "holed"), (1, 2, 2.0, "holed")],
        "result",
        "hole 1 was over with putt 1 (holed), yet a putt follows",
    ),
    "putts 1 and 4": (
        [(1, 1, 20.0, "missed"), (1, 4, 2.0, "holed")],
        "putt",
        "putt 2 of hole 1 is missing",
    ),
    "a first putt left out": ([(1, 2, 2.0, "holed")], "putt", "putt 1 of hole 1 is missing"),
    "no first length": (
        [(1, 1, None, "holed")],
        "distance_ft",
        "the length of the first putt is not written",
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_the_same_words_everywhere(name: str) -> None:
    rows, column, said = CASES[name]
    text = "hole,putt,distance_ft,result\n"
    text += "".join(f"{h},{n},{'' if d is None else d},{r}\n" for h, n, d, r in rows)
    options = CardOptions(date=DAY, today=dt.date(2026, 6, 1))
    (problem,) = read_scorecard(text.encode(), "card.csv", options).problems
    assert (problem.what, problem.column) == (said, column)

    table = pl.DataFrame(
        [(DAY, "Ada Brook", 1, *row) for row in rows],
        schema=["date", "player", "round", "hole", "putt", "distance_ft", "result"],
        orient="row",
    ).with_columns(pl.col("distance_ft").cast(pl.Float64))
    with pytest.raises(TableError, match=re.escape(said)) as caught:
        sgputt.putts_from(table)
    assert problem.hint in caught.value.hint

    found = check(table.with_row_index(ROW, 1), "putts.parquet").problems
    assert found.select("column", "what", "allowed", "hint").rows() == [
        (column, said, problem.allowed, problem.hint)
    ]


def test_a_table_without_a_fault_has_none() -> None:
    table = pl.DataFrame(
        {
            "date": [DAY] * 2,
            "hole": [1, 1],
            "putt": [1, 2],
            "distance_ft": [20.0, None],
            "result": ["missed", "holed"],
        }
    )
    assert list(find_faults(conform_putts(table))) == []


def test_rows_may_come_in_any_order_and_keep_their_index() -> None:
    table = pl.DataFrame(
        {
            "date": [DAY] * 3,
            "hole": [2, 1, 1],
            "putt": [1, 2, 1],
            "distance_ft": [9.0, 2.0, 20.0],
            "result": ["missed", "holed", "missed"],
            "miss_pace": ["short", "past", "short"],
        }
    )
    (fault,) = find_faults(conform_putts(table))
    assert (fault.at, fault.rule.column) == (1, "miss_pace")
    assert fault.what == "putt 2 was holed, yet a miss is written"
