"""Drills over time: success rates with intervals, against the mark, and the trend in words."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import polars as pl
from scipy.special import ndtr

from sgputt.inference.cells import SURE
from sgputt.inference.intervals import LEVEL, wilson_interval
from sgputt.practice.session import passed

Row = dict[str, Any]
FEWEST_SETS = 4


@dataclass(frozen=True)
class DrillHistory:
    """All sets of one drill.

    Attributes
    ----------
    rate, low, high : float
        Share of balls that succeeded, with Wilson's interval.
    mark : str
        The latest mark it was held to, in words; empty for none.
    mark_rate : float or None
        Share of balls that mark asks for; None for a streak, or without a mark.
    passed, judged : int
        Sets that reached their own mark, of those that had one.
    trend : str
        In words.
    chance_better : float or None
        Probability that the later half of the sets is truly better than the earlier; None with
        fewer than four sets.
    """

    drill: str
    sets: int
    first: dt.date
    last: dt.date
    balls: int
    successes: int
    rate: float
    low: float
    high: float
    mark: str
    mark_rate: float | None
    passed: int
    judged: int
    trend: str
    chance_better: float | None
    level: float = LEVEL


def histories(sessions: pl.DataFrame, level: float = LEVEL) -> list[DrillHistory]:
    """Sum up every drill practised, the latest first.

    Parameters
    ----------
    sessions : polars.DataFrame
        Columns of :data:`sgputt.practice.session.SESSIONS_SCHEMA`, in the order practised.
    level : float
        Coverage aimed at by the intervals.
    """
    found = [
        _history(str(drill), rows.rows(named=True), level)
        for (drill,), rows in sessions.group_by("drill", maintain_order=True)
    ]
    return sorted(found, key=lambda each: (-each.last.toordinal(), each.drill))


def _history(drill: str, rows: list[Row], level: float) -> DrillHistory:
    balls, successes = _sums(rows)
    low, high = wilson_interval(successes, balls, level)
    verdicts = [verdict for row in rows if (verdict := passed(row)) is not None]
    marks = [json.loads(row["pass_mark"]) for row in rows if row["pass_mark"] is not None]
    last = marks[-1] if marks else None
    counted = last is not None and last["in_a_row"] is None
    chance = later_better(rows)
    return DrillHistory(
        drill=drill,
        sets=len(rows),
        first=rows[0]["date"],
        last=rows[-1]["date"],
        balls=balls,
        successes=successes,
        rate=successes / balls,
        low=low,
        high=high,
        mark=last["text"] if last else "",
        mark_rate=last["successes"] / last["balls"] if last and counted else None,
        passed=sum(verdicts),
        judged=len(verdicts),
        trend=_trend(rows, chance),
        chance_better=chance,
        level=level,
    )


def _sums(rows: Sequence[Row]) -> tuple[int, int]:
    return sum(row["balls"] for row in rows), sum(row["successes"] for row in rows)


def later_better(rows: Sequence[Row]) -> float | None:
    """Probability that the later half of some sets has the higher success rate.

    Normal, from the difference of two shares; each with a success and a failure added (Agresti &
    Caffo 2000, *Amer. Statist.* 54(4), 280-288; from memory). None with fewer than four sets.
    """
    if len(rows) < FEWEST_SETS:
        return None
    half = len(rows) // 2
    shares, variance = [], 0.0
    for part in (rows[:half], rows[-half:]):
        balls, successes = _sums(part)
        share = (successes + 1) / (balls + 2)
        shares.append(share)
        variance += share * (1 - share) / (balls + 2)
    return float(ndtr((shares[1] - shares[0]) / np.sqrt(variance)))


def _trend(rows: Sequence[Row], chance: float | None) -> str:
    if chance is None:
        more = FEWEST_SETS - len(rows)
        return f"too few sets for a trend; {more} more would give one"
    half = len(rows) // 2
    first, second = (_sums(part) for part in (rows[:half], rows[-half:]))
    shares = f"{_percent(first)} at first, {_percent(second)} lately"
    if chance >= SURE:
        return f"getting better: {shares}"
    if chance <= 1 - SURE:
        return f"getting worse: {shares}"
    return f"no change that can be told from luck: {shares}"


def _percent(sums: tuple[int, int]) -> str:
    balls, successes = sums
    return f"{100 * successes / balls:.0f} %"
