"""The per-round table of sums: all that statistics above the putt need.

Every figure is a sum, so tables of different rounds, files or machines merge by addition.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import polars as pl

from sgputt.baseline.curve import LONGEST_FT, SHORTEST_FT, TENTHS, Baseline, each_once
from sgputt.gained.per_putt import after_miss, strokes_gained
from sgputt.gained.runs import (
    NEW_RUN,
    Index,
    first_rows,
    in_order,
    numbered,
    run_of,
    sums_by,
    sums_of_rows,
)
from sgputt.physics.roll import Array
from sgputt.putts.bands import BAND, LABELS
from sgputt.putts.table import PUTTS_SCHEMA, RESULTS, ROUND_KEY, SLOPES

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
# Nothing of their own where every length is known and nothing was conceded: nine sums lie closer
# together than eleven, which takes a tenth less time of many putts.
_FOLLOWING = ("leaves_known", "not_split")
_BY_LENGTH = [name for name in _SUMMED if name not in _FOLLOWING]
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
    return _cells_of(table, run).table(table.select(keys)[first_rows(run)])


def cells_by_run(gained: pl.DataFrame, run: Index) -> Cells:
    """Sums by run of rows, band and slope, over the putts that count.

    Parameters
    ----------
    gained : polars.DataFrame
        From :func:`sgputt.gained.per_putt.strokes_gained`.
    run : ndarray, shape (rows,)
        Number of the run of each row.
    """
    counts = gained["counts"]
    return _cells_of(gained.filter(counts).select(*CELL_KEY, *_added()), run[counts.to_numpy()])


def _cells_of(table: pl.DataFrame, run: Index) -> Cells:
    cell = table.select(_cell()).to_series().to_numpy()
    added = table.select(_SUMMED).cast(pl.Float64).to_numpy(order="c")
    return _added_up(run * _CELLS + cell, added, _SUMMED)


@dataclass(frozen=True)
class Cells:
    """Sums by run of rows, band and slope, of those that occur.

    Attributes
    ----------
    place : ndarray, shape (cells,)
        Rising: counted through runs, then bands, then slopes.
    sums : ndarray, shape (cells, names)
    names : list of str
        Those of :data:`SUMS` that ``sums`` holds; the others are made from them.
    """

    place: Index
    sums: Array
    names: list[str]

    @property
    def run(self) -> Index:
        """Number of the run of each cell."""
        return self.place // _CELLS

    def by(self, group: Index) -> Cells:
        """Sums by group of runs: ``group[run]`` is the group of each run."""
        run = self.run
        place = self.place + (group[run] - run) * _CELLS
        return _added_up(place, self.sums, self.names)

    def by_run(self, runs: int) -> dict[str, Array]:
        """Each of :data:`SUMS` by run, shape (runs,)."""
        return _named(sums_by(self.run, runs, self.sums), self.names)

    def table(self, keys: pl.DataFrame) -> pl.DataFrame:
        """The columns of ``keys``, a row a run, with band, slope and :data:`SUMS`."""
        run, sums = self.run, _named(self.sums, self.names)
        cell = self.place - run * _CELLS
        return keys[run].hstack(
            [
                pl.Series("band", np.repeat(LABELS, len(SLOPES)), BAND)[cell],
                pl.Series("slope", SLOPES * len(LABELS), PUTTS_SCHEMA["slope"])[cell],
                # Taken out of its row and made the kind of number it is in one go.
                *(
                    pl.Series(name, np.ascontiguousarray(sums[name], _type_of(name)))
                    for name in SUMS
                ),
            ]
        )


def _named(summed: Array, names: Sequence[str]) -> dict[str, Array]:
    sums = dict(zip(names, summed.T, strict=True))
    sums["misses"] = sums["putts"] - sums["made"]
    sums.setdefault("leaves_known", sums["misses"])
    sums.setdefault("not_split", np.zeros(len(summed)))
    sums["strokes_gained"] = sums["holing"] + sums["leave"] + sums["not_split"]
    return sums


def _added_up(place: Index, added: Array, names: list[str]) -> Cells:
    taken, group = _found(place)
    return Cells(taken, sums_by(group, len(taken), added), names)


def _found(place: Index) -> tuple[Index, Index]:
    """Places that occur, rising, and which of them each row is in."""
    found = np.zeros(place.max(initial=-1) + 1, dtype=np.bool_)
    found[place] = True
    return np.flatnonzero(found), (np.cumsum(found) - 1)[place]


class SumsByLength:
    """Sums by round straight from putts, without strokes gained putt by putt in between.

    What a putt adds follows from its length and whether it fell, but for its leave. So the sums are
    a product of two matrices: the cell that each putt is in, and what a putt of each length adds.
    Rows are added in the order in which they stand, so that the digits are those of
    ``round_sums(strokes_gained(putts, baseline))``.

    Parameters
    ----------
    baseline : Baseline
        The players compared with.
    """

    def __init__(self, baseline: Baseline) -> None:
        self._baseline = baseline
        self._of_tenths = _ByLength(np.arange(1, LONGEST_FT * TENTHS + 1) / TENTHS, baseline)

    def of(self, putts: pl.DataFrame) -> pl.DataFrame | None:
        """What :func:`round_sums` gives of the same putts.

        ``putts`` are in the order of :data:`sgputt.putts.table.PUTT_KEY`, their rounds marked by
        :func:`sgputt.gained.runs.in_order`. None where it does not follow from the lengths: one is
        missing, or a putt was conceded or played from off the green.

        Raises
        ------
        RangeError
            A length outside the baseline.
        """
        run = numbered(putts[NEW_RUN].to_numpy())
        cells = self.cells(putts, run)
        return cells.table(putts[ROUND_KEY][first_rows(run)]) if cells else None

    def cells(self, putts: pl.DataFrame, run: Index) -> Cells | None:
        """The sums of :meth:`of` by the number of each putt's run of rows."""
        needed = putts[["distance_ft", "result", "slope", "surface"]]
        if not putts.height or any(column.null_count() for column in needed):
            return None
        length = putts["distance_ft"].to_numpy()
        result = putts["result"].to_physical().to_numpy()
        missed, holed = result == _MISSED, result == _HOLED
        # Any length that can be looked up stands for what a holed putt left.
        left = np.where(missed, putts["leave_ft"].to_numpy(), SHORTEST_FT)
        known = np.isfinite(length).all() and np.isfinite(left).all()
        if not (known and (missed | holed).all() and (putts["surface"] == "green").all()):
            return None
        at, at_left, table = _tenths(length), _tenths(left), self._of_tenths
        if at is None:
            lengths, at = each_once(length)
            table = _ByLength(lengths, self._baseline)
        after = (
            self._baseline.expected_putts(left)
            if at_left is None
            else self._of_tenths.expected[at_left]
        )
        row = _RESULTS * at + missed
        leave = missed * (table.after_miss[row] - after)
        slope = putts["slope"].to_physical().to_numpy()
        place = run * _CELLS + table.band[row] * len(SLOPES) + slope
        taken, group = _found(place)
        sums = sums_of_rows(group, len(taken), row, table.added)
        sums[:, _BY_LENGTH.index("leave")] = np.bincount(group, leave, len(taken))
        return Cells(taken, sums, _BY_LENGTH)


_RESULTS = 2
_HOLED, _MISSED = RESULTS.index("holed"), RESULTS.index("missed")


def _tenths(length_ft: Array) -> Index | None:
    """Tenths of a foot less one, shape (n,); None unless all are whole ones of the baseline."""
    tenths = np.rint(length_ft * TENTHS)
    whole = np.array_equal(tenths / TENTHS, length_ft)
    if whole and tenths.min() > 0 and length_ft.max() <= LONGEST_FT:
        return np.asarray(tenths - 1, dtype=np.int64)
    return None


class _ByLength:
    """What a putt of each length adds, holed and missed in turn."""

    def __init__(self, length_ft: Array, baseline: Baseline) -> None:
        twice = np.repeat(length_ft, _RESULTS)
        putts = pl.DataFrame({"distance_ft": twice}).select(
            *(pl.lit(name).alias(name) for name in ("player", "date", "round")),
            pl.int_range(pl.len()).alias("hole"),
            pl.lit(1).alias("putt"),
            "distance_ft",
            # Any: what hangs on the leave is added putt by putt.
            pl.lit(SHORTEST_FT).alias("leave_ft"),
            pl.Series("result", ["holed", "missed"] * len(length_ft), PUTTS_SCHEMA["result"]),
            pl.lit("green").alias("surface"),
        )
        gained = strokes_gained(putts, baseline, in_order_already=True)
        self.added = gained.select(_added()).select(_BY_LENGTH).to_numpy(order="c")
        self.expected = gained["expected"].to_numpy()[::_RESULTS].copy()
        self.after_miss = gained.select(after_miss()).to_series().to_numpy()
        self.band = gained["band"].to_physical().cast(pl.Int64).to_numpy()


def _cell() -> pl.Expr:
    """Number of a band and slope, counted through bands, then slopes."""
    band, slope = (pl.col(name).to_physical().cast(pl.Int64) for name in CELL_KEY)
    return band * len(SLOPES) + slope


def _type_of(name: str) -> type[np.int64 | np.float64]:
    return np.int64 if name in _COUNTS else np.float64


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
