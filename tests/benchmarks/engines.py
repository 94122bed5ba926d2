"""The same sums by round as queries of two engines for tables: Polars streaming and DuckDB.

Both are given the easiest form of the work: the curves come as a table by tenths of a foot and are
joined, so that neither has to work a curve out; lengths must be whole tenths of a foot, none may be
missing and nothing conceded.
"""

from __future__ import annotations

from pathlib import Path

import duckdb
import numpy as np
import polars as pl
from scipy.interpolate import PchipInterpolator

from tests.benchmarks.dense import EDGES_FT, LONGEST_FT, SHORTEST_FT, TENTHS

KEYS = ["player", "date", "round", "band", "slope"]


def by_tenths(curves: PchipInterpolator) -> pl.DataFrame:
    """Expected putts, one-putt share and leave spread of each tenth of a foot."""
    written = np.arange(LONGEST_FT * TENTHS + 1) / TENTHS
    expected, share, spread = curves(np.maximum(written, SHORTEST_FT)).T
    return pl.DataFrame(
        {
            "tenths": np.arange(len(written), dtype=np.int32),
            "band": np.searchsorted(EDGES_FT, written).astype(np.int8),
            "expected": expected,
            "share": share,
            "spread": spread,
        }
    )


def polars_sums(paths: list[Path], table: pl.DataFrame) -> pl.DataFrame:
    """Sums by player, date, round, band and slope on Polars' streaming engine."""
    after = table.lazy().select("tenths", after="expected")
    missed, share = (pl.col("result") == "missed").cast(pl.Float64), pl.col("share")
    after_miss = (pl.col("expected") - 1) / (1 - share)
    return (
        pl.scan_parquet(paths)
        .select(*(each for each in KEYS if each != "band"), "distance_ft", "leave_ft", "result")
        .with_columns(before=_tenths("distance_ft"), left=_tenths("leave_ft"), missed=missed)
        .join(table.lazy(), left_on="before", right_on="tenths", how="left")
        .join(after, left_on="left", right_on="tenths", how="left")
        .with_columns(
            after_miss=after_miss,
            holing=(1 - pl.col("missed") - share) * after_miss,
            leave=pl.col("missed") * (after_miss - pl.col("after")),
            scale=share * (1 - share) * after_miss,
        )
        .group_by(KEYS)
        .agg(
            putts=pl.len(),
            made=(1 - pl.col("missed")).sum(),
            expected_made=share.sum(),
            misses=pl.col("missed").sum(),
            leaves_known=pl.col("missed").sum(),
            strokes_gained=(pl.col("holing") + pl.col("leave")).sum(),
            holing=pl.col("holing").sum(),
            leave=pl.col("leave").sum(),
            not_split=pl.lit(0.0),
            holing_scale=pl.col("scale").sum(),
            holing_variance=(pl.col("scale") * pl.col("after_miss")).sum(),
            leave_scale=((1 - share) * pl.col("spread")).sum(),
            leave_variance=((1 - share) * pl.col("spread") ** 2).sum(),
        )
        .collect(engine="streaming")
    )


def _tenths(name: str) -> pl.Expr:
    return (pl.col(name) * TENTHS).round().cast(pl.Int32)


QUERY = """
with putts as (
    select
        player, date, round, slope, b.band, b.share, b.spread,
        (result = 'missed')::int as missed,
        (b.expected - 1) / (1 - b.share) as after_miss,
        a.expected as after
    from read_parquet($paths) p
    left join curves b on b.tenths = cast(round(distance_ft * 10) as integer)
    left join curves a on a.tenths = cast(round(leave_ft * 10) as integer)
), parts as (
    select
        *,
        (1 - missed - share) * after_miss as holing,
        missed * (after_miss - after) as leave,
        share * (1 - share) * after_miss as scale
    from putts
)
select
    player, date, round, band, slope,
    count(*) as putts,
    sum(1 - missed) as made,
    sum(share) as expected_made,
    sum(missed) as misses,
    sum(missed) as leaves_known,
    sum(holing + leave) as strokes_gained,
    sum(holing) as holing,
    sum(leave) as leave,
    0.0 as not_split,
    sum(scale) as holing_scale,
    sum(scale * after_miss) as holing_variance,
    sum((1 - share) * spread) as leave_scale,
    sum((1 - share) * spread * spread) as leave_variance
from parts
group by player, date, round, band, slope
"""


def duckdb_sums(paths: list[Path], table: pl.DataFrame) -> pl.DataFrame:
    """The same sums by DuckDB, with all processors, as it comes."""
    with duckdb.connect() as connection:
        connection.register("curves", table.to_arrow())
        found = connection.sql(QUERY, params={"paths": [str(each) for each in paths]})
        return pl.DataFrame(found.to_arrow_table())
