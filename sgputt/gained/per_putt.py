"""Strokes gained of every putt, and its split into holing and leave.

``sg = E(before) - 1 - E(after)``, with ``E(after) = 0`` when holed (Broadie 2012, *Interfaces*
42(2), 146-165). With ``M(d) = (E(d) - 1) / (1 - P(d))``, the putts expected after a miss:

* holing = (made - P(d)) M(d)
* leave = (1 - made) (M(d) - E(leave))

and ``holing + leave = sg``.

In a round whose later lengths are written, a holed putt of unknown length after a miss is a tap-in:
people leave out what is not worth measuring. Where no later length of the round is written, nothing
is known of its leaves.
"""

from __future__ import annotations

import numpy as np
import polars as pl

from sgputt.baseline.curve import Baseline
from sgputt.gained.runs import in_order, new_run
from sgputt.physics.roll import Array
from sgputt.putts.bands import band_of
from sgputt.putts.table import HOLE_KEY, PUTT_KEY, ROUND_KEY

_NEVER_MISSED = 1e-9
# Feet that a tap-in whose length was not written is taken to have left. A choice, no source; from
# anywhere inside 3 ft the tour baseline needs within 0.05 putts of what it needs from here.
TAP_IN_FT = 2.0


def strokes_gained(
    putts: pl.DataFrame, baseline: Baseline, in_order_already: bool = False
) -> pl.DataFrame:
    """Strokes gained putt by putt.

    Parameters
    ----------
    putts : polars.DataFrame
        The putts table; further columns are kept.
    baseline : Baseline
        The players compared with.
    in_order_already : bool
        The rows are sorted as those of the result are; this is not looked at.

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
            Strokes gained; null when the leave is unknown. A tap-in left :data:`TAP_IN_FT`.
        ``holing``
            Known from the length and the result alone.
        ``leave``
            Null when a miss left an unknown length.
        ``not_split``
            What a missed putt and the putts of unknown length after it gained together, less the
            holing part of the first and its leave where it is known; 0 when every length is.
        ``conceded``
            Strokes gained by a concession, kept out of skill figures.

    Raises
    ------
    RangeError
        A length outside the baseline.
    """
    ordered = putts if in_order_already else in_order(putts, PUTT_KEY)
    ordered = ordered.with_columns(_length_from_leave())
    expected, one_putt, leave_spread = baseline.before(ordered["distance_ft"].to_numpy())
    table = ordered.with_columns(
        band_of(pl.col("distance_ft")).alias("band"),
        _null_for_nan("expected", expected),
        _null_for_nan("one_putt", one_putt),
        _null_for_nan("leave_spread", leave_spread),
        _after(ordered, baseline).alias("after"),
    )
    table = _with_stretches(_with_tap_ins(table, baseline)).with_columns(
        pl.when("counts").then(pl.col("expected") - 1 - pl.col("after")).alias("sg"),
        pl.when("counts").then(_holing()).alias("holing"),
        pl.when("counts").then(_leave()).alias("leave"),
        pl.when(pl.col("result") == "conceded")
        .then((pl.col("expected") - 1).fill_null(0.0))
        .otherwise(0.0)
        .alias("conceded"),
    )
    return table.with_columns(_not_split().alias("not_split")).drop("end", "strokes", "after")


def _length_from_leave() -> pl.Expr:
    """Length of each putt; where it was not written, the leave written of the putt before."""
    left = pl.when(pl.col("result") == "missed").then(pl.col("leave_ft")).shift(1)
    return pl.coalesce("distance_ft", pl.when(~new_run(HOLE_KEY)).then(left)).alias("distance_ft")


def _null_for_nan(name: str, values: Array) -> pl.Series:
    return pl.Series(name, values, nan_to_null=True)


def _after(ordered: pl.DataFrame, baseline: Baseline) -> pl.Series:
    """Putts expected after the stroke: 0 when holed, null when the leave is unknown."""
    missed = pl.col("result") == "missed"
    left = ordered.select(pl.when(missed).then("leave_ft")).to_series().to_numpy()
    expected = _null_for_nan("after", baseline.expected_putts(left))
    return ordered.select(
        pl.when(pl.col("result") == "holed").then(0.0).otherwise(expected)
    ).to_series()


def _with_tap_ins(table: pl.DataFrame, baseline: Baseline) -> pl.DataFrame:
    """Putts expected after misses that left a tap-in of unknown length."""
    unknown = pl.col("distance_ft").is_null()
    if not table["distance_ft"].null_count():
        return table
    later_written = (~new_run(HOLE_KEY) & ~unknown).any().over(ROUND_KEY)
    tapped_in = (unknown & (pl.col("result") == "holed") & ~new_run(HOLE_KEY)).shift(-1)
    from_there = float(baseline.expected_putts(np.array([TAP_IN_FT]))[0])
    left = tapped_in & (pl.col("result") == "missed") & pl.col("after").is_null() & later_written
    return table.with_columns(pl.when(left).then(from_there).otherwise("after").alias("after"))


def _with_stretches(table: pl.DataFrame) -> pl.DataFrame:
    """Mark the putts that skill figures use, with what is known of the stretch each one starts.

    A stretch starts at each putt of known length and takes in the putts of unknown length behind
    it; its end is known when it was holed, conceded, or left a known length. Adds ``counts``, and
    for putts that count ``strokes`` (of the stretch) and ``end`` (putts expected after it).
    """
    starts = pl.col("distance_ft").is_not_null() | new_run(HOLE_KEY)
    last = starts.shift(-1, fill_value=True)
    row = pl.int_range(pl.len())
    at_end = pl.when(last).then(row).backward_fill()
    after = pl.when(pl.col("result") == "conceded").then(0.0).otherwise("after")
    end = pl.when(last).then(after)
    table = table.with_columns(
        (at_end - row + 1).alias("strokes"),
        end.gather(at_end).alias("end"),
    )
    usable = (
        (pl.col("surface") == "green")
        & (pl.col("result") != "conceded")
        & pl.col("distance_ft").is_not_null()
        & pl.col("end").is_not_null()
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


def _not_split() -> pl.Expr:
    split = pl.col("holing") + pl.col("leave").fill_null(0.0)
    rest = pl.col("expected") - pl.col("strokes") - pl.col("end") - split
    return pl.when(pl.col("counts") & (pl.col("strokes") > 1)).then(rest).otherwise(0.0)
