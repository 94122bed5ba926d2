"""The putts table: one row a putt, the only thing the engine reads.

Wherever putts come from (a scorecard, the archive, Parquet, a frame in memory), they arrive in
this shape. Lengths are feet. A null is "not recorded", never zero.

``distance_ft`` may be null for a later putt whose length was not written: the stroke still counts,
so the hole's total stays exact, and only the parts that need the length are left out.
"""

from __future__ import annotations

import polars as pl

from sgputt.errors import TableError
from sgputt.putts.columns import IN_TABLE, PuttColumn, words_of

RESULTS = words_of("result")
SLOPES = words_of("slope")
BREAKS = words_of("break")
PACES = words_of("miss_pace")
SIDES = words_of("miss_side")
CAUSES = words_of("cause")
SURFACES = words_of("surface")
ENDINGS = ("holed", "conceded", "picked up", "chipped in")

PUTTS_SCHEMA: dict[str, pl.DataType] = {column.name: column.dtype for column in IN_TABLE}

# How far a leave and the length of the next putt may lie apart and still be called the same.
LEAVE_TOLERANCE_FT = 0.5


def _is_of_a_hole(column: PuttColumn) -> bool:
    # The green speed is written once a round, and kept with each putt.
    return column.per in ("round", "hole") and column.name != "stimp_ft"


HOLES_SCHEMA: dict[str, pl.DataType] = {
    **{column.name: column.dtype for column in IN_TABLE if _is_of_a_hole(column)},
    "ending": pl.Enum(ENDINGS),
}

ROUND_KEY = ["player", "date", "round"]
HOLE_KEY = [*ROUND_KEY, "hole"]
PUTT_KEY = [*HOLE_KEY, "putt"]
REQUIRED = tuple(column.name for column in IN_TABLE if column.needed and column.name != "date")
DEFAULTS: dict[str, str | int] = {
    column.name: column.default for column in IN_TABLE if column.default is not None
}


def conform_putts(frame: pl.DataFrame) -> pl.DataFrame:
    """Give a frame the columns and types of the putts table, in order.

    Parameters
    ----------
    frame : polars.DataFrame
        One row a putt. Needs ``hole, putt, distance_ft, result`` and a ``date``; other columns of
        :data:`PUTTS_SCHEMA` may be absent and are then unknown. Further columns are kept behind.

    Returns
    -------
    polars.DataFrame
        Same rows and order. Where ``leave_ft`` is not known it is the next putt's distance, and 0
        when holed.

    Raises
    ------
    TableError
        A needed column is absent, or a value does not fit its column.

    Examples
    --------
    >>> import datetime, sgputt
    >>> day = datetime.date(2026, 5, 3)
    >>> frame = pl.DataFrame({"date": [day, day], "hole": [1, 1], "putt": [1, 2],
    ...                       "distance_ft": [20.0, 2.0], "result": ["missed", "holed"]})
    >>> sgputt.conform_putts(frame)["leave_ft"].to_list()
    [2.0, 0.0]
    """
    missing = [name for name in (*REQUIRED, "date") if name not in frame.columns]
    if missing:
        raise TableError(
            f"putts table: no column {', '.join(missing)}",
            f"Needed: {', '.join((*REQUIRED, 'date'))}. Here: {', '.join(frame.columns)}.",
        )
    columns = [_column(frame, name, dtype) for name, dtype in PUTTS_SCHEMA.items()]
    extra = [name for name in frame.columns if name not in PUTTS_SCHEMA]
    try:
        table = frame.select(*columns, *extra)
    except (pl.exceptions.InvalidOperationError, pl.exceptions.SchemaError) as exc:
        raise TableError(
            f"putts table: {str(exc).splitlines()[0]}",
            "The columns and their words are listed in DEVELOPERS.md under 'The putts table'.",
        ) from exc
    return table.with_columns(pl.coalesce("leave_ft", leave_from_next()).alias("leave_ft"))


def _column(frame: pl.DataFrame, name: str, dtype: pl.DataType) -> pl.Expr:
    if name not in frame.columns:
        return pl.lit(DEFAULTS.get(name), dtype=dtype).alias(name)
    column = pl.col(name).cast(dtype)
    return column.fill_null(DEFAULTS[name]) if name in DEFAULTS else column


def leave_from_next() -> pl.Expr:
    """Leave of each putt in feet: the next putt's distance; 0 when holed; null when unknown."""
    following = pl.col("distance_ft").shift(-1).over(HOLE_KEY, order_by="putt")
    return (
        pl.when(pl.col("result") == "holed")
        .then(0.0)
        .when(pl.col("result") == "missed")
        .then(following)
    )


def holes_from_putts(putts: pl.DataFrame) -> pl.DataFrame:
    """Holes that the putts themselves show, one row each (chip-ins cannot show here).

    A hole ends as its last putt did; a last putt that missed means the ball was picked up.
    """
    keys = [name for name in HOLES_SCHEMA if name != "ending"]
    if "round_id" in putts.columns:
        keys.append("round_id")
    last = pl.col("result").cast(pl.String).sort_by("putt").last()
    return (
        putts.group_by(keys, maintain_order=True)
        .agg(last.replace("missed", "picked up").cast(HOLES_SCHEMA["ending"]).alias("ending"))
        .select([*HOLES_SCHEMA, *(k for k in keys if k not in HOLES_SCHEMA)])
    )
