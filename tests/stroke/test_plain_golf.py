"""Planted faults of an independent simulator, found from its cards of words.

All sixteen faults over ten seasons each are run by hand (``make calibrate``); here one season each
of four, which differ in cause.
"""

from __future__ import annotations

import io

import polars as pl
import pytest

from sgputt.putts.table import conform_putts
from sgputt.stroke.causes import StrokeCauses, stroke_causes
from tests.stroke.plain_golf import FAULTS, HOLES, PlainGolfer, played

ROUNDS = 30


def putts_of(card: str) -> pl.DataFrame:
    """The putts table of a card's text."""
    rows = pl.read_csv(io.StringIO(card), infer_schema_length=None)
    return conform_putts(
        rows.select(
            pl.col("date").str.to_date(),
            "player",
            "course",
            "hole",
            "putt",
            pl.col("distance").str.strip_suffix(" ft").cast(pl.Float64).alias("distance_ft"),
            "result",
            "slope",
            "break",
            pl.col("miss pace").alias("miss_pace"),
            pl.col("miss side").alias("miss_side"),
            pl.col("stimp").cast(pl.Float64).alias("stimp_ft"),
        )
    )


def found_in(golfer: PlainGolfer, seed: int) -> StrokeCauses:
    return stroke_causes(putts_of(played(golfer, ROUNDS, seed)), ROUNDS * HOLES)


@pytest.mark.parametrize(
    "fault", ["low left to right", "right, much", "short everywhere", "short uphill"]
)
def test_a_planted_fault_is_told_and_found_with_about_its_size(fault: str) -> None:
    golfer, planted, size = FAULTS[fault]
    found = found_in(golfer, 3)
    habits = {(each.habit, each.where): each for each in found.habits}
    assert habits[planted].size == pytest.approx(size, rel=0.4)
    # These greens are steeper than the fit believes, which adds too little break on both sides: a
    # fault of one side may be told of both.
    assert planted[0] in {each.habit for each in found.told}


def test_the_parts_of_a_golfer_without_faults() -> None:
    found = found_in(PlainGolfer(), 1)
    parts = {each.part: each.value for each in found.parts}
    assert parts["direction"] == pytest.approx(1.4, rel=0.25)
    assert parts["pace"] == pytest.approx(0.10, rel=0.15)
