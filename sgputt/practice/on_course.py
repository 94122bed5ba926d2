"""Practice against the course: the same putts, made here and made there."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import numpy as np
import polars as pl
from scipy.special import ndtr

from sgputt.inference.cells import FEWEST_PUTTS, SURE
from sgputt.inference.intervals import LEVEL, wilson_interval
from sgputt.practice.area import on_slopes
from sgputt.practice.drills import Drill
from sgputt.season.scored import Scored

# Course putts as long as the drill's tees, give or take this share.
_GIVE_OR_TAKE = 0.15


@dataclass(frozen=True)
class Rate:
    """Successes of some balls with Wilson's interval.

    Attributes
    ----------
    expected : float or None
        Share that the players compared with would hole of the same putts; None where a success
        is not a holed putt.
    """

    balls: int
    successes: int
    rate: float
    low: float
    high: float
    expected: float | None = None


@dataclass(frozen=True)
class CourseRate:
    """Success in a drill against success on the course.

    Attributes
    ----------
    practice : Rate
    course : Rate or None
        None where the course cannot tell; ``words`` says why.
    since : datetime.date or None
        Day after which the course putts were played; None for all rounds.
    chance_practice_better : float or None
        Probability that the player truly does better in practice, allowing for the mix of lengths
        where ``expected`` is known.
    """

    practice: Rate
    course: Rate | None
    since: dt.date | None
    chance_practice_better: float | None
    words: str


def course_rate(
    drill: Drill, balls: int, successes: int, first: dt.date, scored: Scored, level: float = LEVEL
) -> CourseRate:
    """Hold the success rate of a drill against the course.

    Parameters
    ----------
    drill : Drill
    balls, successes : int
        Of all its sets.
    first : datetime.date
        Day of the first set: rounds after it count, or all where they have fewer than ten putts.
    scored : Scored
        Rounds of the player.
    level : float
        Coverage aimed at by the intervals.
    """
    practice = _rate(successes, balls, level, _expected_at_tees(drill, scored))
    why_not = _cannot_compare(drill)
    if why_not:
        return CourseRate(practice, None, None, None, why_not)
    putts = _same_putts(drill, scored)
    later = putts.filter(pl.col("date") > first)
    since = first if later.height >= FEWEST_PUTTS else None
    putts = putts if since is None else later
    if putts.height < FEWEST_PUTTS:
        few = f"only {putts.height} putts of that kind on the course: too few to compare"
        return CourseRate(practice, None, None, None, few)
    holes = drill.scoring.target == "hole"
    expected = float(putts["one_putt"].to_numpy().mean()) if holes else None
    course = _rate(int(putts["success"].sum()), putts.height, level, expected)
    chance = _chance_better(practice, course)
    return CourseRate(practice, course, since, chance, _words(chance))


def _rate(successes: int, balls: int, level: float, expected: float | None) -> Rate:
    low, high = wilson_interval(successes, balls, level)
    return Rate(balls, successes, successes / balls, low, high, expected)


def _cannot_compare(drill: Drill) -> str:
    scoring = drill.scoring
    if scoring.type == "gate":
        return "a gate has no like on the course: see the strokes gained instead"
    if drill.surface != "green":
        return "putts from off the green are not counted: no comparison"
    if scoring.target == "past-window" or scoring.beyond_ft:
        return "a scorecard does not tell this kind of success: see the strokes gained instead"
    return ""


def _expected_at_tees(drill: Drill, scored: Scored) -> float | None:
    if drill.scoring.target != "hole":
        return None
    return float(scored.baseline.one_putt(np.array(drill.scoring.stations_ft)).mean())


def _same_putts(drill: Drill, scored: Scored) -> pl.DataFrame:
    """Course putts of the drill's lengths and slopes whose success is known."""
    tees = drill.scoring.stations_ft
    low, high = min(tees) * (1 - _GIVE_OR_TAKE), max(tees) * (1 + _GIVE_OR_TAKE)
    putts = scored.gained.filter(
        pl.col("counts")
        & pl.col("distance_ft").is_between(low, high)
        & on_slopes(drill.scoring.slopes)
    )
    holed = pl.col("result") == "holed"
    if drill.scoring.target == "circle":
        near = pl.col("leave_ft") <= float(drill.scoring.radius_ft or 0.0)
        return putts.with_columns((holed | near).alias("success")).drop_nulls("success")
    return putts.with_columns(holed.alias("success"))


def _chance_better(practice: Rate, course: Rate) -> float:
    """Normal; each share with a success and a failure added (Agresti & Caffo 2000; from memory)."""
    gap, variance = 0.0, 0.0
    for sign, each in ((1, practice), (-1, course)):
        share = (each.successes + 1) / (each.balls + 2)
        gap += sign * (share - (each.expected or 0.0))
        variance += share * (1 - share) / (each.balls + 2)
    return float(ndtr(gap / np.sqrt(variance)))


def _words(chance: float) -> str:
    if chance >= SURE:
        return (
            "better in practice than on the course: practise more as you play, one ball, a new"
            " putt each time, the full routine"
        )
    if chance <= 1 - SURE:
        return "better on the course than in practice"
    return "practice and course agree as far as can be told"
