"""A stroke on one green: a plane of known grade and speed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import ndtr

from sgputt.errors import SgputtError
from sgputt.physics.hole import play
from sgputt.physics.roll import (
    GRAVITY_FT_S2,
    ROLLING_FACTOR,
    Array,
    check_stops,
    level_deceleration,
    slope_ratio,
)
from sgputt.putts.columns import LONGEST_FT, STIMP_FT
from sgputt.putts.values import STEEPEST
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
    mirrored,
    outcomes_from,
    shares,
)
from sgputt.stroke.population import between

SHORTEST_FT = 0.5
MOST_PAST_FT = float(PAST_FT[-1])
# Meant paces tried, feet past the hole; below 0 the ball is meant to stop short of it.
PACES_FT: Array = np.arange(-2.0, MOST_PAST_FT + 0.01, 0.25)

# From this ratio of slope to speed on, a ball may drop along two lines.
_STEEP_RATIO = 0.5
_LINES = 91
# The nearest passage of these balls is found to a four-thousandth of the roll at worst.
_HALVINGS = 12
_WITHIN = (np.arange(8) + 0.5) / 8
# Lines looked at, in usual spreads of direction outside those that drop.
_AROUND = 4.0
_USUAL_DIRECTION, _USUAL_READ = float(np.radians(1.3)), 0.35

Weigh = Callable[[Delivered], tuple[Array, Array]]


@dataclass(frozen=True)
class Played:
    """What comes of putts: chance to hole and mean putts to hole out, shaped as their paces."""

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
        low, high = STIMP_FT
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
            Broadcast to shape (n,), or shape (paces, n) for several paces of each.
        """
        return self._played(self._weigh(places)(1), places, past_ft)

    def play_both(self, places: Outcomes, past_ft: ArrayLike) -> tuple[Played, Played]:
        """As :meth:`play`, and of their mirror images on the other side of the fall line."""
        weigh = self._weigh(places)
        other = mirrored(places, np.ones(len(places.length_ft), dtype=bool))
        return self._played(weigh(1), places, past_ft), self._played(weigh(-1), other, past_ft)

    def _weigh(self, places: Outcomes) -> Callable[[int], Weigh]:
        """What weighs the ends of a stroke from there (1), or from their mirror images (-1)."""
        steep = bool(np.any(places.k > _STEEP_RATIO))
        return self._balls(places) if steep else self._cells(places)

    def _played(self, weigh: Weigh, places: Outcomes, past_ft: ArrayLike) -> Played:
        past = np.asarray(past_ft, dtype=np.float64)
        many = np.broadcast_to(past, np.broadcast_shapes(past.shape, places.length_ft.shape))
        found = [weigh(self._sent(places, each)) for each in np.atleast_2d(many)]
        make, putts = (np.reshape(each, many.shape) for each in zip(*found, strict=True))
        return Played(make, putts)

    def _cells(self, places: Outcomes) -> Callable[[int], Weigh]:
        """Chance to hole and mean putts by the cells of the tables."""
        beyond, left = places.stops
        toward = places.direction[:, None, None, None] + np.arctan2(-left, -beyond)

        def of_side(turn: int) -> Weigh:
            after = self._next(np.hypot(beyond, left), turn * toward)

            def weigh(sent: Delivered) -> tuple[Array, Array]:
                ends = shares(places, replace(sent, angle=turn * sent.angle))
                return ends.made, np.asarray(1 + (ends.missed * after).sum(axis=(1, 2, 3)))

            return weigh

        return of_side

    def _balls(self, places: Outcomes) -> Callable[[int], Weigh]:
        """As :meth:`_cells`, over balls of every pace and line.

        On a steep and fast green one pace may drop along two lines, straight at the hole and over
        the top, which no single window holds.
        """
        around = _AROUND * np.hypot(_USUAL_DIRECTION, _USUAL_READ * np.abs(places.aim).max(axis=1))
        low, high = places.aim.min(axis=1) - around, places.aim.max(axis=1) + around
        angles = np.linspace(low, high, _LINES, axis=1)
        edges = places.edges_ft
        each = [a[:, None, None] for a in (places.length_ft, places.direction, places.k)]
        rolls = places.middle_ft[:, :, None]
        balls = each[0], each[1], angles[:, None, :], rolls, each[2]
        done = play(*balls, self.stimp_ft, halvings=_HALVINGS)
        toward = each[1] + np.arctan2(-done.left_ft, -done.past_ft)
        one, other = np.s_[:, :, :-1], np.s_[:, :, 1:]
        taken = np.zeros(done.holed[one].shape)
        for at in _WITHIN:
            passed = (1 - at) * done.passed_left_ft[one] + at * done.passed_left_ft[other]
            room = (1 - at) * done.room_ft[one] + at * done.room_ft[other]
            taken += (np.abs(passed) < room) / len(_WITHIN)
        alike = done.reached[one] == done.reached[other]
        taken = np.where(alike, taken, (done.holed[one].astype(float) + done.holed[other]) / 2)
        angles[:, 0], angles[:, -1] = -np.inf, np.inf

        def of_side(turn: int) -> Weigh:
            next_putts = self._next(np.hypot(done.past_ft, done.left_ft), turn * toward)
            missed = (1 - taken) * (next_putts[one] + next_putts[other]) / 2

            def weigh(sent: Delivered) -> tuple[Array, Array]:
                pace = ndtr((edges - sent.roll_ft[:, None]) / sent.roll_spread_ft[:, None])
                line = ndtr((angles - turn * sent.angle[:, None]) / sent.angle_spread[:, None])
                paced, lined = np.diff(pace), np.diff(line)
                made, after = (np.einsum("nuv,nu,nv->n", c, paced, lined) for c in (taken, missed))
                return np.asarray(made), np.asarray(1 + after)

            return weigh

        return of_side

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
