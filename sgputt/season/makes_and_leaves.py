"""The shape of a player's putting: makes by length, leaves by length, and where misses finish."""

from __future__ import annotations

import numpy as np
import polars as pl
from scipy.special import ndtr, ndtri

from sgputt.inference.intervals import LEVEL, wilson_interval
from sgputt.putts.table import HOLE_KEY
from sgputt.season.scored import Scored
from sgputt.stroke.player import TOUR_STROKE, PuttingStroke

PACE_WORDS = ("short", "past")
SIDE_WORDS = ("left", "none", "right")
# Across a slope of 2 % at stimp 10 a putt breaks about 1.2 in a foot of its length, by our model.
_BREAK_A_FOOT = 1.2 / 12
# A ball that misses passes the hole's centre by about this much at least: its radius, feet.
_LEAST_SPREAD_FT = 4.25 / 2 / 12
# Multiples of it fill an interval evenly, however many there are.
_GOLDEN = (5**0.5 - 1) / 2


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


def miss_places(scored: Scored, stroke: PuttingStroke = TOUR_STROKE) -> pl.DataFrame:
    """Where each miss finished around the hole, as far as a card tells, seen from the putt.

    How far from the hole is the leave as written. Short or past and left or right are the words
    on the card. How far to the side is not on a card: it is spread as putts of that length would
    be (a normal curve cut to the side and leave written), evenly over the misses in the order
    played, so nothing is drawn at random. Its standard deviation is the
    stroke's direction, for a putt that broke together with its share of a usual break.

    Parameters
    ----------
    scored : Scored
    stroke : PuttingStroke
        Whose direction and read spread them; the tour's unless given.

    Returns
    -------
    polars.DataFrame
        One row a miss with both words and a known leave: ``across_ft`` (to the right of the line
        from ball to hole is positive), ``past_ft`` (short is negative), ``side`` (-1 left, 0 on
        the line, 1 right) and ``breaking``. Putts that broke from right to left are turned, so
        that the low side of every breaking putt is on the right.
    """
    told = (
        scored.gained.filter(pl.col("counts") & (pl.col("result") == "missed"))
        .with_columns(
            pl.col("miss_pace").cast(pl.String).alias("pace"),
            pl.col("miss_side").cast(pl.String).alias("side"),
            pl.col("break").cast(pl.String).alias("break"),
        )
        .filter(
            pl.col("pace").is_in(PACE_WORDS)
            & pl.col("side").is_in(SIDE_WORDS)
            & pl.col("leave_ft").is_not_null()
            & pl.col("distance_ft").is_not_null()
        )
    )
    side = told["side"].replace_strict({"left": -1.0, "none": 0.0, "right": 1.0}).to_numpy()
    breaks = told["break"].fill_null("unknown")
    turned = np.where((breaks == "right to left").to_numpy(), -side, side)
    leave = told["leave_ft"].to_numpy().astype(np.float64)
    breaking = breaks.is_in(["left to right", "right to left"])
    misread = np.where(breaking.to_numpy(), stroke.read * _BREAK_A_FOOT, 0.0)
    spread = told["distance_ft"].to_numpy() * np.hypot(np.radians(stroke.direction_deg), misread)
    spread = np.maximum(spread, _LEAST_SPREAD_FT)
    even = (np.arange(1, told.height + 1) * _GOLDEN) % 1.0
    reach = ndtr(leave / spread) - 0.5
    aside = np.minimum(spread * ndtri(0.5 + even * reach), leave)
    past = np.sqrt(np.maximum(leave**2 - (turned * aside) ** 2, 0.0))
    pace = np.where((told["pace"] == "past").to_numpy(), 1.0, -1.0)
    return pl.DataFrame(
        {
            "across_ft": turned * aside,
            "past_ft": pace * past,
            "side": turned.astype(np.int64),
            "breaking": breaking,
        }
    )
