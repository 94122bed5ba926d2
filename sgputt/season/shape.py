"""The shape of a player's putting: makes by length, leaves by length, and where misses finish."""

from __future__ import annotations

import numpy as np
import polars as pl

from sgputt.inference.shares import LEVEL, wilson_interval
from sgputt.putts.table import HOLE_KEY
from sgputt.season.scored import Scored

PACE_WORDS = ("short", "past")
SIDE_WORDS = ("left", "none", "right")


def make_shares(scored: Scored, level: float = LEVEL) -> pl.DataFrame:
    """Share holed by distance band, with the baseline's from the same places.

    Returns
    -------
    polars.DataFrame
        ``distance, mean_ft, putts, made, share, low, high, baseline``: Wilson's interval at
        ``level``; the bands with at least one putt.
    """
    bands = (
        scored.gained.filter("counts")
        .group_by("band")
        .agg(
            pl.col("distance_ft").mean().alias("mean_ft"),
            pl.len().alias("putts"),
            (pl.col("result") == "holed").sum().alias("made"),
            pl.col("one_putt").mean().alias("baseline"),
        )
        .sort("band")
    )
    limits = [
        wilson_interval(made, putts, level)
        for made, putts in bands.select("made", "putts").iter_rows()
    ]
    return bands.select(
        pl.col("band").alias("distance"),
        "mean_ft",
        "putts",
        "made",
        (pl.col("made") / pl.col("putts")).alias("share"),
        pl.Series("low", [low for low, _ in limits], dtype=pl.Float64),
        pl.Series("high", [high for _, high in limits], dtype=pl.Float64),
        "baseline",
    )


def baseline_curve(scored: Scored, longest_ft: float = 60.0) -> pl.DataFrame:
    """The baseline's make share from 1 ft on, a foot apart: ``distance_ft, share``."""
    feet = np.arange(1.0, longest_ft + 1)
    return pl.DataFrame({"distance_ft": feet, "share": scored.baseline.one_putt(feet)})


def leaves_by_length(scored: Scored) -> pl.DataFrame:
    """How far first putts that missed were left, by the length of the first putt.

    Returns
    -------
    polars.DataFrame
        ``distance, misses, quarter_ft, median_ft, three_quarters_ft, nine_tenths_ft``: feet left,
        over misses whose leave is known; the bands with at least one.
    """
    first = scored.gained.filter(pl.col("surface") == "green").filter(
        pl.col("putt") == pl.col("putt").min().over(HOLE_KEY)
    )
    left = pl.col("leave_ft")
    return (
        first.filter((pl.col("result") == "missed") & left.is_not_null())
        .group_by("band")
        .agg(
            pl.len().alias("misses"),
            left.quantile(0.25, "linear").alias("quarter_ft"),
            left.quantile(0.5, "linear").alias("median_ft"),
            left.quantile(0.75, "linear").alias("three_quarters_ft"),
            left.quantile(0.9, "linear").alias("nine_tenths_ft"),
        )
        .sort("band")
        .rename({"band": "distance"})
    )


def finishes(scored: Scored) -> pl.DataFrame:
    """Where misses finished around the hole, as far as words tell: short or past, left or right.

    Returns
    -------
    polars.DataFrame
        ``pace, side, misses, share, median_ft``: one row for each pair of words that occurs
        (``none`` is on the line), shares of the misses with both words and a known leave.
    """
    words = [
        pl.col("miss_pace").cast(pl.String).alias("pace"),
        pl.col("miss_side").cast(pl.String).alias("side"),
    ]
    told = (
        scored.gained.filter(pl.col("counts") & (pl.col("result") == "missed"))
        .with_columns(words)
        .filter(
            pl.col("pace").is_in(PACE_WORDS)
            & pl.col("side").is_in(SIDE_WORDS)
            & pl.col("leave_ft").is_not_null()
        )
    )
    return (
        told.group_by("pace", "side")
        .agg(
            pl.len().alias("misses"),
            (pl.len() / max(told.height, 1)).alias("share"),
            pl.col("leave_ft").median().alias("median_ft"),
        )
        .sort("pace", "side")
    )
