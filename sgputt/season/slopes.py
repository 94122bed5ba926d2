"""Strokes gained by slope: the standard figure, and beside it the slope-fair one, a model."""

from __future__ import annotations

import numpy as np
import polars as pl

from sgputt.baseline.slope import SlopeFair
from sgputt.inference.intervals import HOLES_IN_A_ROUND
from sgputt.putts.table import HOLE_KEY, SLOPES
from sgputt.season.scored import Scored
from sgputt.stroke.model import Array


def slope_table(scored: Scored, fair: SlopeFair) -> pl.DataFrame:
    """Strokes gained a round of 18 holes by slope of the putt, both ways.

    Parameters
    ----------
    scored : Scored
    fair : SlopeFair
        The same baseline split by slope.

    Returns
    -------
    polars.DataFrame
        ``slope, putts, per_round, fair_per_round`` for the slopes that occur, over the holes on
        which every length is known: makes need no leave, so misses without one must not drop
        out alone. A putt or leave of unknown slope is held against the distance-only baseline.
    """
    putts = scored.gained.with_columns(
        pl.col("slope").shift(-1).over(HOLE_KEY).fill_null("unknown").alias("next_slope")
    ).filter(pl.col("counts") & pl.col("sg").is_not_null().all().over(HOLE_KEY))
    before = _expected(scored, fair, putts["distance_ft"], putts["slope"])
    left = putts["leave_ft"].fill_null(0.0)
    after = np.where(
        (putts["result"] == "missed").to_numpy(),
        _expected(scored, fair, left.clip(lower_bound=0.1), putts["next_slope"]),
        0.0,
    )
    per_round = HOLES_IN_A_ROUND / int(scored.rounds["holes"].sum())
    return (
        putts.with_columns(pl.Series("fair", before - 1 - after))
        .group_by("slope")
        .agg(
            pl.len().alias("putts"),
            (pl.col("sg").sum() * per_round).alias("per_round"),
            (pl.col("fair").sum() * per_round).alias("fair_per_round"),
        )
        .sort("slope")
    )


def _expected(scored: Scored, fair: SlopeFair, distance_ft: pl.Series, slope: pl.Series) -> Array:
    lengths, codes = distance_ft.to_numpy(), slope.to_physical().to_numpy()
    expected = scored.baseline.expected_putts(lengths)
    for name, baseline in fair.by_slope.items():
        here = codes == SLOPES.index(name)
        expected[here] = baseline.expected_putts(lengths[here])
    return expected
