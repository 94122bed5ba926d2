"""The per-round table of sums: all that statistics above the putt need.

Every figure is a sum, so tables of different rounds, files or machines merge by addition.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import polars as pl

from sgputt.gained.per_putt import after_miss
from sgputt.gained.runs import first_rows, in_order, run_of, sums_by
from sgputt.putts.bands import BAND, LABELS
from sgputt.putts.table import PUTTS_SCHEMA, ROUND_KEY, SLOPES

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
# Made from the other sums.
_DERIVED = ("misses", "strokes_gained")
_SUMMED = [name for name in SUMS if name not in _DERIVED]
_COUNTS = ("putts", "made", "misses", "leaves_known")
_CELLS = len(LABELS) * len(SLOPES)


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
    keys = [*ROUND_KEY, *(["round_id"] if "round_id" in gained.columns else [])]
    return cell_sums(gained.filter("counts").select(*keys, *CELL_KEY, *_added()), keys)


def merge_sums(*parts: pl.DataFrame) -> pl.DataFrame:
    """Add tables of sums together, whatever produced them."""
    table = pl.concat(parts)
    keys = [name for name in table.columns if name not in (*SUMS, *CELL_KEY)]
    return cell_sums(table, keys)


def cell_sums(table: pl.DataFrame, keys: Sequence[str]) -> pl.DataFrame:
    """Sums by some columns, distance band and slope; rows are added in the order they stand in.

    Parameters
    ----------
    table : polars.DataFrame
        The columns ``keys``, ``band``, ``slope`` and those of :data:`SUMS`, without nulls;
        ``misses`` and ``strokes_gained`` are made again from the others.
    keys : sequence of str
        What tells the rows of the result apart, beside band and slope.

    Returns
    -------
    polars.DataFrame
        Sorted by the keys, then band and slope.
    """
    table = in_order(table, keys)
    run = run_of(table, keys)
    cell = run * _CELLS + table.select(_cell()).to_series().to_numpy()
    found = np.bincount(cell) > 0
    taken, group = np.flatnonzero(found), (np.cumsum(found) - 1)[cell]
    band, slope = np.divmod(taken % _CELLS, len(SLOPES))
    sums = sums_by(group, len(taken), table.select(_SUMMED))
    sums["misses"] = sums["putts"] - sums["made"]
    sums["strokes_gained"] = sums["holing"] + sums["leave"] + sums["not_split"]
    return table.select(keys)[first_rows(run)[taken // _CELLS]].with_columns(
        pl.Series("band", LABELS, BAND)[band],
        pl.Series("slope", SLOPES, PUTTS_SCHEMA["slope"])[slope],
        *(pl.Series(name, sums[name]).cast(_type_of(name)) for name in SUMS),
    )


def _cell() -> pl.Expr:
    """Number of a band and slope, counted through bands, then slopes."""
    band, slope = (pl.col(name).to_physical().cast(pl.Int64) for name in CELL_KEY)
    return band * len(SLOPES) + slope


def _type_of(name: str) -> type[pl.DataType]:
    return pl.Int64 if name in _COUNTS else pl.Float64


def _added() -> list[pl.Expr]:
    """What a putt adds to each of the sums."""
    missed = pl.col("result") == "missed"
    share, spread = pl.col("one_putt"), pl.col("leave_spread")
    even = share * (1 - share) * after_miss()
    leave = pl.col("leave").fill_null(0.0)
    added = {
        "putts": pl.col("counts"),
        "made": pl.col("result") == "holed",
        "expected_made": share,
        "leaves_known": missed & pl.col("leave").is_not_null(),
        "holing": pl.col("holing"),
        "leave": leave,
        "not_split": pl.col("not_split"),
        "holing_scale": even,
        "holing_variance": even * after_miss(),
        "leave_scale": (1 - share) * spread,
        "leave_variance": (1 - share) * spread**2,
    }
    return [added[name].cast(pl.Float64).alias(name) for name in _SUMMED]
