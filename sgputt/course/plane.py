"""A stroke on one green: a plane of known grade and speed."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from sgputt.errors import SgputtError
from sgputt.physics.roll import (
    GRAVITY_FT_S2,
    ROLLING_FACTOR,
    Array,
    check_stops,
    level_deceleration,
    slope_ratio,
)
from sgputt.stroke.expected import expected_grid
from sgputt.stroke.outcomes import (
    ALL_DIRECTIONS,
    GRADES,
    LENGTHS_FT,
    PAST_FT,
    STIMPS_FT,
    Delivered,
    Outcomes,
    StrokeModel,
    outcomes_from,
    shares,
)
from sgputt.stroke.population import between

STIMP_RANGE_FT = (4.0, 16.0)
STEEPEST = 0.15
SHORTEST_FT, LONGEST_FT = 0.5, 100.0
MOST_PAST_FT = float(PAST_FT[-1])
# Meant paces tried, feet past the hole; below 0 the ball is meant to stop short of it.
PACES_FT: Array = np.arange(-2.0, MOST_PAST_FT + 0.01, 0.25)


@dataclass(frozen=True)
class Played:
    """What comes of putts: chance to hole and mean putts to hole out, alike in shape."""

    make: Array
    putts: Array


@dataclass(frozen=True)
class Plane:
    """A stroke on a plane.

    The first putt is worked out on the plane itself; the putts after it are looked up in the kept
    tables, at the same ratio of slope and speed.

    Attributes
    ----------
    stroke : StrokeModel
    grade : float
        Rise over run of the fall line, 0 or more.
    stimp_ft : float
        Green speed.

    Raises
    ------
    SgputtError
        A speed or grade out of range.
    BallRollsOnError
        A ball on such a green does not stop.
    """

    stroke: StrokeModel
    grade: float
    stimp_ft: float

    def __post_init__(self) -> None:
        low, high = STIMP_RANGE_FT
        if not low <= self.stimp_ft <= high:
            raise SgputtError(
                f"A green speed of {self.stimp_ft:g} ft is out of range.",
                f"Give a stimp of {low:g} to {high:g} ft; metres with their unit, such as 3 m.",
            )
        if not 0 <= self.grade <= STEEPEST:
            raise SgputtError(
                f"A grade of {100 * self.grade:g} % is out of range.",
                f"Give a slope of 0 to {100 * STEEPEST:g} %.",
            )
        check_stops(self.grade, self.stimp_ft)

    def places(self, length_ft: ArrayLike, direction_deg: ArrayLike) -> Outcomes:
        """Places to putt from; arguments broadcast to shape (n,).

        Parameters
        ----------
        length_ft : array_like
            0.5 to 100 ft.
        direction_deg : array_like
            Where the ball lies: 0 straight above the hole, 180 straight below; between them the
            putt breaks left to right, below 0 right to left.

        Raises
        ------
        SgputtError
            A length out of range.
        """
        lengths = np.asarray(length_ft, dtype=np.float64)
        out = (lengths < SHORTEST_FT) | (lengths > LONGEST_FT)
        if np.any(out):
            raise SgputtError(
                f"A putt of {float(lengths[out].flat[0]):g} ft is out of range.",
                f"Give a length of {SHORTEST_FT:g} to {LONGEST_FT:g} ft.",
            )
        return outcomes_from(lengths, np.radians(direction_deg), self.grade, self.stimp_ft)

    def usual_past_ft(self, places: Outcomes) -> Array:
        """The player's usual meant pace, feet past the hole, shape (n,)."""
        return self.stroke.past_ft(places.length_ft)

    def play(self, places: Outcomes, past_ft: ArrayLike) -> Played:
        """What comes of putts meant to stop ``past_ft`` past the hole (negative: short of it).

        Parameters
        ----------
        places : Outcomes
            Of :meth:`places`, n of them.
        past_ft : array_like
            Broadcast to shape (n,).
        """
        past = np.broadcast_to(np.asarray(past_ft, dtype=np.float64), places.length_ft.shape)
        ends = shares(places, self._sent(places, past))
        beyond, left = places.stops
        toward = places.direction[:, None, None, None] + np.arctan2(-left, -beyond)
        after = (ends.missed * self._next(np.hypot(beyond, left), toward)).sum(axis=(1, 2, 3))
        return Played(ends.made, np.asarray(1 + after))

    def paces(self, places: Outcomes) -> Array:
        """Mean putts for each pace of :data:`PACES_FT`, shape (n, paces)."""
        return np.stack([self.play(places, past).putts for past in PACES_FT], axis=1)

    def _sent(self, places: Outcomes, past_ft: Array) -> Delivered:
        """What is sent off; one meant to stop short goes along the line that dies in the hole."""
        sent = self.stroke.send(places, np.maximum(past_ft, 0.0))
        short = np.clip(1 + past_ft / places.length_ft, 0.05, 1.0)
        return replace(sent, roll_ft=sent.roll_ft * short)

    def _next(self, length_ft: Array, toward: Array) -> Array:
        """Mean putts of the next putt, by its length and direction in radians."""
        at, near = between(length_ft, LENGTHS_FT, log=True)
        turns = len(ALL_DIRECTIONS)
        turn = np.mod(toward, 2 * np.pi) / (2 * np.pi) * turns
        low = np.floor(turn).astype(np.int64)
        onward = turn - low
        low, high = low % turns, (low + 1) % turns
        putts = self._by_place
        first = (1 - onward) * putts[at, low] + onward * putts[at, high]
        second = (1 - onward) * putts[at + 1, low] + onward * putts[at + 1, high]
        return np.asarray((1 - near) * first + near * second)

    @cached_property
    def _by_place(self) -> Array:
        """Mean putts at every length and direction of the kept tables, on this plane.

        How a ball curves depends on slope and speed only by their ratio; the speed alone decides
        no more than how far past a ball may be going that drops. So the tables are entered at the
        same ratio, between the two nearest speeds that reach it.
        """
        ratio = float(slope_ratio(self.grade, self.stimp_ft))
        sines = [ratio * float(level_deceleration(s)) for s in STIMPS_FT]
        grades = np.tan(np.arcsin(np.array(sines) / (ROLLING_FACTOR * GRAVITY_FT_S2)))
        within = np.flatnonzero(grades <= GRADES[-1])
        least = int(within[0]) if len(within) else len(STIMPS_FT) - 1
        speed = max(self.stimp_ft, float(STIMPS_FT[least]))
        low, share = between(speed, STIMPS_FT)
        return np.asarray(
            (1 - share) * self._at_speed(int(low), grades)
            + share * self._at_speed(int(low) + 1, grades)
        )

    def _at_speed(self, speed: int, grades: Array) -> Array:
        by_place = expected_grid(self.stroke, float(STIMPS_FT[speed])).by_place
        # On a level green all directions are alike.
        level = np.repeat(by_place[:, :1].mean(axis=2, keepdims=True), by_place.shape[2], axis=2)
        low, share = between(float(grades[speed]), np.concatenate([[0.0], GRADES]))
        every = np.concatenate([level, by_place], axis=1)
        return np.asarray((1 - share) * every[:, low] + share * every[:, low + 1])
