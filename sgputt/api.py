"""Frames in and out: the putts table from pandas, Polars, Parquet or CSV, and results as pandas."""

from __future__ import annotations

import dataclasses
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any, overload

import polars as pl

from sgputt.errors import TableError
from sgputt.putts.rules import find_faults
from sgputt.putts.table import PUTTS_SCHEMA, conform_putts
from sgputt.safe_text import unguarded

if TYPE_CHECKING:
    import pandas as pd
    from _typeshed import DataclassInstance

_FORMS = "Give a pandas or Polars frame, or the path of a .parquet or .csv file of putts."
_TABLE = "The columns and their words are listed in DEVELOPERS.md under 'The putts table'."
_ROWS_NAMED = 5


def putts_from(
    source: pl.DataFrame | pl.LazyFrame | pd.DataFrame | str | os.PathLike[str],
) -> pl.DataFrame:
    """Make the putts table of whatever holds a row a putt.

    Parameters
    ----------
    source : polars.DataFrame, polars.LazyFrame, pandas.DataFrame, str or path
        Columns as in DEVELOPERS.md under "The putts table"; lengths in feet; needed are ``date,
        hole, putt, distance_ft, result``. A path names a ``.parquet`` file, a folder of them, or a
        ``.csv`` file such as ``sgputt export`` writes. A scorecard is read by
        :func:`sgputt.read_scorecard` instead.

    Returns
    -------
    polars.DataFrame
        As :func:`sgputt.conform_putts`, which needs a Polars frame with dates that are dates.

    Raises
    ------
    TableError
        There is no such file, a needed column is absent, a value does not fit its column, or a row
        breaks a rule of the table; the rows are named, counted from 0.

    Examples
    --------
    >>> frame = pl.DataFrame({"date": ["2026-05-03"] * 2, "hole": [1, 1], "putt": [1, 2],
    ...                       "distance_ft": [20.0, 2.0], "result": ["missed", "holed"]})
    >>> putts_from(frame)["leave_ft"].to_list()
    [2.0, 0.0]
    """
    frame = _read(source)
    if frame.schema.get("date") == pl.String:
        frame = _with_dates(frame)
    putts = conform_putts(frame)
    _hold_rules(putts)
    return putts


@overload
def to_pandas(result: pl.DataFrame) -> pd.DataFrame: ...
@overload
def to_pandas(result: DataclassInstance) -> dict[str, pd.DataFrame]: ...
def to_pandas(result: pl.DataFrame | DataclassInstance) -> pd.DataFrame | dict[str, pd.DataFrame]:
    """A table as pandas; of a result such as a season's summary, its tables by name.

    Parameters
    ----------
    result : polars.DataFrame or dataclass
        Words that come in an order (bands of distance, slopes) become ordered categories.

    Raises
    ------
    TableError
        Neither a table nor a result that holds one.

    Examples
    --------
    >>> to_pandas(pl.DataFrame({"putts": [31, 29]}))["putts"].mean()
    np.float64(30.0)
    """
    if isinstance(result, pl.DataFrame):
        return result.to_pandas()
    if dataclasses.is_dataclass(result) and not isinstance(result, type):
        values = {each.name: getattr(result, each.name) for each in dataclasses.fields(result)}
        tables = {name: value for name, value in values.items() if isinstance(value, pl.DataFrame)}
        if tables:
            return {name: table.to_pandas() for name, table in tables.items()}
    raise TableError(
        f"{type(result).__name__}: neither a table nor a result with tables",
        "Give a Polars frame, or a result such as that of season_summary.",
    )


def _read(source: object) -> pl.DataFrame:
    if isinstance(source, pl.DataFrame):
        return source
    if isinstance(source, pl.LazyFrame):
        # The streaming engine would be free to change the order of the rows.
        return source.collect(engine="in-memory")
    if isinstance(source, str | os.PathLike):
        return _read_file(Path(os.fspath(source)))
    # Without pandas loaded the source cannot be its frame, and loading it takes its time.
    pandas: Any = sys.modules.get("pandas")
    if pandas is not None and isinstance(source, pandas.DataFrame):
        frame: pl.DataFrame = pl.from_pandas(source)
        return frame
    raise TableError(f"putts table: {type(source).__name__} is no table of putts", _FORMS)


def _read_file(path: Path) -> pl.DataFrame:
    if not path.exists():
        raise TableError(f"{path}: there is no such file", _FORMS)
    try:
        if path.is_dir():
            return pl.scan_parquet(path / "*.parquet").collect(engine="in-memory")
        if path.suffix.casefold() == ".parquet":
            return pl.read_parquet(path)
        if path.suffix.casefold() == ".csv":
            # Every column of the table as text, so that a player '007' keeps its zeros.
            texts = dict.fromkeys(PUTTS_SCHEMA, pl.String())
            return unguarded(pl.read_csv(path, schema_overrides=texts, infer_schema_length=None))
    except (pl.exceptions.PolarsError, UnicodeDecodeError) as exc:
        raise TableError(f"{path}: cannot be read: {str(exc).splitlines()[0]}", _FORMS) from exc
    raise TableError(f"{path}: neither .parquet nor .csv", _FORMS)


def _with_dates(frame: pl.DataFrame) -> pl.DataFrame:
    """Dates written as 2026-05-03, with or without a time behind, as dates."""
    dates = frame["date"].str.slice(0, 10).str.to_date("%Y-%m-%d", strict=False)
    wrong = frame["date"].filter(dates.is_null() & frame["date"].is_not_null())
    if len(wrong):
        raise TableError(
            f"putts table: {wrong[0]!r} is no date", "Write it year first, as in 2026-05-03."
        )
    return frame.with_columns(dates.alias("date"))


def _hold_rules(putts: pl.DataFrame) -> None:
    """Raise unless every row keeps the rules of the table; says the first kind of fault."""
    faults = list(find_faults(putts))
    if not faults:
        return
    first = faults[0]
    alike = [fault for fault in faults if fault.rule is first.rule]
    rows = ", ".join(str(fault.at) for fault in alike[:_ROWS_NAMED])
    more = " ..." if len(alike) > _ROWS_NAMED else ""
    others = len(faults) - len(alike)
    and_more = f" {others} more problems of other kinds." if others else ""
    raise TableError(
        f"putts table, row {rows}{more}, column '{first.rule.column}': {first.what}",
        f"{first.rule.hint}{and_more} {_TABLE}",
    )
