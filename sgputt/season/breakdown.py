"""Strokes gained by month, event, course, green speed, break, and first or later putt."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise

import numpy as np
import polars as pl

from sgputt.gained.sums import round_sums
from sgputt.inference.intervals import HOLES_IN_A_ROUND, LEVEL, known_or_null, per_round, widen
from sgputt.putts.table import BREAKS, HOLE_KEY, ROUND_KEY
from sgputt.season.scored import Scored

# Green speeds in feet, (lo, hi] as the distance bands.
STIMP_EDGES_FT = (8.0, 9.0, 10.0, 11.0, 12.0)
STIMP_LABELS = (
    f"up to {STIMP_EDGES_FT[0]:g} ft",
    *(f"{low:g}-{high:g} ft" for low, high in pairwise(STIMP_EDGES_FT)),
    f"over {STIMP_EDGES_FT[-1]:g} ft",
)
# What divides rounds or putts, by the name of its table.
BREAKDOWNS = {
    "months": "month",
    "events": "event",
    "courses": "course",
    "stimps": "stimp",
    "breaks": "break",
    "first_and_later": "putt",
}
UNKNOWN = "unknown"
NO_EVENT = "no event"
FIRST, LATER, NOT_SPLIT = "first putt", "later putts", "not split"

SCHEMA: dict[str, pl.DataType] = {
    "label": pl.String(),
    "rounds": pl.Int64(),
    "putts": pl.Int64(),
    "per_round": pl.Float64(),
    "low": pl.Float64(),
    "high": pl.Float64(),
}
_WHOLE = ("holing", "leave", "not_split")


def gained_by(scored: Scored, what: str, level: float = LEVEL) -> pl.DataFrame:
    """Strokes gained a round of 18 holes, for each group of ``what``.

    ``month``, ``event``, ``course`` and ``stimp`` tell rounds apart: each figure is of those rounds
    alone. ``break`` and ``putt`` tell the putts of every round apart: the figures add up to the
    season's.

    Parameters
    ----------
    scored : Scored
    what : str
        One of :data:`BY`. ``stimp`` is the median green speed written in a round, in bands
        (lo, hi]. ``putt`` is ``first putt`` (from the green) and ``later putts``; where later
        lengths were not written, what they and the miss before them gained together is
        ``not split``.
    level : float
        Coverage aimed at.

    Returns
    -------
    polars.DataFrame
        Columns of :data:`SCHEMA`. ``label``: ``2026-05`` of a month; ``no event`` or ``unknown``
        where nothing was written, last. Events and courses with most rounds come first, the rest
        in natural order. ``rounds``: rounds with the label. ``putts``: those that count (those of
        ``not split`` are among the others too). ``low, high``: resampling interval of
        ``per_round``, never narrower than chance; null from one round.

    Raises
    ------
    ValueError
        Another word for ``what``.
    """
    if what not in _BY:
        raise ValueError(f"what: {what!r}; one of {', '.join(_BY)}")
    return _BY[what](scored, level)


def _by_month(scored: Scored, level: float) -> pl.DataFrame:
    labels = scored.rounds.with_columns(pl.col("date").dt.strftime("%Y-%m").alias("label"))
    return _of_rounds(scored, labels, level).sort("label")


def _by_course(scored: Scored, level: float) -> pl.DataFrame:
    labels = scored.rounds.with_columns(pl.col("course").alias("label"))
    return _of_rounds(scored, labels, level).sort("rounds", "label", descending=[True, False])


def _by_event(scored: Scored, level: float) -> pl.DataFrame:
    labels = scored.rounds.with_columns(pl.col("event").fill_null(NO_EVENT).alias("label"))
    return _of_rounds(scored, labels, level).sort(
        pl.col("label") == NO_EVENT, "rounds", "label", descending=[False, True, False]
    )


def _by_stimp(scored: Scored, level: float) -> pl.DataFrame:
    speeds = scored.gained.group_by(ROUND_KEY).agg(pl.col("stimp_ft").median())
    band = pl.lit(pl.Series(STIMP_EDGES_FT)).search_sorted(pl.col("stimp_ft"), side="left")
    label = band.replace_strict(dict(enumerate(STIMP_LABELS)), return_dtype=pl.String)
    known = pl.when(pl.col("stimp_ft").is_not_null()).then(label).otherwise(pl.lit(UNKNOWN))
    labels = scored.rounds.join(
        speeds, on=ROUND_KEY, how="left", maintain_order="left"
    ).with_columns(known.alias("label"))
    return _in_order(_of_rounds(scored, labels, level), (*STIMP_LABELS, UNKNOWN))


def _by_break(scored: Scored, level: float) -> pl.DataFrame:
    putts = scored.gained.with_columns(pl.col("break").cast(pl.String).alias("label"))
    return _in_order(_of_putts(scored, putts, level), BREAKS)


def _by_putt(scored: Scored, level: float) -> pl.DataFrame:
    green = scored.gained.filter(pl.col("surface") == "green")
    first = pl.col("putt") == pl.col("putt").min().over(HOLE_KEY)
    putts = green.with_columns(
        pl.when(first).then(pl.lit(FIRST)).otherwise(pl.lit(LATER)).alias("label")
    )
    unsplit = putts.filter(pl.col("not_split") != 0).with_columns(pl.lit(NOT_SPLIT).alias("label"))
    parts = [
        _of_putts(scored, putts, level, ("holing", "leave")),
        _of_putts(scored, unsplit, level, ("not_split",)),
    ]
    return _in_order(pl.concat(parts), (FIRST, LATER, NOT_SPLIT))


_BY: dict[str, Callable[[Scored, float], pl.DataFrame]] = {
    "month": _by_month,
    "event": _by_event,
    "course": _by_course,
    "stimp": _by_stimp,
    "break": _by_break,
    "putt": _by_putt,
}
BY = tuple(_BY)


def _in_order(table: pl.DataFrame, labels: Sequence[str]) -> pl.DataFrame:
    return table.sort(pl.col("label").cast(pl.Enum(labels)))


def _of_rounds(scored: Scored, labels: pl.DataFrame, level: float) -> pl.DataFrame:
    """Each label over its own rounds."""
    sums = _sums_of_rounds(scored.gained, labels, _WHOLE)
    rows = [
        _row(str(label), rounds.height, rounds, level)
        for (label,), rounds in sums.group_by("label", maintain_order=True)
    ]
    return pl.DataFrame(rows, schema=SCHEMA, orient="row")


def _of_putts(
    scored: Scored, putts: pl.DataFrame, level: float, parts: tuple[str, ...] = _WHOLE
) -> pl.DataFrame:
    """Each label over all rounds."""
    rows = []
    for (label,), some in putts.filter("counts").group_by("label", maintain_order=True):
        sums = _sums_of_rounds(some, scored.rounds, parts)
        rows.append(_row(str(label), some.select(ROUND_KEY).n_unique(), sums, level))
    return pl.DataFrame(rows, schema=SCHEMA, orient="row")


def _sums_of_rounds(
    putts: pl.DataFrame, rounds: pl.DataFrame, parts: tuple[str, ...]
) -> pl.DataFrame:
    """The rounds with ``counted``, ``gained`` and ``chance`` of the putts that count in each."""
    sums = (
        round_sums(putts)
        .group_by(ROUND_KEY)
        .agg(
            pl.col("putts").sum().alias("counted"),
            pl.sum_horizontal(*parts).sum().alias("gained"),
            pl.sum_horizontal("holing_variance", "leave_variance").sum().alias("chance"),
        )
    )
    table = rounds.drop("gained", "counted", "chance", strict=False)
    table = table.join(sums, on=ROUND_KEY, how="left", maintain_order="left")
    return table.with_columns(pl.col("counted", "gained", "chance").fill_null(0))


def _row(label: str, count: int, rounds: pl.DataFrame, level: float) -> tuple[object, ...]:
    holes = rounds["holes"].to_numpy().astype(np.float64)
    a_round = (HOLES_IN_A_ROUND / holes.sum()) ** 2
    chance = np.array([float(rounds["chance"].to_numpy().sum()) * a_round])
    found = per_round(rounds["gained"].to_numpy()[:, None], holes, level)
    found = widen(found, chance, len(holes), level)
    low, high = known_or_null(found.low[0]), known_or_null(found.high[0])
    counted = int(rounds["counted"].to_numpy().sum())
    return label, count, counted, float(found.value[0]), low, high
