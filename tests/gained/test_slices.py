"""Slices of a table: no run is parted, and sums are the same as in one piece."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from itertools import pairwise
from threading import get_ident

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sgputt.baseline.catalogue import get_baseline
from sgputt.errors import RangeError
from sgputt.gained import runs
from sgputt.gained.per_putt import strokes_gained
from sgputt.gained.runs import by_slices
from sgputt.gained.sums import round_sums
from sgputt.putts.table import ROUND_KEY
from sgputt.stroke.invented import InventedGolfer, invented_season

BASELINE = get_baseline()


@given(
    st.lists(st.integers(1, 30), max_size=30),
    st.integers(1, 50),
)
def test_slices_are_the_table_again_and_part_no_run(lengths: list[int], rows: int) -> None:
    player = [f"P{at:02}" for at, length in enumerate(lengths) for _ in range(length)]
    table = pl.DataFrame({"player": player}, schema={"player": pl.String}).with_row_index()
    slices = by_slices(table, ["player"], lambda each: each, rows)
    assert pl.concat(slices).equals(table)
    held = [set(each["player"]) for each in slices]
    assert sum(len(names) for names in held) == len(lengths)
    for each, next_one in pairwise(slices):
        last = each.filter(pl.col("player") == each["player"][-1]).height
        assert each.height >= rows
        assert each.height - last < rows
        assert next_one.height > 0


@given(st.lists(st.tuples(st.integers(0, 3), st.sampled_from("ab")) | st.none(), max_size=12))
def test_rows_are_sorted_unless_they_stand_in_order(rows: list[tuple[int, str] | None]) -> None:
    whole = [row or (None, None) for row in rows]
    table = pl.DataFrame(whole, {"number": pl.Int16, "name": pl.String}, orient="row")
    keys = ["number", "name"]
    table = table.with_row_index()
    in_order = table.sort(keys, maintain_order=True)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(runs, "ROWS_OF_A_SLICE", 4)
        assert runs.in_order(table, keys).equals(in_order)
        if None not in rows:
            assert runs.in_order(in_order, keys) is in_order
        for first in (["number"], keys):
            new = in_order.select(runs.new_run(first)).to_series()
            assert runs.in_order(table, keys, first)[runs.NEW_RUN].to_list() == new.to_list()


def test_a_run_longer_than_a_look_ahead_stays_whole() -> None:
    table = pl.DataFrame({"player": ["A"] * 5 + ["B"] * 5000 + ["C"] * 5})
    heights = by_slices(table, ["player"], lambda each: each.height, rows=7)
    assert heights == [5005, 5]


def test_sums_are_those_of_one_piece_to_the_last_digit_and_made_in_threads() -> None:
    putts = invented_season(InventedGolfer("Ines Varga"), 60, 5, date(2026, 1, 1), every_days=1)
    whole = round_sums(strokes_gained(putts, BASELINE))
    threads = set()

    def work(part: pl.DataFrame) -> pl.DataFrame:
        threads.add(get_ident())
        return round_sums(strokes_gained(part, BASELINE, in_order_already=True))

    parts = by_slices(putts, ROUND_KEY, work, rows=100)
    assert len(parts) > 10
    assert pl.concat(parts).equals(whole)
    assert get_ident() not in threads


def test_reading_ahead_gives_every_table_and_every_error() -> None:
    read = []

    def tables(many: int) -> Iterator[pl.DataFrame]:
        for number in range(many):
            read.append(get_ident())
            yield pl.DataFrame({"number": [number]})
        if many > 3:
            raise ValueError("the fourth is damaged")

    assert [each.item() for each in runs.read_ahead(tables(3))] == [0, 1, 2]
    assert get_ident() not in read and len(read) == 3
    assert list(runs.read_ahead(tables(0))) == []
    with pytest.raises(ValueError, match="the fourth is damaged"):
        list(runs.read_ahead(tables(4)))


def test_an_error_in_a_thread_comes_out() -> None:
    putts = invented_season(InventedGolfer("Ines Varga"), 20, 5, date(2026, 1, 1), every_days=1)
    wrong = putts.with_columns(pl.lit(101.0).alias("distance_ft"))
    with pytest.raises(RangeError, match="101 ft"):
        by_slices(wrong, ROUND_KEY, lambda part: strokes_gained(part, BASELINE), rows=50)
