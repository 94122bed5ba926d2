"""Planted faults of an independent simulator, found from its cards of words.

Five of its sixteen faults, which differ in cause and place, and golfers without any.
"""

from __future__ import annotations

import io

import numpy as np
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


def found_in(golfer: PlainGolfer, seed: int, mean_grade: float = 0.02) -> StrokeCauses:
    return stroke_causes(putts_of(played(golfer, ROUNDS, seed, mean_grade)), ROUNDS * HOLES)


@pytest.mark.parametrize(
    "fault",
    ["low left to right", "high everywhere", "right, much", "short everywhere", "short uphill"],
)
def test_a_planted_fault_is_told_and_found_with_about_its_size(fault: str) -> None:
    golfer, planted, size = FAULTS[fault]
    found = found_in(golfer, 3)
    told = {(each.habit, each.where): each for each in found.told}
    assert planted in told
    assert told[planted].size == pytest.approx(size, rel=0.4)


@pytest.mark.parametrize("mean_grade", [0.02, 0.025])
def test_a_golfer_without_faults_is_told_of_none_and_has_about_the_right_parts(
    mean_grade: float,
) -> None:
    found = found_in(PlainGolfer(), 1, mean_grade)
    assert found.told == []
    parts = {each.part: each.value for each in found.parts}
    assert parts["direction"] == pytest.approx(1.4, rel=0.25)
    assert parts["pace"] == pytest.approx(0.10, rel=0.15)


def test_its_golfers_without_errors_hole_nearly_everything() -> None:
    """Their aim, found by trial, has come to its end: one that has not misses by yards."""
    card = played(PlainGolfer(aim_deg=0.0, read=0.0, pace=0.0), 10, 2, 0.025)
    putts = putts_of(card).filter(pl.col("putt") == 1)
    assert float(np.mean(putts["result"].to_numpy() == "holed")) > 0.98
