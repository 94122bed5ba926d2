"""Rounds scored against a baseline: what every summary starts from."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import polars as pl

from sgputt.baseline.curve import Baseline
from sgputt.errors import TooFewError
from sgputt.gained.per_putt import strokes_gained
from sgputt.gained.sums import round_sums
from sgputt.inference.cells import RoundMatrix, round_matrix
from sgputt.putts.table import HOLE_KEY, ROUND_KEY, holes_from_putts


@dataclass(frozen=True)
class Scored:
    """Putts, holes and strokes gained of some rounds.

    Attributes
    ----------
    gained : polars.DataFrame
        One row a putt, from :func:`sgputt.gained.per_putt.strokes_gained`.
    holes : polars.DataFrame
        One row a hole played, in order: the columns of the holes table and ``putts`` (strokes
        from the green), ``first_putt_ft`` (null without a putt from the green), ``strokes_gained``
        (0 without a putt; null when none of its putts counts), ``holing, leave, not_split,
        conceded, left_out`` (putts from the green that cannot be counted).
    baseline : Baseline
    """

    gained: pl.DataFrame
    holes: pl.DataFrame
    baseline: Baseline

    @cached_property
    def rounds(self) -> pl.DataFrame:
        """One row a round, in order played: its key, course, event, and sums over its holes."""
        keys = [*ROUND_KEY, "course", "event"]
        if "round_id" in self.holes.columns:
            keys.append("round_id")
        return (
            self.holes.group_by(keys)
            .agg(
                pl.len().alias("holes"),
                pl.col("putts").sum(),
                three_putt().sum().alias("three_putts"),
                one_putt().sum().alias("one_putts"),
                pl.col("first_putt_ft").mean(),
                pl.col("strokes_gained", "holing", "leave", "not_split", "conceded").sum(),
            )
            .sort("date", "round", "player")
        )

    @cached_property
    def matrix(self) -> RoundMatrix:
        """Per-round sums as arrays."""
        return round_matrix(round_sums(self.gained), self.rounds)


def one_putt() -> pl.Expr:
    """Whether a hole took one putt; a ball picked up after one was not holed by it."""
    return (pl.col("putts") == 1) & (pl.col("ending") != "picked up")


def three_putt() -> pl.Expr:
    """Whether a hole took three putts or more, however it ended."""
    return pl.col("putts") >= _THREE


_THREE = 3


def score(putts: pl.DataFrame, baseline: Baseline, holes: pl.DataFrame | None = None) -> Scored:
    """Score rounds against a baseline.

    Parameters
    ----------
    putts : polars.DataFrame
        The putts table.
    baseline : Baseline
    holes : polars.DataFrame, optional
        Every hole played, chip-ins too; without it, the holes that the putts show.

    Raises
    ------
    TooFewError
        There is no round.

    Examples
    --------
    >>> import sgputt
    >>> putts = sgputt.putts_from(pl.DataFrame(
    ...     {"date": ["2026-05-03"] * 2, "hole": [1, 2], "putt": [1, 1],
    ...      "distance_ft": [8.0, 8.0], "result": ["holed", "holed"]}))
    >>> scored = sgputt.score(putts, sgputt.get_baseline("tour"))
    >>> scored.gained["sg"].round(2).to_list()
    [0.5, 0.5]
    """
    if holes is None:
        holes = holes_from_putts(putts)
    if holes.is_empty():
        raise TooFewError("There is no round to score.", "Store one with: sgputt import FILE")
    gained = strokes_gained(putts, baseline)
    return Scored(gained, _by_hole(gained, holes), baseline)


def _by_hole(gained: pl.DataFrame, holes: pl.DataFrame) -> pl.DataFrame:
    green = gained.filter(pl.col("surface") == "green")
    sums = green.group_by(HOLE_KEY).agg(
        pl.len().alias("putts"),
        pl.col("distance_ft").sort_by("putt").first().alias("first_putt_ft"),
        pl.when(pl.col("counts").any() | (pl.col("result") == "conceded").all())
        .then(pl.sum_horizontal("holing", "leave", "not_split").filter("counts").sum())
        .alias("strokes_gained"),
        pl.col("holing").sum(),
        pl.col("leave").sum(),
        pl.col("not_split").sum(),
        pl.col("conceded").sum(),
        (
            pl.col("counts").not_()
            & (pl.col("result") != "conceded")
            & pl.col("distance_ft").is_not_null()
        )
        .sum()
        .alias("left_out"),
    )
    joined = holes.join(sums, on=HOLE_KEY, how="left", maintain_order="left")
    no_putt = pl.col("putts").is_null()
    sums_ = ["strokes_gained", "holing", "leave", "not_split", "conceded"]
    return joined.with_columns(
        *(pl.when(no_putt).then(0.0).otherwise(pl.col(name)).alias(name) for name in sums_),
        pl.col("putts", "left_out").fill_null(0).cast(pl.Int64),
    ).sort(*HOLE_KEY)
