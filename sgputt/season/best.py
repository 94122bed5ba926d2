"""The best and worst rounds, and what made them so."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields
from datetime import date
from typing import Any

import polars as pl

from sgputt.gained.sums import round_sums
from sgputt.inference.resample import HOLES_IN_A_ROUND
from sgputt.putts.bands import BAND
from sgputt.putts.table import ROUND_KEY
from sgputt.season.scored import Scored

MOST_ROUNDS = 3
MOST_PARTS = 3
MOST_PUTTS = 3
PARTS = ("holing", "leave", "not_split")
# Less than this is no part of the story, strokes.
_LEAST = 0.05
_PUTT_COLUMNS = ["hole", "putt", "distance_ft", "slope", "break", "result", "leave_ft"]


@dataclass(frozen=True)
class RoundStory:
    """One round and what made it. Strokes gained, of the holes played; positive is good.

    Attributes
    ----------
    round_id : int or None
        Its number in the archive.
    per_round : float
        ``strokes_gained`` as of 18 holes.
    parts : polars.DataFrame
        ``distance, component, gained, usual, difference``: the bands and components (holing,
        leave, not split) that set the round apart, most first. ``usual`` is the mean of all
        rounds given, for as many holes; ``difference = gained - usual``, above zero in a best
        round and below in a worst.
    putts : polars.DataFrame
        ``hole, putt, distance_ft, slope, break, result, leave_ft, gained``: the putts that gained
        most in a best round, or cost most in a worst; what could not be split counts with the
        miss that began it.
    """

    round_id: int | None
    date: date
    round: int
    course: str
    event: str | None
    holes: int
    strokes_gained: float
    per_round: float
    parts: pl.DataFrame
    putts: pl.DataFrame

    def as_dict(self) -> dict[str, Any]:
        """Its JSON, which scripts may rely on."""
        values = {each.name: getattr(self, each.name) for each in fields(self)}
        return {**values, "parts": self.parts.to_dicts(), "putts": self.putts.to_dicts()}


def best_rounds(scored: Scored, most: int = MOST_ROUNDS) -> list[RoundStory]:
    """Rounds in which most strokes were gained, best first.

    Parameters
    ----------
    scored : Scored
        Rounds of one player.
    most : int
        Length of the list; never more than half of the rounds, so that none is among the best
        and the worst, and none of a single one.
    """
    return list(_stories(scored, most, best=True))


def worst_rounds(scored: Scored, most: int = MOST_ROUNDS) -> list[RoundStory]:
    """Rounds in which most strokes were lost, worst first; as :func:`best_rounds`."""
    return list(_stories(scored, most, best=False))


def _stories(scored: Scored, most: int, best: bool) -> Iterator[RoundStory]:
    rounds = scored.rounds.sort(
        "strokes_gained", "date", "round", descending=[best, False, False]
    ).head(min(most, scored.rounds.height // 2))
    parts = _parts(scored)
    for facts in rounds.iter_rows(named=True):
        yield _story(scored, parts, facts, best)


def _story(scored: Scored, parts: pl.DataFrame, facts: dict[str, Any], best: bool) -> RoundStory:
    here = pl.all_horizontal(*(pl.col(name) == facts[name] for name in ROUND_KEY))
    sign = 1 if best else -1
    gained = parts.filter(here).with_columns(
        (pl.col("usual_a_hole") * facts["holes"]).alias("usual"),
        (pl.col("gained") - pl.col("usual_a_hole") * facts["holes"]).alias("difference"),
    )
    return RoundStory(
        round_id=facts.get("round_id"),
        date=facts["date"],
        round=facts["round"],
        course=facts["course"],
        event=facts["event"],
        holes=facts["holes"],
        strokes_gained=facts["strokes_gained"],
        per_round=HOLES_IN_A_ROUND * facts["strokes_gained"] / facts["holes"],
        parts=gained.filter(sign * pl.col("difference") >= _LEAST)
        .sort(sign * pl.col("difference"), "distance", "component", descending=[True, False, False])
        .select("distance", "component", "gained", "usual", "difference")
        .head(MOST_PARTS),
        putts=_putts(scored.gained.filter(here), sign),
    )


def _parts(scored: Scored) -> pl.DataFrame:
    """Strokes gained of every round by band and component, with the usual of one hole."""
    rounds = scored.rounds.select(*ROUND_KEY, "holes")
    sums = (
        round_sums(scored.gained)
        .group_by(*ROUND_KEY, "band")
        .agg(pl.col(PARTS).sum())
        .unpivot(PARTS, index=[*ROUND_KEY, "band"], variable_name="component", value_name="gained")
        .with_columns(pl.col("component").replace("not_split", "not split"))
    )
    usual = sums.group_by("band", "component").agg(
        (pl.col("gained").sum() / int(rounds["holes"].sum())).alias("usual_a_hole")
    )
    # A band without a putt that day gained nothing, which may set the round apart too.
    return (
        rounds.join(usual, how="cross")
        .join(sums, on=[*ROUND_KEY, "band", "component"], how="left")
        .with_columns(pl.col("gained").fill_null(0.0), pl.col("band").cast(BAND))
        .rename({"band": "distance"})
    )


def _putts(gained: pl.DataFrame, sign: int) -> pl.DataFrame:
    return (
        gained.filter("counts")
        .with_columns(pl.sum_horizontal("holing", "leave", "not_split").alias("gained"))
        .filter(sign * pl.col("gained") >= _LEAST)
        .sort(sign * pl.col("gained"), "hole", "putt", descending=[True, False, False])
        .select(*_PUTT_COLUMNS, "gained")
        .head(MOST_PUTTS)
    )
