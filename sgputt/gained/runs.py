"""Runs of rows: rows that stand together and agree in some columns, such as the putts of a round.

Sums over runs add their rows in the order in which they stand, so the same rows in the same order
give the same sums to the last digit, whatever machine adds them up. Long tables are worked on in
slices of whole rounds, on all cores.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from functools import reduce
from itertools import pairwise
from operator import or_
from typing import TypeVar

import numpy as np
import polars as pl
from numpy.typing import NDArray
from scipy.sparse import coo_array

from sgputt.physics.roll import Array

Index = NDArray[np.int64]
Starts = NDArray[np.bool_]
# Column that says whether a row starts a run.
NEW_RUN = "new_run"
T = TypeVar("T")

# Few enough that a slice's columns stay in the caches and that no core waits long for the last of
# a table, and enough that starting on one costs little beside it. Measured: 60,000 to 500,000 take
# at most a fifth longer.
ROWS_OF_A_SLICE = 125_000
_ROWS_OF_A_LOOK = 1000
_LARGE_PIECE = 31 * 1024**2


def in_order(table: pl.DataFrame, keys: Sequence[str], runs_of: Sequence[str] = ()) -> pl.DataFrame:
    """Rows sorted by these columns; equal ones stay as they stand.

    A table that is sorted already, and has no null there, is given back as it is.

    Parameters
    ----------
    table : polars.DataFrame
    keys : sequence of str
    runs_of : sequence of str
        The first of the keys: a column :data:`NEW_RUN` is added for them, as :func:`starts` has it.
        Texts are slow to compare, and so are compared once.
    """
    cuts = range(0, table.height, ROWS_OF_A_SLICE)
    # With the first row of the next slice, which must not stand before the last of this one.
    slices = [table[list(keys)][at : at + ROWS_OF_A_SLICE + 1] for at in cuts]
    found = _several_at_once(lambda rows: _new_runs(rows, len(runs_of)), slices)
    new = [each for each in found if each is not None]
    if len(new) < len(found):
        table = table.sort(keys, maintain_order=True)
        return table.with_columns(pl.Series(NEW_RUN, starts(table, runs_of))) if runs_of else table
    if not runs_of:
        return table
    first = pl.Series([True] * min(1, table.height), dtype=pl.Boolean)
    return table.with_columns(pl.concat([first, *new]).alias(NEW_RUN))


def _new_runs(table: pl.DataFrame, first: int) -> pl.Series | None:
    """Whether each row but the first differs in the first columns; None where rows fall."""
    same = pl.Series([True])
    new = ~same
    for number, column in enumerate(table, 1):
        before, here = column[:-1], column[1:]
        differs = here != before
        # Few rows differ from the one before.
        changed = same & differs
        if column.null_count() or (here.filter(changed) < before.filter(changed)).any():
            return None
        same = same & ~differs
        if number == first:
            new = ~same
    return new


def new_run(keys: Sequence[str]) -> pl.Expr:
    """Whether a row differs in these columns from the one before it; the first row does."""
    differs = (pl.col(key).ne_missing(pl.col(key).shift(1)) for key in keys)
    return pl.any_horizontal(differs) | (pl.int_range(pl.len()) == 0)


def starts(table: pl.DataFrame, keys: Sequence[str]) -> Starts:
    """Whether each row starts a run, as :func:`new_run` says, shape (rows,)."""
    columns = table[list(keys)]
    if any(column.null_count() for column in columns):
        return np.asarray(table.select(new_run(keys)).to_series().to_numpy(), dtype=np.bool_)
    # Column by column, not as a query: Polars' own threads would be woken for each slice.
    differs = [column[1:] != column[:-1] for column in columns]
    found = np.ones(table.height, dtype=np.bool_)
    found[1:] = reduce(or_, differs).to_numpy()
    return found


def run_of(table: pl.DataFrame, keys: Sequence[str]) -> Index:
    """Number of the run of each row, from 0, shape (rows,)."""
    return numbered(starts(table, keys))


def numbered(starts: Starts) -> Index:
    """Number of the run of each row, from 0, shape (rows,)."""
    return np.cumsum(starts) - 1


def first_rows(run: Index) -> Index:
    """Row at which each run starts, shape (runs,)."""
    first = np.ones(len(run), dtype=np.bool_)
    np.not_equal(run[1:], run[:-1], out=first[1:])
    return np.flatnonzero(first)


def count_between(true: Starts, bounds: Index) -> Index:
    """How many are true from each of these rows up to the next, shape (bounds - 1,)."""
    return np.diff(np.append(0, np.cumsum(true))[bounds])


def sums_by(group: Index, groups: int, values: Array) -> Array:
    """Sum of every column by group, shape (groups, columns).

    Parameters
    ----------
    group : ndarray, shape (rows,)
        Group of each row, from 0 to ``groups`` - 1.
    groups : int
    values : ndarray, shape (rows, columns)
    """
    return sums_of_rows(group, groups, np.arange(len(group)), values)


def sums_of_rows(group: Index, groups: int, row: Index, values: Array) -> Array:
    """Sum of rows of a table by group: ``values[row[k]]`` is added to the sum of ``group[k]``.

    A product of two matrices, for SciPy adds whole rows up, in the order of ``k``.
    """
    which = coo_array((np.ones(len(group)), (group, row)), shape=(groups, len(values)))
    return np.asarray(which @ values, dtype=np.float64)


def read_ahead(tables: Iterator[pl.DataFrame]) -> Iterator[pl.DataFrame]:
    """The same tables; each is read in a thread while the one before it is worked on."""
    with ThreadPoolExecutor(1) as thread:
        following = thread.submit(next, tables, None)
        while (table := following.result()) is not None:
            following = thread.submit(next, tables, None)
            yield table


def by_slices(
    table: pl.DataFrame,
    keys: Sequence[str],
    work: Callable[[pl.DataFrame], T],
    rows: int = ROWS_OF_A_SLICE,
) -> list[T]:
    """Do the same with every slice of a table, several at once.

    Parameters
    ----------
    table : polars.DataFrame
        Rows that agree in ``keys`` must stand together; they are never parted.
    keys : sequence of str
    work : callable
        Runs in threads, one more than Polars has: at any time one waits for the interpreter.
    rows : int
        Rows after which a slice ends with the next change of ``keys``.

    Returns
    -------
    list
        What ``work`` gave, in the order of the slices; a table without rows is one slice.
    """
    cuts = [0]
    while cuts[-1] < table.height:
        cuts.append(_next_change(table, keys, cuts[-1] + rows))
    return _several_at_once(work, [table[at:end] for at, end in pairwise(cuts)] or [table])


def _several_at_once(work: Callable[[pl.DataFrame], T], slices: Sequence[pl.DataFrame]) -> list[T]:
    if len(slices) <= 1:
        return [work(each) for each in slices]
    _keep_freed_memory()
    with ThreadPoolExecutor(pl.thread_pool_size() + 1) as threads:
        # In one piece each: columns that are cut in different places are copied to be compared.
        return list(threads.map(lambda rows: work(rows.rechunk()), slices))


def _keep_freed_memory() -> None:
    """Let glibc use freed memory again; giving back and fetching pages took a quarter of the time.

    It gives back what is free beyond twice the largest piece that was ever freed, of those up to
    32 MiB. The piece here is not written to, so it takes no memory.
    """
    np.empty(_LARGE_PIECE, dtype=np.uint8)


def _next_change(table: pl.DataFrame, keys: Sequence[str], row: int) -> int:
    """First row from this one on that differs in the keys from the row before it."""
    while row < table.height:
        found = np.flatnonzero(starts(table[row - 1 : row + _ROWS_OF_A_LOOK], keys)[1:])
        if len(found):
            return row + int(found[0])
        row += _ROWS_OF_A_LOOK
    return table.height
