"""Invented seasons: rounds played by the physics, for the demo, tests and calibration.

Nothing here is data. A season made here shows what the program would say of a player whose stroke
is known, which no real season can.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

import numpy as np
import polars as pl

from sgputt.physics.hole import play
from sgputt.physics.read import INCHES_A_FOOT, read_for
from sgputt.physics.roll import USUAL_STIMP_FT, Array, slope_ratio, steepest_grade
from sgputt.putts.table import BREAKS, PACES, SIDES, SLOPES, conform_putts
from sgputt.stroke.outcomes import PAST_FT, Outcomes
from sgputt.stroke.player import SLOPE_FROM, TOUR_STROKE, PuttingStroke
from sgputt.stroke.population import GRADE_SHAPE, MEAN_GRADE, STRAIGHT_TO_IN

HOLES = 18
_MAX_PUTTS = 6
# An invented mix of first putts: half within 15 ft, one in ten beyond 40 ft.
_FIRST_PUTT_MEDIAN_FT = 15.0
_FIRST_PUTT_LOG_SPREAD = 0.78
_FIRST_PUTT_RANGE_FT = (1.0, 90.0)
_CHIP_IN_SHARE = 0.015
_LENGTHS_FT = (0.1, 100.0)
_NONE_WITHIN_DEG = 0.15
_MOST_OF_STEEPEST = 0.7
_MISS_COLUMNS = ("miss_pace", "miss_side")


@dataclass(frozen=True)
class Conditions:
    """Greens that an invented season is played on, and how its cards are written.

    Attributes
    ----------
    grade : float
        Mean grade of the greens, gamma as in :mod:`sgputt.stroke.population`.
    stimp_ft, stimp_spread_ft : float
        Mean green speed and its spread from day to day.
    step_ft : float
        Lengths are written in steps of this many feet.
    words : bool
        Whether slope, break, and how it missed are written.
    left_out, wrong_side : float
        Share of misses without words, and of sides written wrongly.
    tail : float
        Degrees of freedom of the errors (Student); infinite means normal.
    day_pace : float
        Spread of the pace from day to day, a share of the roll.
    speed_written : bool
        Whether the green speed is written.
    """

    grade: float = MEAN_GRADE
    stimp_ft: float = USUAL_STIMP_FT
    stimp_spread_ft: float = 0.5
    step_ft: float = 0.1
    words: bool = True
    left_out: float = 0.0
    wrong_side: float = 0.0
    tail: float = float("inf")
    day_pace: float = 0.0
    speed_written: bool = True


USUAL_CONDITIONS = Conditions()


@dataclass(frozen=True)
class InventedGolfer:
    """An invented player.

    Attributes
    ----------
    name : str
    stroke : PuttingStroke
    elsewhere : tuple of (float, float, PuttingStroke)
        Ranges of length (low, high] in which another stroke is played: faults in one place.
    """

    name: str
    stroke: PuttingStroke = TOUR_STROKE
    elsewhere: tuple[tuple[float, float, PuttingStroke], ...] = ()


@dataclass(frozen=True)
class _Balls:
    """Balls still to be holed; one row each."""

    hole: np.ndarray
    length_ft: Array
    direction: Array
    grade: Array
    stimp_ft: Array
    day_pace: Array

    def take(self, rows: np.ndarray) -> _Balls:
        return _Balls(*(getattr(self, name)[rows] for name in self.__dataclass_fields__))


def invented_season(
    golfer: InventedGolfer,
    rounds: int,
    seed: int,
    start: date,
    every_days: int = 6,
    course: str = "Invented Links",
    conditions: Conditions = USUAL_CONDITIONS,
) -> pl.DataFrame:
    """An invented season in the shape of the putts table.

    Parameters
    ----------
    golfer : InventedGolfer
    rounds : int
        Rounds of 18 holes.
    seed : int
        The same seed gives the same season.
    start : datetime.date
        Day of the first round.
    every_days : int
        Days from one round to the next.
    course : str
        Course written on every round.
    conditions : Conditions
    """
    rng = np.random.default_rng(seed)
    balls = _tee_off(rng, rounds, conditions)
    frames = []
    for number in range(1, _MAX_PUTTS + 1):
        frame, balls = _putt(rng, golfer, conditions, balls, last=number == _MAX_PUTTS)
        frames.append(frame.with_columns(pl.lit(number).alias("putt")))
        if len(balls.hole) == 0:
            break
    putts = pl.concat(frames).sort("index", "putt")
    day = pl.lit(start) + pl.duration(days=(pl.col("index") // HOLES) * every_days)
    return conform_putts(
        putts.with_columns(
            day.cast(pl.Date).alias("date"),
            (pl.col("index") % HOLES + 1).alias("hole"),
            pl.lit(golfer.name).alias("player"),
            pl.lit(course).alias("course"),
        ).drop("index")
    )


def _tee_off(rng: np.random.Generator, rounds: int, conditions: Conditions) -> _Balls:
    holes = rounds * HOLES
    reached = np.flatnonzero(rng.random(holes) >= _CHIP_IN_SHARE)
    count = len(reached)
    first = np.exp(rng.normal(np.log(_FIRST_PUTT_MEDIAN_FT), _FIRST_PUTT_LOG_SPREAD, count))
    speeds = conditions.stimp_ft + conditions.stimp_spread_ft * rng.normal(size=rounds)
    speed = np.clip(np.round(speeds * 2) / 2, 6, 14)[reached // HOLES]
    grade = rng.gamma(GRADE_SHAPE, conditions.grade / GRADE_SHAPE, count)
    steepest = np.array([steepest_grade(each) for each in speed])
    days = conditions.day_pace * rng.normal(size=rounds)
    return _Balls(
        reached,
        np.clip(first, *_FIRST_PUTT_RANGE_FT),
        rng.uniform(-np.pi, np.pi, count),
        np.minimum(grade, _MOST_OF_STEEPEST * steepest),
        speed,
        days[reached // HOLES],
    )


def _putt(
    rng: np.random.Generator,
    golfer: InventedGolfer,
    conditions: Conditions,
    balls: _Balls,
    last: bool,
) -> tuple[pl.DataFrame, _Balls]:
    k = slope_ratio(balls.grade, balls.stimp_ft)
    angle, roll = _struck(rng, golfer, conditions, balls, k)
    done = play(balls.length_ft, balls.direction, angle, roll, k, balls.stimp_ft)
    holed = done.holed | last
    leave = np.clip(np.hypot(done.past_ft, done.left_ft), *_LENGTHS_FT)
    frame = pl.DataFrame(
        {
            "index": balls.hole,
            "distance_ft": _written(balls.length_ft, conditions.step_ft),
            "leave_ft": np.where(holed, 0.0, _written(leave, conditions.step_ft)),
            "result": np.where(holed, "holed", "missed"),
            "stimp_ft": balls.stimp_ft if conditions.speed_written else None,
            **(_words(rng, conditions, balls, k, done.past_ft, done.passed_left_ft)),
        }
    ).with_columns(
        pl.when(pl.col("result") == "missed").then(pl.col(name)) for name in _MISS_COLUMNS
    )
    onward = balls.take(~holed)
    toward = onward.direction + np.arctan2(-done.left_ft[~holed], -done.past_ft[~holed])
    turned = np.arctan2(np.sin(toward), np.cos(toward))
    return frame, replace(onward, length_ft=leave[~holed], direction=turned)


def _struck(
    rng: np.random.Generator,
    golfer: InventedGolfer,
    conditions: Conditions,
    balls: _Balls,
    k: Array,
) -> tuple[Array, Array]:
    """Start angle and roll of each ball."""
    count = len(balls.hole)
    errors = _errors(rng, conditions.tail, (2, count))
    angle, roll = np.zeros(count), np.zeros(count)
    everywhere = np.ones(count, dtype=bool)
    for low, high, stroke in ((0.0, np.inf, golfer.stroke), *golfer.elsewhere):
        here = everywhere & (balls.length_ft > low) & (balls.length_ft <= high)
        some = balls.take(here)
        read = read_for(some.length_ft, some.direction, k[here], stroke.past_ft(some.length_ft))
        # One read a ball stands for every pace that might be meant.
        aim, meant = (
            np.repeat(each[:, None], len(PAST_FT), 1) for each in (read.aim, read.roll_ft)
        )
        none = np.zeros((len(some.hole), 1))
        places = Outcomes(
            some.length_ft, some.direction, some.grade, some.stimp_ft, aim, meant, none, none
        )
        sent = stroke.send(places)
        angle[here] = sent.angle + sent.angle_spread * errors[0, here]
        day = 1 + some.day_pace
        roll[here] = sent.roll_ft * day + sent.roll_spread_ft * errors[1, here]
    return angle, roll


def _errors(rng: np.random.Generator, tail: float, shape: tuple[int, int]) -> Array:
    """Errors of standard deviation 1."""
    if not np.isfinite(tail):
        return rng.normal(size=shape)
    return np.asarray(rng.standard_t(tail, shape) * np.sqrt((tail - 2) / tail))


def _words(
    rng: np.random.Generator,
    conditions: Conditions,
    balls: _Balls,
    k: Array,
    past_ft: Array,
    passed_left_ft: Array,
) -> dict[str, np.ndarray]:
    """Slope, break and how it missed, as a card has them."""
    if not conditions.words:
        names = ("slope", "break", *_MISS_COLUMNS)
        return {name: np.full(len(balls.hole), "unknown") for name in names}
    downward = balls.grade * np.cos(balls.direction)
    slope = np.where(downward < -SLOPE_FROM, 0, np.where(downward > SLOPE_FROM, 2, 1))
    read = read_for(balls.length_ft, balls.direction, k, 1.0)
    inches = INCHES_A_FOOT * balls.length_ft * np.tan(read.aim)
    bend = np.where(inches > STRAIGHT_TO_IN, 0, np.where(inches < -STRAIGHT_TO_IN, 2, 1))
    off = np.degrees(passed_left_ft / balls.length_ft)
    side = np.where(off > 0, 0, 1)
    side = np.where(rng.random(len(side)) < conditions.wrong_side, 1 - side, side)
    side = np.where(np.abs(off) < _NONE_WITHIN_DEG, 2, side)
    unknown = rng.random(len(side)) < conditions.left_out
    return {
        "slope": np.array(SLOPES)[slope],
        "break": np.array(BREAKS)[bend],
        "miss_pace": np.array(PACES)[np.where(unknown, 2, (past_ft > 0).astype(int))],
        "miss_side": np.array(SIDES)[np.where(unknown, 3, side)],
    }


def _written(distance_ft: Array, step_ft: float) -> Array:
    """As a card has it: in whole steps, at least one."""
    steps = np.maximum(np.round(distance_ft / step_ft), 1.0)
    return np.asarray(np.round(steps * step_ft, 6))
