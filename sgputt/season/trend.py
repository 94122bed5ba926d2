"""From round to round: the trend, and the best and the worst rounds with what made them so."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields
from datetime import date
from typing import Any

import numpy as np
import polars as pl

from sgputt.gained.sums import round_sums
from sgputt.inference.cells import COMPONENTS, chance_variance
from sgputt.inference.intervals import HOLES_IN_A_ROUND, LEVEL, ROUNDS_FOR_AN_INTERVAL, t_quantile
from sgputt.physics.roll import Array
from sgputt.putts.bands import BAND
from sgputt.putts.table import ROUND_KEY
from sgputt.season.scored import Scored

WINDOW = 5
MOST_ROUNDS = 3
MOST_PARTS = 3
LEAST_SHARE = 1 / 2
MOST_PUTTS = 3
PARTS = ("holing", "leave", "not_split")
# Less than this is no part of the story, strokes.
_LEAST = 0.05
_PUTT_COLUMNS = ["hole", "putt", "distance_ft", "slope", "break", "result", "leave_ft"]


def trend(scored: Scored, window: int = WINDOW, level: float = LEVEL) -> pl.DataFrame:
    """Rolling mean of strokes gained, one row a round in the order played.

    The band is the mean of the window give or take Student's t times its standard error. A few
    rounds say too little of their own spread, so the spread is that of the whole season, from
    the differences of successive rounds, which a slow change hardly touches (von Neumann et al.
    1941, *Ann. Math. Statist.* 12(2), 153-162; from memory), and never less than chance. It is the
    band of one row; of many rows some will stand outside their truth.

    Parameters
    ----------
    scored : Scored
        Rounds of one player.
    window : int
        Rounds behind each mean, its own included; fewer at the start.
    level : float
        Coverage aimed at by the band of each row.

    Returns
    -------
    polars.DataFrame
        ``date, round, course, event``, ``round_id`` where known, ``holes``; ``per_round``, the
        round's strokes gained as of 18 holes; ``over``, the rounds in the window; ``mean, low,
        high`` of the window for 18 holes. ``low, high`` are null where there is one round in all.

    Raises
    ------
    ValueError
        A window below 1.
    """
    if window < 1:
        raise ValueError(f"window: {window}; 1 or more")
    rounds = scored.rounds
    holes = rounds["holes"].to_numpy().astype(np.float64)
    gained = rounds["strokes_gained"].to_numpy()
    played, total = _rolling(holes, window), _rolling(gained, window)
    mean = HOLES_IN_A_ROUND * total / played
    spread, freedom = spread_a_hole(scored)
    reach = float(t_quantile((1 + level) / 2, freedom)) * spread * HOLES_IN_A_ROUND
    keys = ["date", "round", "course", "event"]
    keys += ["round_id"] if "round_id" in rounds.columns else []
    return rounds.select(*keys, "holes").with_columns(
        pl.Series("per_round", HOLES_IN_A_ROUND * gained / holes),
        pl.Series("over", np.minimum(np.arange(len(holes)) + 1, window)),
        pl.Series("mean", mean),
        pl.Series("low", mean - reach / np.sqrt(played)).fill_nan(None),
        pl.Series("high", mean + reach / np.sqrt(played)).fill_nan(None),
    )


def _rolling(values: Array, window: int) -> Array:
    """Sum of each value and the ``window - 1`` before it."""
    sums = np.cumsum(np.concatenate([np.zeros(window), values]))
    return np.asarray(sums[window:] - sums[:-window], dtype=np.float64)


def spread_a_hole(scored: Scored) -> tuple[float, float]:
    """Standard deviation of one hole's strokes gained, from successive rounds, and its freedom.

    Never less than chance alone; NaN from one round. Half the mean square difference of n values
    has ``(3 n - 4) / (n - 1)^2`` times the squared variance for variance, as much as a chi-square
    of ``2 (n - 1)^2 / (3 n - 4)`` degrees.
    """
    holes = scored.rounds["holes"].to_numpy().astype(np.float64)
    rounds = len(holes)
    if rounds < ROUNDS_FOR_AN_INTERVAL:
        return float("nan"), float("nan")
    gained = scored.rounds["strokes_gained"].to_numpy()
    steps = np.diff(gained / holes) ** 2 / (1 / holes[1:] + 1 / holes[:-1])
    chance = sum(float(chance_variance(scored.matrix, each).sum()) for each in COMPONENTS)
    chance_a_hole = chance * float(scored.matrix.holes.sum()) / HOLES_IN_A_ROUND**2
    spread = float(np.sqrt(max(float(steps.mean()), chance_a_hole)))
    return spread, 2 * (rounds - 1) ** 2 / (3 * rounds - 4)


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
    """Rounds in which most strokes were gained, as of 18 holes, best first.

    Rounds of fewer than half as many holes as the longest are left out: a few holes say little.

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
    """Rounds in which most strokes were lost, as of 18 holes, worst first; see best_rounds."""
    return list(_stories(scored, most, best=False))


def _stories(scored: Scored, most: int, best: bool) -> Iterator[RoundStory]:
    long_enough = scored.rounds.filter(pl.col("holes") >= pl.col("holes").max() * LEAST_SHARE)
    rounds = long_enough.sort(
        pl.col("strokes_gained") / pl.col("holes"), "date", "round", descending=[best, False, False]
    ).head(min(most, long_enough.height // 2))
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
