"""Invented seasons: rounds played by the stroke model, for the demo, tests and calibration.

Nothing here is data. A season made here shows what the program would say of a player whose
spreads are known, which no real season can.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

import numpy as np
import polars as pl
from numpy.typing import NDArray

from sgputt.putts.table import BREAKS, PACES, SIDES, SLOPES, conform_putts
from sgputt.stroke.green import USUAL_GRADE, USUAL_STIMP_FT, sloped_pace
from sgputt.stroke.model import LINE_ROOM_FT, Array, Stroke

_HOLES = 18
_MAX_PUTTS = 6
# An invented mix of first putts: half within 15 ft, one in ten beyond 40 ft.
_FIRST_PUTT_MEDIAN_FT = 15.0
_FIRST_PUTT_LOG_SPREAD = 0.78
_FIRST_PUTT_RANGE_FT = (1.0, 90.0)
_SLOPE_SHARES = (0.4, 0.2, 0.4)
_BREAK_SHARES = (0.4, 0.2, 0.4)
_CHIP_IN_SHARE = 0.015
_SHORTEST_LEAVE_FT = 0.1
_LONGEST_LEAVE_FT = 100.0
# Lengths are written in tenths of a foot.
_WRITTEN_DECIMALS = 1
_MISS_COLUMNS = ("miss_pace", "miss_side")


@dataclass(frozen=True)
class Weakness:
    """A planted fault: some makes become misses, or leaves grow, in one range of putts.

    Attributes
    ----------
    low_ft, high_ft : float
        Range of distances, (low, high].
    slopes : tuple of str
        Slopes on which the fault shows.
    lost_makes : float
        Share of would-be makes that miss instead.
    longer_leaves : float
        Leaves after a miss grow by this factor.
    """

    low_ft: float
    high_ft: float
    slopes: tuple[str, ...] = ("uphill", "level", "downhill")
    lost_makes: float = 0.0
    longer_leaves: float = 1.0


@dataclass(frozen=True)
class Golfer:
    """An invented player.

    Attributes
    ----------
    name : str
    stroke : Stroke
        Spreads on the level.
    weaknesses : tuple of Weakness
    grade : float
        Typical slope along the putt, rise over run.
    stimp_ft : float
        Green speed, feet.
    """

    name: str
    stroke: Stroke
    weaknesses: tuple[Weakness, ...] = field(default=())
    grade: float = USUAL_GRADE
    stimp_ft: float = USUAL_STIMP_FT


def season(
    golfer: Golfer, rounds: int, seed: int, start: date, every_days: int = 6, course: str = ""
) -> pl.DataFrame:
    """An invented season in the shape of the putts table, lengths to a tenth of a foot.

    Parameters
    ----------
    golfer : Golfer
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
    """
    rng = np.random.default_rng(seed)
    holes = rounds * _HOLES
    state = _tee_off(rng, holes)
    frames = []
    for number in range(1, _MAX_PUTTS + 1):
        frame, state = _stroke(rng, golfer, state, last=number == _MAX_PUTTS)
        frames.append(frame.with_columns(pl.lit(number).alias("putt")))
        if len(state.hole) == 0:
            break
    putts = pl.concat(frames).sort("index", "putt")
    day = pl.lit(start) + pl.duration(days=(pl.col("index") // _HOLES) * every_days)
    return conform_putts(
        putts.with_columns(
            day.cast(pl.Date).alias("date"),
            (pl.col("index") % _HOLES + 1).alias("hole"),
            pl.lit(golfer.name).alias("player"),
            pl.lit(course or "Invented Links").alias("course"),
            pl.lit(golfer.stimp_ft).alias("stimp_ft"),
        ).drop("index")
    )


@dataclass(frozen=True)
class _Balls:
    """Balls still to be holed: the hole's index, distance in feet, codes of slope and break."""

    hole: NDArray[np.int64]
    distance_ft: Array
    slope: NDArray[np.int64]
    bend: NDArray[np.int64]


def _tee_off(rng: np.random.Generator, holes: int) -> _Balls:
    reached = np.flatnonzero(rng.random(holes) >= _CHIP_IN_SHARE)
    count = len(reached)
    first = np.exp(rng.normal(np.log(_FIRST_PUTT_MEDIAN_FT), _FIRST_PUTT_LOG_SPREAD, count))
    return _Balls(
        reached,
        _written(np.clip(first, *_FIRST_PUTT_RANGE_FT)),
        rng.choice(3, count, p=_SLOPE_SHARES),
        rng.choice(3, count, p=_BREAK_SHARES),
    )


def _stroke(
    rng: np.random.Generator, golfer: Golfer, balls: _Balls, last: bool
) -> tuple[pl.DataFrame, _Balls]:
    count = len(balls.hole)
    grades = np.array([1.0, 0.0, -1.0]) * golfer.grade
    slower = [sloped_pace(1.0, grade, golfer.stimp_ft) for grade in grades]
    spread = golfer.stroke.roll_spread_ft(balls.distance_ft) * np.array(slower)[balls.slope]
    roll = np.maximum(golfer.stroke.aim_ft(balls.distance_ft) + spread * rng.normal(size=count), 0)
    angle = golfer.stroke.line_rad * rng.normal(size=count)
    room = np.arcsin(np.minimum(LINE_ROOM_FT / balls.distance_ft, 1.0))
    past_ft = roll * np.cos(angle) - balls.distance_ft
    on_pace = (roll >= balls.distance_ft) & (
        roll <= balls.distance_ft + golfer.stroke.form.window_ft
    )
    holed = (np.abs(angle) < room) & on_pace
    lost, growth = _faults(golfer, balls)
    holed &= rng.random(count) >= lost
    holed |= last
    leave = np.hypot(past_ft, roll * np.sin(angle)) * growth
    leave = _written(np.clip(leave, _SHORTEST_LEAVE_FT, _LONGEST_LEAVE_FT))
    frame = pl.DataFrame(
        {
            "index": balls.hole,
            "distance_ft": balls.distance_ft,
            "leave_ft": np.where(holed, 0.0, leave),
            "result": np.where(holed, "holed", "missed"),
            "slope": np.array(SLOPES)[balls.slope],
            "break": np.array(BREAKS)[balls.bend],
            "miss_pace": np.array(PACES)[(past_ft > 0).astype(int)],
            "miss_side": _side(angle, room),
        }
    ).with_columns(
        pl.when(pl.col("result") == "missed").then(pl.col(name)) for name in _MISS_COLUMNS
    )
    return frame, _next(rng, balls, ~holed, leave, past_ft)


def _side(angle: Array, room: Array) -> NDArray[np.str_]:
    wide = np.where(angle > 0, SIDES[1], SIDES[0])
    return np.asarray(np.where(np.abs(angle) < room, SIDES[2], wide))


def _next(
    rng: np.random.Generator, balls: _Balls, left: NDArray[np.bool_], leave: Array, past_ft: Array
) -> _Balls:
    """The balls left over; one that ran past comes back along the opposite slope."""
    slope = np.where(past_ft > 0, 2 - balls.slope, balls.slope)
    bend = rng.choice(3, int(left.sum()), p=_BREAK_SHARES)
    return _Balls(balls.hole[left], leave[left], slope[left], bend)


def _faults(golfer: Golfer, balls: _Balls) -> tuple[Array, Array]:
    lost, growth = np.zeros(len(balls.hole)), np.ones(len(balls.hole))
    for fault in golfer.weaknesses:
        codes = [SLOPES.index(name) for name in fault.slopes]
        here = (
            (balls.distance_ft > fault.low_ft)
            & (balls.distance_ft <= fault.high_ft)
            & np.isin(balls.slope, codes)
        )
        lost[here] = fault.lost_makes
        growth[here] = fault.longer_leaves
    return lost, growth


def _written(distance_ft: Array) -> Array:
    return np.round(distance_ft, _WRITTEN_DECIMALS)
