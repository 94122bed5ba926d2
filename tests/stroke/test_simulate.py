"""Invented seasons: the same again from the same seed, and valid by the rules of the table."""

from __future__ import annotations

from datetime import date

import numpy as np
import polars as pl
import pytest
from polars.testing import assert_frame_equal

from sgputt.putts.table import PUTTS_SCHEMA
from sgputt.stroke.model import Stroke, make_share
from sgputt.stroke.simulate import Golfer, Weakness, season

START = date(2026, 3, 14)
GOLFER = Golfer("Ada Brook", Stroke())
HOLE = ["date", "round", "hole"]


@pytest.fixture(scope="module")
def putts() -> pl.DataFrame:
    return season(GOLFER, rounds=40, seed=3, start=START)


def test_the_same_seed_gives_the_same_season(putts: pl.DataFrame) -> None:
    assert_frame_equal(putts, season(GOLFER, rounds=40, seed=3, start=START))
    assert not putts.equals(season(GOLFER, rounds=40, seed=4, start=START))


def test_it_has_the_shape_of_the_putts_table(putts: pl.DataFrame) -> None:
    assert dict(putts.schema) == PUTTS_SCHEMA
    assert putts["date"].unique().len() == 40
    assert (putts["date"].max(), putts["date"].min()) == (date(2026, 11, 3), START)
    assert putts["hole"].is_between(1, 18).all()
    required = ["player", "course", "distance_ft", "result", "leave_ft", "slope", "break"]
    assert putts.select(pl.col(required).null_count()).sum_horizontal().item() == 0


def test_a_hole_ends_with_its_one_holed_putt(putts: pl.DataFrame) -> None:
    ordered = putts.sort(*HOLE, "putt")
    holes = ordered.group_by(HOLE).agg(
        (pl.col("result") == "holed").sum().alias("holed"),
        pl.col("result").last().alias("last"),
        pl.col("putt").cast(pl.Int64).sort().eq(pl.int_range(1, pl.len() + 1)).all().alias("run"),
    )
    assert (holes["holed"] == 1).all()
    assert (holes["last"] == "holed").all()
    assert holes["run"].all()


def test_what_is_left_is_the_next_putt(putts: pl.DataFrame) -> None:
    following = pl.col("distance_ft").shift(-1).over(HOLE, order_by="putt")
    misses = putts.with_columns(following.alias("next")).filter(pl.col("result") == "missed")
    assert misses.height > 100
    assert misses["next"].to_list() == misses["leave_ft"].to_list()
    holed = putts.filter(pl.col("result") == "holed")
    assert (holed["leave_ft"] == 0).all()
    assert holed["miss_pace"].null_count() == holed["miss_side"].null_count() == holed.height


def test_lengths_are_written_to_a_tenth(putts: pl.DataFrame) -> None:
    tenths = putts["distance_ft"].to_numpy() * 10
    assert np.abs(tenths - np.round(tenths)).max() < 1e-9
    assert tenths.min() >= 1


def test_some_holes_need_no_putt(putts: pl.DataFrame) -> None:
    # 1.5 % of 720 holes: about 11, and 1 to 26 in all but one season of 10,000.
    missing = 40 * 18 - putts.select(pl.struct(HOLE).n_unique()).item()
    assert 1 <= missing <= 26


def test_makes_come_as_often_as_the_model_says() -> None:
    # Level putts only: the slopes have their own spread. 4.5 standard errors, fixed seed.
    level = season(GOLFER, rounds=600, seed=1, start=START).filter(
        (pl.col("slope") == "level") & (pl.col("putt") < 6)
    )
    share = make_share(Stroke(), level["distance_ft"].to_numpy())
    made = (level["result"] == "holed").to_numpy()
    assert abs(made.sum() - share.sum()) < 4.5 * np.sqrt((share * (1 - share)).sum())


def test_a_weakness_shows_where_it_was_planted() -> None:
    fault = Weakness(3.0, 7.0, ("downhill",), lost_makes=0.5, longer_leaves=2.0)
    weak = season(Golfer("Ada Brook", Stroke(), (fault,)), rounds=400, seed=2, start=START)
    sound = season(GOLFER, rounds=400, seed=2, start=START)

    def rate(putts: pl.DataFrame, slope: str) -> float:
        here = pl.col("distance_ft").is_between(3, 7, closed="right") & (pl.col("slope") == slope)
        return float(putts.filter(here).select((pl.col("result") == "holed").mean()).item())

    # Half of the makes are lost; some 600 to 800 putts on each side: errors of 0.02 or so.
    assert rate(weak, "downhill") == pytest.approx(rate(sound, "downhill") / 2, abs=0.09)
    assert rate(weak, "uphill") == pytest.approx(rate(sound, "uphill"), abs=0.09)


def test_comebacks_run_along_the_opposite_slope(putts: pl.DataFrame) -> None:
    following = pl.col("slope").shift(-1).over(HOLE, order_by="putt")
    misses = putts.with_columns(following.alias("next")).filter(pl.col("result") == "missed")
    past = misses.filter((pl.col("miss_pace") == "past") & (pl.col("slope") == "uphill"))
    assert past.height > 20
    assert (past["next"] == "downhill").all()
    short = misses.filter((pl.col("miss_pace") == "short") & (pl.col("slope") == "uphill"))
    assert short.height > 20
    assert (short["next"] == "uphill").all()
