"""The per-round table of sums: all that statistics above the putt need.

Every figure is a sum, so tables of different rounds, files or machines merge by addition.
"""

from __future__ import annotations

import polars as pl

from sgputt.gained.per_putt import after_miss
from sgputt.putts.table import ROUND_KEY

CELL_KEY = ["band", "slope"]
SUMS = (
    "putts",
    "made",
    "expected_made",
    "misses",
    "leaves_known",
    "strokes_gained",
    "holing",
    "leave",
    "not_split",
    "holing_scale",
    "holing_variance",
    "leave_scale",
    "leave_variance",
)


def round_sums(gained: pl.DataFrame) -> pl.DataFrame:
    """Sums by round, distance band and slope, over the putts that count.

    Parameters
    ----------
    gained : polars.DataFrame
        From :func:`sgputt.gained.per_putt.strokes_gained`.

    Returns
    -------
    polars.DataFrame
        One row for each round, band and slope that occurs, sorted. Counts ``putts, made, misses,
        leaves_known``; strokes ``strokes_gained = holing + leave + not_split``. The four others
        describe the baseline's own chance from the same places: ``holing_variance`` is the
        variance of ``holing``, ``holing_scale`` its change for one unit of log odds of holing;
        ``leave_variance`` and ``leave_scale`` the same for ``leave`` and one standard deviation
        of what a miss leaves.
    """
    missed = pl.col("result") == "missed"
    share = pl.col("one_putt")
    spread = pl.col("leave_spread")
    even = share * (1 - share) * after_miss()
    keys = [*ROUND_KEY, *(["round_id"] if "round_id" in gained.columns else []), *CELL_KEY]
    return (
        gained.filter("counts")
        .group_by(keys)
        .agg(
            pl.len().cast(pl.Int64).alias("putts"),
            (pl.col("result") == "holed").sum().cast(pl.Int64).alias("made"),
            share.sum().alias("expected_made"),
            missed.sum().cast(pl.Int64).alias("misses"),
            (missed & pl.col("leave").is_not_null()).sum().cast(pl.Int64).alias("leaves_known"),
            pl.sum_horizontal("holing", "leave", "not_split").sum().alias("strokes_gained"),
            pl.col("holing").sum(),
            pl.col("leave").sum(),
            pl.col("not_split").sum(),
            even.sum().alias("holing_scale"),
            (even * after_miss()).sum().alias("holing_variance"),
            ((1 - share) * spread).sum().alias("leave_scale"),
            ((1 - share) * spread**2).sum().alias("leave_variance"),
        )
        .sort(keys)
    )


def merge_sums(*parts: pl.DataFrame) -> pl.DataFrame:
    """Add tables of sums together, whatever produced them."""
    table = pl.concat(parts)
    keys = [name for name in table.columns if name not in SUMS]
    return table.group_by(keys).agg(pl.col(SUMS).sum()).sort(keys)
