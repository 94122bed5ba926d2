"""Sums of strokes gained by round with dense arrays only: a bound on how fast this can be done.

Takes for granted all that the program makes sure of or allows for: that rows are in order, that
lengths are whole tenths of a foot and none is missing, that nothing was conceded, picked up or
played from off the green.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pyarrow.parquet as pq
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator

from sgputt.baseline.curve import Baseline

EDGES_FT = np.array([3.0, 5.0, 7.0, 10.0, 15.0, 25.0, 40.0])
COLUMNS = ["player", "date", "round", "distance_ft", "leave_ft", "result", "slope"]
SLOPES = ["uphill", "level", "downhill", "unknown"]
CELLS = (len(EDGES_FT) + 1) * len(SLOPES)
SHORTEST_FT = 0.5
LONGEST_FT = 100.0
TENTHS = 10

Array = NDArray[np.float64]


def curves_of(baseline: Baseline) -> PchipInterpolator:
    """Expected putts, one-putt share and leave spread by distance in feet."""
    names = ["expected_putts", "one_putt", "leave_spread"]
    table = baseline.table
    return PchipInterpolator(table["distance_ft"].to_numpy(), table[names].to_numpy())


def dense_sums(path: Path, curves: PchipInterpolator) -> dict[str, Array]:
    """Sums of a file, shape (rounds, bands * slopes).

    ``curves`` as from :func:`curves_of`.
    """
    table = pq.read_table(path, columns=COLUMNS, read_dictionary=["player"]).unify_dictionaries()
    player, result, slope = (_codes(table, name) for name in ("player", "result", "slope"))
    date, number = (table[name].to_numpy().astype(np.int64) for name in ("date", "round"))
    distance, left = (table[name].to_numpy() for name in ("distance_ft", "leave_ft"))
    new = (np.diff(player) != 0) | (np.diff(date) != 0) | (np.diff(number) != 0)
    at = np.concatenate([[0], np.cumsum(new)]) * CELLS
    at += np.searchsorted(EDGES_FT, distance) * len(SLOPES) + slope
    written = np.arange(LONGEST_FT * TENTHS + 1) / TENTHS
    columns = curves(np.maximum(written, SHORTEST_FT)).T.copy()
    tenths = _tenths(distance)
    expected, share, spread = (np.take(column, tenths) for column in columns)
    missed = result != 0
    after = np.zeros(len(distance))
    after[missed] = np.take(columns[0], _tenths(left[missed]))
    most = int(at.max()) // CELLS * CELLS + CELLS
    return {
        name: np.asarray(np.bincount(at, weights, most).reshape(-1, CELLS), dtype=np.float64)
        for name, weights in _added(expected, share, spread, missed, after).items()
    }


def _tenths(length_ft: Array) -> NDArray[np.intp]:
    return np.rint(length_ft * TENTHS).astype(np.intp)


def _codes(table: Any, name: str) -> NDArray[np.int64]:
    column = table[name].combine_chunks()
    codes = column.indices.to_numpy().astype(np.int64)
    if name == "player":
        return np.asarray(codes)
    words = column.dictionary.to_pylist()
    known = SLOPES if name == "slope" else ["holed", "missed", "conceded"]
    return np.asarray(np.array([known.index(word) for word in words])[codes])


def _added(
    expected: Array, share: Array, spread: Array, missed: NDArray[np.bool_], after: Array
) -> dict[str, Array]:
    miss = 1 - share
    after_miss = (expected - 1) / miss
    holing = (~missed - share) * after_miss
    leave = missed * (after_miss - after)
    scale = share * miss * after_miss
    return {
        "putts": np.ones(len(share)),
        "made": (~missed).astype(np.float64),
        "expected_made": share,
        "misses": missed.astype(np.float64),
        "leaves_known": missed.astype(np.float64),
        "strokes_gained": holing + leave,
        "holing": holing,
        "leave": leave,
        "not_split": np.zeros(len(share)),
        "holing_scale": scale,
        "holing_variance": scale * after_miss,
        "leave_scale": miss * spread,
        "leave_variance": miss * spread**2,
    }
