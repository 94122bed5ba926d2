"""Why putts missed: pace or line, from where the ball finished.

Each miss from the green is put down to one reason, the first that holds:

* ``short``: it did not reach the hole.
* ``too hard``: past on the line itself, or so far past that it arrived faster than the hole takes
  even a ball in its middle, so no line would have holed it.
* ``high side``, ``low side``: past, on the side it broke from, or to.
* ``left``, ``right``: past, to one side of a straight putt (a right-hander's pull and push).
* ``unknown``: not enough was written down.

A putt hit too hard also takes less break and misses high; one below that speed is put down to the
side, since a better line would have holed it.
"""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass
from functools import cache
from typing import Any

import numpy as np
import polars as pl

from sgputt.inference.intervals import LEVEL, per_round, wilson_interval
from sgputt.putts.table import ROUND_KEY
from sgputt.season.scored import Scored
from sgputt.stroke.green import USUAL_GRADE, USUAL_STIMP_FT, capture_reach_ft

REASONS = ("short", "too hard", "high side", "low side", "left", "right", "unknown")
PACE_REASONS = ("short", "too hard")
REASON = pl.Enum(REASONS)
_SIGNS = {"uphill": 1.0, "level": 0.0, "downhill": -1.0}


@dataclass(frozen=True)
class Reason:
    """One reason for misses.

    Attributes
    ----------
    misses : int
    share, low, high : float
        Share of the misses whose reason is known, with Wilson's interval; NaN for ``unknown``.
    lost_per_round, lost_low, lost_high : float or None
        Strokes lost on these misses a round of 18 holes, with the resampling interval.
    agree, said : int
        Misses for which the player named a cause, and those where it agrees: pace for ``short``
        and ``too hard``; read, aim or stroke for the sides.
    """

    reason: str
    misses: int
    share: float
    low: float
    high: float
    lost_per_round: float
    lost_low: float | None
    lost_high: float | None
    agree: int = 0
    said: int = 0

    def as_dict(self) -> dict[str, Any]:
        """Its JSON, which scripts may rely on."""
        return {
            name: None if isinstance(value, float) and math.isnan(value) else value
            for name, value in asdict(self).items()
        }


def why_missed(scored: Scored, level: float = LEVEL) -> list[Reason]:
    """Misses by reason, in the order of :data:`REASONS`, those that occur.

    Parameters
    ----------
    scored : Scored
    level : float
        Coverage aimed at by the intervals.
    """
    misses = with_reasons(scored.gained)
    if misses.is_empty():
        return []
    known = int((misses["reason"] != "unknown").sum())
    lost = _lost(scored, misses, level)
    reasons = []
    for (reason,), rows in misses.group_by("reason"):
        name, count = str(reason), rows.height
        sure = name != "unknown"
        low, high = wilson_interval(count, known, level) if sure else (math.nan, math.nan)
        value, bottom, top = lost[name]
        said = rows.filter(pl.col("cause").is_not_null())
        pace_said = said["cause"].cast(pl.String) == "pace"
        agree = pace_said if name in PACE_REASONS else ~pace_said
        share = count / known if sure else math.nan
        spoken = (int(agree.sum()), said.height) if sure else (0, 0)
        reasons.append(Reason(name, count, share, low, high, value, bottom, top, *spoken))
    return sorted(reasons, key=lambda each: REASONS.index(each.reason))


def with_reasons(gained: pl.DataFrame) -> pl.DataFrame:
    """Misses that count, with a column ``reason``.

    Parameters
    ----------
    gained : polars.DataFrame
        From :func:`sgputt.gained.per_putt.strokes_gained`.
    """
    misses = gained.filter(pl.col("counts") & (pl.col("result") == "missed"))
    return misses.with_columns(_reach(misses)).with_columns(_reason().alias("reason"))


def _reason() -> pl.Expr:
    side, bend = pl.col("miss_side").cast(pl.String), pl.col("break").cast(pl.String)
    bends = bend.is_in(["left to right", "right to left"])
    high = ((bend == "left to right") & (side == "left")) | (
        (bend == "right to left") & (side == "right")
    )
    sided = side.is_in(["left", "right"])
    too_fast = (pl.col("leave_ft") > pl.col("reach_ft")) | (side == "none")
    return (
        pl.when(pl.col("miss_pace") == "short")
        .then(pl.lit("short"))
        .when((pl.col("miss_pace") == "past") & too_fast)
        .then(pl.lit("too hard"))
        .when(bends & sided & high)
        .then(pl.lit("high side"))
        .when(bends & sided)
        .then(pl.lit("low side"))
        .when((bend == "straight") & sided)
        .then(side)
        .otherwise(pl.lit("unknown"))
        .cast(REASON)
    )


def _reach(misses: pl.DataFrame) -> pl.Series:
    """Capture reach of each putt, from its own grade and green speed or the usual ones."""
    places = misses.select(
        (pl.col("slope").cast(pl.String).replace_strict(_SIGNS, default=0.0))
        * pl.col("grade").fill_null(USUAL_GRADE),
        pl.col("stimp_ft").fill_null(USUAL_STIMP_FT),
    )
    reach = [_reach_ft(grade, stimp_ft) for grade, stimp_ft in places.iter_rows()]
    return pl.Series("reach_ft", reach, dtype=pl.Float64)


@cache
def _reach_ft(grade: float, stimp_ft: float) -> float:
    """Feet; endless where a ball would not stop at all."""
    try:
        return capture_reach_ft(grade, stimp_ft)
    except ValueError:
        return math.inf


def _lost(
    scored: Scored, misses: pl.DataFrame, level: float
) -> dict[str, tuple[float, float | None, float | None]]:
    """Strokes lost on misses a round by reason: value and interval; losses positive."""
    gained = pl.sum_horizontal("holing", "leave", "not_split")
    sums = misses.group_by(*ROUND_KEY, "reason").agg((-gained.sum()).alias("lost"))
    rounds = scored.rounds.select(*ROUND_KEY, "holes")
    wide = rounds.join(
        sums.pivot("reason", index=ROUND_KEY, values="lost"),
        on=ROUND_KEY,
        how="left",
        maintain_order="left",
    ).fill_null(0.0)
    names = [name for name in wide.columns if name in REASONS]
    result = per_round(wide.select(names).to_numpy(), wide["holes"].to_numpy(), level)
    unknown = np.isnan(result.low)
    return {
        name: (
            float(result.value[at]),
            None if unknown[at] else float(result.low[at]),
            None if unknown[at] else float(result.high[at]),
        )
        for at, name in enumerate(names)
    }
