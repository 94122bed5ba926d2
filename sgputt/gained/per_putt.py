"""Strokes gained of every putt, and its split into holing and leave.

``sg = E(before) - 1 - E(after)``, with ``E(after) = 0`` when holed (Broadie 2012, *Interfaces*
42(2), 146-165). With ``M(d) = (E(d) - 1) / (1 - P(d))``, the putts expected after a miss:

* holing = (made - P(d)) M(d)
* leave = (1 - made) (M(d) - E(leave))

and ``holing + leave = sg``.
"""

from __future__ import annotations

from collections.abc import Callable

import polars as pl

from sgputt.baseline.curve import Baseline
from sgputt.putts.bands import band_of
from sgputt.putts.table import ROUND_KEY
from sgputt.stroke.model import Array

_NEVER_MISSED = 1e-9
HOLE_KEY = [*ROUND_KEY, "hole"]


def strokes_gained(putts: pl.DataFrame, baseline: Baseline) -> pl.DataFrame:
    """Strokes gained putt by putt.

    Parameters
    ----------
    putts : polars.DataFrame
        The putts table; further columns are kept.
    baseline : Baseline
        The players compared with.

    Returns
    -------
    polars.DataFrame
        Rows sorted by player, date, round, hole and putt, with these columns added; in strokes
        unless said, null where a length is unknown:

        ``band``
            Distance band.
        ``counts``
            Whether the putt is in skill figures: from the green, not conceded, length known, and
            not the last putt of a ball picked up at an unknown distance.
        ``expected``, ``one_putt``, ``leave_spread``
            E, P and the spread of leaves of the baseline before the stroke.
        ``sg``
            Strokes gained; null when the leave is unknown.
        ``holing``
            Known from the length and the result alone.
        ``leave``
            Null when a miss left an unknown length.
        ``not_split``
            What a missed putt and the putts of unknown length after it gained together, less the
            holing part of the first; 0 when every length is known.
        ``conceded``
            Strokes gained by a concession, kept out of skill figures.

    Raises
    ------
    RangeError
        A length outside the baseline.
    """
    ordered = putts.sort([*HOLE_KEY, "putt"]).with_columns(_length_from_leave())
    table = ordered.with_columns(
        band_of(pl.col("distance_ft")).alias("band"),
        _curve(ordered["distance_ft"], baseline.expected_putts).alias("expected"),
        _curve(ordered["distance_ft"], baseline.one_putt).alias("one_putt"),
        _curve(ordered["distance_ft"], baseline.leave_spread).alias("leave_spread"),
        _after(ordered, baseline).alias("after"),
    )
    table = _count(table).with_columns(
        pl.when("counts").then(pl.col("expected") - 1 - pl.col("after")).alias("sg"),
        pl.when("counts").then(_holing()).alias("holing"),
        pl.when("counts").then(_leave()).alias("leave"),
        pl.when(pl.col("result") == "conceded")
        .then((pl.col("expected") - 1).fill_null(0.0))
        .otherwise(0.0)
        .alias("conceded"),
    )
    return _with_not_split(table)


def _length_from_leave() -> pl.Expr:
    """Length of each putt; where it was not written, the leave written of the putt before."""
    left = pl.when(pl.col("result") == "missed").then(pl.col("leave_ft"))
    return pl.coalesce("distance_ft", left.shift(1).over(HOLE_KEY)).alias("distance_ft")


def _curve(lengths: pl.Series, curve: Callable[[Array], Array]) -> pl.Series:
    """Values of a baseline's curve; null where the length is."""
    return pl.Series(curve(lengths.to_numpy())).fill_nan(None)


def _after(ordered: pl.DataFrame, baseline: Baseline) -> pl.Series:
    """Putts expected after the stroke: 0 when holed, null when the leave is unknown."""
    missed = pl.col("result") == "missed"
    left = ordered.select(pl.when(missed).then("leave_ft")).to_series()
    expected = _curve(left, baseline.expected_putts)
    return ordered.select(
        pl.when(pl.col("result") == "holed").then(0.0).otherwise(expected)
    ).to_series()


def _count(table: pl.DataFrame) -> pl.DataFrame:
    """Mark the putts that skill figures use, and the stretches of unknown lengths.

    A stretch starts at each putt of known length and takes in the putts of unknown length behind
    it; its end is known when it was holed, conceded, or left a known length.
    """
    hole_starts = pl.struct(HOLE_KEY) != pl.struct(HOLE_KEY).shift(1)
    starts = pl.col("distance_ft").is_not_null() | hole_starts.fill_null(True)
    table = table.with_columns(starts.cum_sum().alias("stretch"))
    ends_known = pl.col("after").is_not_null() | (pl.col("result") == "conceded")
    open_ended = table.group_by("stretch").agg(ends_known.last()).filter(~pl.col("after"))
    usable = (
        (pl.col("surface") == "green")
        & (pl.col("result") != "conceded")
        & pl.col("distance_ft").is_not_null()
        & ~pl.col("stretch").is_in(open_ended["stretch"].implode())
    )
    return table.with_columns(usable.alias("counts"))


def after_miss() -> pl.Expr:
    """M: putts expected after a miss; 1 where the baseline never misses."""
    missed = 1 - pl.col("one_putt")
    return pl.when(missed > _NEVER_MISSED).then((pl.col("expected") - 1) / missed).otherwise(1.0)


def _holing() -> pl.Expr:
    made = (pl.col("result") == "holed").cast(pl.Float64)
    return (made - pl.col("one_putt")) * after_miss()


def _leave() -> pl.Expr:
    return pl.when(pl.col("result") == "holed").then(0.0).otherwise(after_miss() - pl.col("after"))


def _with_not_split(table: pl.DataFrame) -> pl.DataFrame:
    first = pl.col("counts").first()
    end = pl.col("after").last().fill_null(0.0)
    totals = (
        table.group_by("stretch")
        .agg(
            (pl.col("expected").first() - pl.len() - end - pl.col("holing").first()).alias("rest"),
            (first & pl.col("sg").first().is_null()).alias("unsplit"),
        )
        .filter("unsplit")
        .select("stretch", pl.col("rest").alias("not_split"))
    )
    joined = table.join(totals, on="stretch", how="left", maintain_order="left")
    rest = pl.when(pl.col("counts")).then(pl.col("not_split")).fill_null(0.0)
    return joined.with_columns(rest.alias("not_split")).drop("stretch", "after")
