"""Every rule of a row of putts, and what is left out for it."""

from __future__ import annotations

from datetime import date
from typing import Any

import polars as pl
import pytest

from sgputt.bulk.putts_files import MOST_LISTED, NO_SQUAD, ROW
from sgputt.putts.table import PUTTS_SCHEMA
from tests.bulk.folder import Checked, check, spoilt

DAY = date(2026, 5, 3)
COLUMNS = ("player", "date", "round", "hole", "putt", "distance_ft", "leave_ft", "result")
# Two rounds: rows 1 to 4, and rows 5 and 6.
ROWS = [
    ("Ada Brook", DAY, 1, 1, 1, 20.0, 3.0, "missed"),
    ("Ada Brook", DAY, 1, 1, 2, 3.0, 0.0, "holed"),
    ("Ada Brook", DAY, 1, 2, 1, 8.0, 0.0, "holed"),
    ("Ada Brook", DAY, 1, 3, 1, 9.0, None, "conceded"),
    ("Tom Vale", DAY, 1, 1, 1, 30.0, 2.0, "missed"),
    ("Tom Vale", DAY, 1, 1, 2, 2.0, 0.0, "holed"),
]


def table() -> pl.DataFrame:
    schema = {name: PUTTS_SCHEMA[name] for name in COLUMNS}
    rows = pl.DataFrame(ROWS, schema=schema, orient="row")
    return rows.with_columns(pl.col("result").cast(pl.String))


def checked(rows: pl.DataFrame, holes_alone: bool = False) -> Checked:
    return check(rows.with_row_index(ROW, 1), "putts.parquet", holes_alone)


def test_nothing_wrong() -> None:
    found = checked(table())
    assert found.found == 0 and found.problems.is_empty()
    assert found.good.height == 6
    assert found.good["squad"].unique().to_list() == [NO_SQUAD]
    assert found.good["slope"].unique().to_list() == ["unknown"]


@pytest.mark.parametrize(
    ("row", "column", "value", "stood"),
    [
        (3, "date", None, ""),
        (3, "date", "3.5.2026", "3.5.2026"),
        (3, "round", 0, "0"),
        (3, "hole", None, ""),
        (3, "hole", 0, "0"),
        (3, "putt", None, ""),
        (3, "putt", 2, "2"),
        (2, "putt", 1, "1"),
        (3, "distance_ft", 0.0, "0.0"),
        (3, "distance_ft", -4.0, "-4.0"),
        (3, "distance_ft", 100.5, "100.5"),
        (3, "distance_ft", float("inf"), "inf"),
        (1, "leave_ft", 0.0, "0.0"),
        (1, "leave_ft", 300.0, "300.0"),
        (1, "leave_ft", 4.0, "4.0"),
        (3, "leave_ft", 2.0, "2.0"),
        (3, "result", None, ""),
        (3, "result", "made", "made"),
        (1, "result", "holed", "holed"),
        (1, "result", "conceded", "conceded"),
    ],
)
def test_what_breaks_a_rule_is_said_and_its_round_left_out(
    row: int, column: str, value: Any, stood: str
) -> None:
    found = checked(spoilt(table(), row, column, value))
    said = found.problems.filter(pl.col("row") == row, pl.col("column") == column)
    assert said.height == 1, found.problems
    told = said.row(0, named=True)
    assert (told["file"], told["value"]) == ("putts.parquet", stood)
    assert told["allowed"] and told["hint"].endswith(".")
    # A row without its date cannot be told to be of the round.
    whole = {"date": 5, "round": 5}.get(column, 2)
    assert found.good.height == whole
    assert found.good["player"].unique().to_list()[-1] != "Ada Brook" or whole == 5


def test_only_the_hole_when_asked_for() -> None:
    found = checked(spoilt(table(), 1, "distance_ft", -1.0), holes_alone=True)
    assert found.good.select("player", "hole").rows() == [
        ("Ada Brook", 2),
        ("Ada Brook", 3),
        ("Tom Vale", 1),
        ("Tom Vale", 1),
    ]


@pytest.mark.parametrize(
    ("column", "kind", "bad"),
    [
        ("hole", pl.Float64, 1.5),
        ("hole", pl.String, "one"),
        ("putt", pl.Int64, 10**6),
        ("distance_ft", pl.String, "8 feet"),
        ("date", pl.String, "3/5/2026"),
        ("result", pl.Categorical, "in"),
    ],
)
def test_columns_of_other_types(column: str, kind: type[pl.DataType], bad: Any) -> None:
    """Read where every value fits, and said where one does not."""
    rows = table().with_columns(pl.col(column).cast(kind))
    assert checked(rows).good.equals(checked(table()).good)
    found = checked(spoilt(rows, 3, column, bad))
    said = found.problems.filter(column=column).row(0, named=True)
    assert (said["row"], said["value"]) == (3, str(bad))


@pytest.mark.parametrize("kind", [pl.Int32, pl.Int64, pl.Float64, pl.String])
def test_a_date_written_as_a_number_is_not_guessed_at(kind: type[pl.DataType]) -> None:
    """20260503 was read as a day in the year 57441."""
    rows = table().with_columns(date=pl.lit(20260503).cast(kind))
    found = checked(rows)
    assert found.good.is_empty() and found.found == rows.height
    assert found.problems["value"][0].startswith("20260503")
    assert "2026-05-03" in found.problems["hint"][0]


def test_dates_in_other_columns_that_hold_dates() -> None:
    for kind in (pl.String, pl.Categorical, pl.Datetime("us"), pl.Datetime("ms", "UTC")):
        text = isinstance(kind, type)
        other = table().with_columns(
            pl.col("date").cast(pl.String).cast(kind) if text else pl.col("date").cast(kind)
        )
        assert checked(other).good.equals(checked(table()).good), kind


def test_not_a_number_means_not_written() -> None:
    nan = spoilt(table().drop("leave_ft"), 2, "distance_ft", float("nan"))
    null = spoilt(table().drop("leave_ft"), 2, "distance_ft", None)
    assert checked(nan).found == 0
    assert checked(nan).good.equals(checked(null).good)


def test_leaves_from_the_next_putt() -> None:
    without = checked(table().drop("leave_ft")).good
    assert without["leave_ft"].to_list() == [3.0, 0.0, 0.0, None, 2.0, 0.0]


def test_any_order_of_rows() -> None:
    shuffled = table().with_row_index(ROW, 1).sample(fraction=1, shuffle=True, seed=3)
    assert check(shuffled, "x").good.equals(checked(table()).good)


def test_one_squad_a_round() -> None:
    rows = table().with_columns(squad=pl.Series(["a", "a", "b", "a", "b", "b"]))
    found = checked(rows)
    assert found.problems["column"].unique().to_list() == ["squad"]
    assert found.good["squad"].to_list() == ["b", "b"]


def test_many_problems_are_counted_and_the_first_listed() -> None:
    rows = pl.concat([table().with_columns(player=pl.lit(f"P{n}")) for n in range(150)])
    rows = rows.with_columns(pl.col("distance_ft") * -1)
    found = checked(rows)
    assert found.found > 150
    assert found.problems.filter(column="distance_ft").height == MOST_LISTED
    assert found.good.is_empty()
