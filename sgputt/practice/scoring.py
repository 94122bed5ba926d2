"""What one success of a drill is, how often a stroke succeeds, and what a set of it can be.

One class a kind of scoring: :class:`Count` (so many of so many), :class:`InARow` (a miss starts
again) and :class:`Gate` (through two tees). Each knows its chances, how often a set is passed, the
set-up that fits a player, and what a log of it may say.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from itertools import product
from math import atan, degrees
from typing import Any, ClassVar

import numpy as np
from scipy.special import ndtr

from sgputt.physics.hole import BALL_RADIUS_FT
from sgputt.physics.roll import Array
from sgputt.stroke.outcomes import (
    ALL_DIRECTIONS,
    GRADES,
    LENGTHS_FT,
    PAST_FT,
    STIMPS_FT,
    Outcomes,
    StrokeModel,
    kept_places,
    make_shares,
    shares,
)
from sgputt.stroke.population import between
from sgputt.stroke.station import Station, gate_share
from sgputt.wording import plural

# The slope of a practice green that a set-up asks for, and its speed, where nothing else is said.
USUAL_GRADE = 0.02
FURTHEST_PAST_FT = float(PAST_FT[-1])
FULL_TURN = 360.0
# A putt runs along the slope within 60 degrees of the fall line, and breaks beyond 15 degrees.
_ALONG = 0.5
_ACROSS = float(np.sin(np.radians(15)))
SLOPES = ("uphill", "level", "downhill")
BREAKS = ("left to right", "straight", "right to left")

# Share of sets that the player as now passes (a mark is chosen in between), and the stroke aimed
# at. Hard enough to be worth working for, near enough to be met: a choice, no source.
PASSED_NOW = (0.20, 0.40)
PASSED_AIM = 0.60
# Nobody is asked for more of a counted set than this.
MOST_ASKED = 0.95
# A circle or strip in which the stroke aimed at succeeds less or more often than this is changed.
_USUAL_CHANCES = (0.45, 0.85)
_WANTED_CHANCE = 0.65
_GATE_CHANCE = 0.8
INCHES_IN_A_FOOT = 12
SIXTEENTHS = 16
MM_IN_AN_INCH = 25.4
_WIDTHS_IN = (1.8, 24.0)
_SIZES_FT = (*np.arange(0.5, 4.0, 0.5), *np.arange(4.0, 13.0, 1.0))
_LEAST_SIZE_FT = 1.0
_SIZED = 2.0
_STEP_FT = 0.5
_FINE_BELOW_FT = 10.0
# Tees more than a third nearer would train other putts.
_NEARER = tuple(1 - 0.05 * step for step in range(1, 7))
_WIDER_AT_MOST = 2.0
_MANY = 1000
# A row is gone through again until no more sets than this succeed at the first go; four times at
# most.
_AT_FIRST_GO = 0.3
_MOST_TIMES = 4

Weighted = list[tuple[StrokeModel, float]]


def slope_word(station: Station) -> str:
    """Slope along the line of a station of known direction, in the word of a card."""
    along = float(np.cos(np.radians(station.direction_deg or 0.0)))
    return "downhill" if along >= _ALONG else "uphill" if along <= -_ALONG else "level"


def break_word(station: Station) -> str:
    """Break of a station of known direction, in the word of a card."""
    across = float(np.sin(np.radians(station.direction_deg or 0.0)))
    return BREAKS[0] if across > _ACROSS else BREAKS[2] if across < -_ACROSS else BREAKS[1]


@dataclass(frozen=True)
class Target:
    """What a ball has to do.

    Attributes
    ----------
    name : str
        ``hole``: drop. ``circle``: drop, or stop within ``size_ft`` of a point ``beyond_ft`` past
        the hole. ``strip``: no hole; stop past the line by ``size_ft`` at most. ``past the hole``:
        drop, or stop past the hole by ``size_ft`` at most. ``high side``: drop, or stop so on the
        high side of the line.
    """

    name: str
    size_ft: float | None = None
    beyond_ft: float = 0.0

    @property
    def key(self) -> str:
        """Name of the size in a drill file."""
        return "radius_ft" if self.name == "circle" else "depth_ft"

    def sized(self, size_ft: float) -> Target:
        """The same with another size; a circle that begins at the hole still does."""
        beyond = size_ft if self.beyond_ft == self.size_ft else self.beyond_ft
        return replace(self, size_ft=size_ft, beyond_ft=beyond)

    def chances(self, stroke: StrokeModel, places: Outcomes) -> Array:
        """Chance of one ball from each place; a model, not a measured figure."""
        size = float(self.size_ft or 0.0)
        if self.name == "strip":
            return _between_lines(stroke, places, size)
        sent = stroke.send(places)
        if self.name == "hole":
            return make_shares(places, sent)
        ends = shares(places, sent)
        past_ft, left_ft = places.stops
        if self.name == "circle":
            good = np.hypot(past_ft - self.beyond_ft, left_ft) <= size
        else:
            good = (past_ft > 0) & (past_ft <= size)
            if self.name == "high side":
                good &= left_ft * np.sin(places.direction)[:, None, None, None] >= 0
        return np.asarray(ends.made + (ends.missed * good).sum(axis=(1, 2, 3)))


def _between_lines(stroke: StrokeModel, places: Outcomes, depth_ft: float) -> Array:
    """Chance to stop past a line and short of another; the player means the middle of the strip."""
    meant = np.full(len(places.length_ft), min(depth_ft / 2, FURTHEST_PAST_FT))
    sent = stroke.send(places, meant)
    _, roll = places.read(meant)
    # What is rolled, as a share of what is meant, is the same on the level and on a slope.
    whole = places.length_ft + meant
    far, near = (roll * (places.length_ft + past) / whole for past in (depth_ft, 0.0))
    high, low = ((each - sent.roll_ft) / sent.roll_spread_ft for each in (far, near))
    return np.asarray(ndtr(high) - ndtr(low))


@lru_cache(maxsize=64)
def _places(stations: tuple[Station, ...]) -> tuple[Outcomes, Array]:
    """Nodes of the kept tables about some stations of known direction and grade.

    Returns
    -------
    places : Outcomes
        Of n nodes.
    weights : ndarray, shape (stations, n)
        Chances at a station are ``weights @`` those of the nodes.
    """
    rows = [(s.length_ft, s.direction_deg, s.grade, s.stimp_ft) for s in stations]
    length_ft, direction_deg, grade, stimp_ft = np.array(rows, dtype=np.float64).T
    length, further = between(length_ft, LENGTHS_FT, log=True)
    rise, steeper = between(grade, GRADES)
    turns = len(ALL_DIRECTIONS)
    turn = np.mod(direction_deg, FULL_TURN) / FULL_TURN * turns
    turn_low = np.floor(turn).astype(np.int64)
    everywhere = np.zeros((len(stations), len(LENGTHS_FT) * len(GRADES) * turns))
    at = np.arange(len(stations))
    for far, steep, on in product((0, 1), repeat=3):
        node = (length + far) * len(GRADES) + rise + steep
        share = np.where(far, further, 1 - further) * np.where(steep, steeper, 1 - steeper)
        share = share * np.where(on, turn - turn_low, 1 - turn + turn_low)
        everywhere[at, node * turns + (turn_low + on) % turns] += share
    used = np.flatnonzero(everywhere.any(axis=0))
    speed = float(STIMPS_FT[np.abs(STIMPS_FT - stimp_ft.mean()).argmin()])
    return kept_places(speed).take(used), everywhere[:, used]


@dataclass(frozen=True)
class LogFault:
    """A number of a log that cannot be: which, what may stand there, what to type."""

    column: str
    allowed: str
    hint: str


@dataclass(frozen=True)
class Goal:
    """What a set asks for.

    Attributes
    ----------
    successes : int or None
        Balls of ``balls`` that must succeed; None of a row.
    in_a_row : int or None
        Successes in a row, within ``balls``.
    """

    balls: int
    successes: int | None = None
    in_a_row: int | None = None

    def passed(self, balls: int, successes: int) -> bool | None:
        """Whether a logged set reached it; None where its balls do not make a set.

        A count of fewer balls than a set is passed once it has the successes and else not judged;
        of more, it is judged where the balls that are too many change nothing. A row is held to its
        rule: a set that was over sooner ended because it was done, unless it has too few successes
        for that; one that went on passed where its misses are too few to have kept every row
        shorter.
        """
        if self.in_a_row is None:
            wanted, too_many = self.successes or 0, max(balls - self.balls, 0)
            if successes < wanted:
                return None if balls < self.balls else False
            return True if successes - too_many >= wanted else None
        if balls < self.balls and successes < self.in_a_row:
            return None
        misses = balls - successes
        surely = min(balls, self.balls) - misses > (self.in_a_row - 1) * (misses + 1)
        return surely or (balls <= self.balls and successes >= self.in_a_row)


@dataclass(frozen=True)
class Scoring:
    """How a set is counted; see the classes below.

    Attributes
    ----------
    balls : int
        Of one set; of a row, the most before it is over.
    target : Target
    stations : tuple of Station
        Where the balls lie: a count shares its balls evenly among them, a row takes one ball each
        in order.
    """

    balls: int
    target: Target
    stations: tuple[Station, ...]
    kind: ClassVar[str] = ""
    log_options: ClassVar[str] = "--balls N --successes N"
    counted: ClassVar[str] = "successes"

    def chances(self, stroke: StrokeModel) -> Array:
        """Chance of one ball at each station."""
        alone = tuple(dict.fromkeys(self.stations))
        places, weights = _places(alone)
        found = dict(zip(alone, weights @ self.target.chances(stroke, places), strict=True))
        return np.array([found[each] for each in self.stations])

    def sets_passed(self, stroke: StrokeModel, goal: Goal) -> float:
        """Share of sets that reach a goal, exact."""
        raise NotImplementedError

    def goal(self, own: Weighted, aim: StrokeModel) -> Goal:
        """What to ask of a set.

        Parameters
        ----------
        own : list of (StrokeModel, float)
            What the player's stroke may be, with chances that add to 1; empty without a player.
        aim : StrokeModel
            The stroke aimed at.
        """
        raise NotImplementedError

    def fitted(self, own: StrokeModel, aim: StrokeModel) -> tuple[Scoring, str]:
        """The set-up that fits a player, and the change in words; empty where there is none."""
        raise NotImplementedError

    def goal_words(self, goal: Goal, success: str) -> str:
        """The goal as a sentence; ``success`` says what one is."""
        return f"{goal.successes} of {goal.balls}: {success}"

    def part(self, balls: int) -> Scoring:
        """A shorter set."""
        return replace(self, balls=balls)

    def longest(self) -> Scoring:
        """The longest that a set-up may have become for some player."""
        return self

    def log_faults(
        self, balls: int, successes: int | None, restarts: int | None
    ) -> Iterator[LogFault]:
        """What cannot be in a log of a set."""
        if restarts is not None:
            hint = "Leave restarts out: this drill does not start again on a miss."
            yield LogFault("restarts", "nothing", hint)
        if successes is None or not 0 <= successes <= balls:
            hint = "Write how many balls succeeded."
            yield LogFault("successes", f"a whole number from 0 to {balls}", hint)

    def numbers(self) -> dict[str, str]:
        """What the words of a drill may name, filled in."""
        found = {"tees": lengths_listed(self.stations), "in_a_row": str(len(self.stations))}
        if self.target.size_ft is not None:
            found[self.target.key.removesuffix("_ft")] = f"{self.target.size_ft:g}"
            found["beyond"] = f"{self.target.beyond_ft:g}"
        return found

    def as_dict(self) -> dict[str, Any]:
        """The keys of a drill file, with the words of each station."""
        sizes = {} if self.target.size_ft is None else {self.target.key: self.target.size_ft}
        if self.target.beyond_ft:
            sizes["beyond_ft"] = self.target.beyond_ft
        return {
            "type": self.kind,
            "balls": self.balls,
            "target": self.target.name,
            **sizes,
            "stations": [
                {
                    "length_ft": each.length_ft,
                    "direction_deg": each.direction_deg,
                    "grade": each.grade,
                    "slope": slope_word(each),
                    "break": break_word(each),
                }
                for each in self.stations
            ],
        }


@dataclass(frozen=True)
class Count(Scoring):
    """So many successes of so many balls."""

    kind: ClassVar[str] = "count"

    def sets_passed(self, stroke: StrokeModel, goal: Goal) -> float:
        """Share of sets that reach a goal: Poisson-binomial, by convolution."""
        return float(self._tail(stroke)[goal.successes or 0])

    def goal(self, own: Weighted, aim: StrokeModel) -> Goal:
        """The fewest successes that the player as now reaches in no more than 40 % of sets.

        Without a player the most that ``aim`` reaches in 60 %.
        """
        most = max(1, int(MOST_ASKED * self.balls))
        if not own:
            fit = np.flatnonzero(self._tail(aim) >= PASSED_AIM)
            return Goal(self.balls, successes=int(np.clip(fit[-1], 1, most)))
        now = sum((weight * self._tail(stroke) for stroke, weight in own), np.zeros(self.balls + 1))
        low, high = PASSED_NOW
        fit = np.flatnonzero((now >= low) & (now <= high))
        # Few balls make large steps: the nearest to the middle of what was wanted.
        near = 1 + int(np.argmin(np.abs(now[1:] - (low + high) / 2)))
        return Goal(self.balls, successes=int(np.clip(fit[0] if len(fit) else near, 1, most)))

    def fitted(self, own: StrokeModel, aim: StrokeModel) -> tuple[Scoring, str]:
        """Another size of circle or strip where the written one is far too hard or too easy."""
        low, high = _USUAL_CHANCES
        if self.target.size_ft is None or low <= float(self.chances(aim).mean()) <= high:
            return self, ""
        written = self.target.size_ft
        near = [
            size
            for size in _SIZES_FT
            if size >= _LEAST_SIZE_FT and 1 / _SIZED <= size / written <= _SIZED
        ]
        sized = [self, *(replace(self, target=self.target.sized(float(size))) for size in near)]
        best = min(sized, key=lambda each: abs(float(each.chances(aim).mean()) - _WANTED_CHANCE))
        if best.target == self.target:
            return self, ""
        what = "circle's radius" if self.target.name == "circle" else "strip's depth"
        words = f"Make the {what} {best.target.size_ft:g} ft, not {self.target.size_ft:g} ft: in it"
        return best, f"{words} about two balls of three succeed."

    def part(self, balls: int) -> Scoring:
        """A shorter set, in whole rounds of the stations where they fit."""
        unit = max(len(self.stations), 1)
        return replace(self, balls=balls - balls % unit if balls >= unit else balls)

    def _tail(self, stroke: StrokeModel) -> Array:
        """Probabilities of 0 or more, 1 or more, ... successes, shape (balls + 1,)."""
        counts = np.ones(1)
        for chance in np.resize(self.chances(stroke), self.balls):
            counts = np.convolve(counts, [1 - chance, chance])
        return np.asarray(np.cumsum(counts[::-1])[::-1], dtype=np.float64)


@dataclass(frozen=True)
class Gate(Count):
    """So many balls through a gate.

    It stands ``gate_ft`` from the ball and is ``width_in`` wide between its tees; only the start
    line counts. ``successes`` is the goal: a gate is fitted by its width.
    """

    gate_ft: float = 1.0
    width_in: float = 2.0
    successes: int = 1
    kind: ClassVar[str] = "gate"

    def chances(self, stroke: StrokeModel) -> Array:
        """Chance of one ball: the ball's middle has the width less a ball."""
        room = max(self.width_in / INCHES_IN_A_FOOT / 2 - BALL_RADIUS_FT, 0.0)
        return np.array([gate_share(stroke, degrees(atan(room / self.gate_ft)))])

    def goal(self, own: Weighted, aim: StrokeModel) -> Goal:
        """As written, or what fits the player."""
        return super().goal(own, aim) if own else Goal(self.balls, successes=self.successes)

    def fitted(self, own: StrokeModel, aim: StrokeModel) -> tuple[Scoring, str]:
        """The gate that lets the stroke aimed at through 8 times in 10."""
        widths = np.arange(_WIDTHS_IN[0] * SIXTEENTHS // 1, _WIDTHS_IN[1] * SIXTEENTHS) / SIXTEENTHS
        low, high = 0, len(widths) - 1
        while low < high:
            middle = (low + high) // 2
            chance = float(replace(self, width_in=float(widths[middle])).chances(aim)[0])
            low, high = (low, middle) if chance >= _GATE_CHANCE else (middle + 1, high)
        width = float(widths[low])
        if width == self.width_in:
            return self, ""
        words = (
            f"Set the gate {inches(width)} wide, not {inches(self.width_in)}: the stroke to aim at"
        )
        return replace(self, width_in=width), f"{words} sends about 8 balls of 10 through."

    def part(self, balls: int) -> Scoring:
        """A shorter set, with its share of the goal."""
        return replace(
            self, balls=balls, successes=max(1, -(-self.successes * balls // self.balls))
        )

    def numbers(self) -> dict[str, str]:
        """What the words of a drill may name, filled in."""
        return {**Scoring.numbers(self), "width": inches(self.width_in)}

    def as_dict(self) -> dict[str, Any]:
        """The keys of a drill file, with the words of each station."""
        sizes = {"gate_ft": self.gate_ft, "width_in": self.width_in, "successes": self.successes}
        return {**Scoring.as_dict(self), **sizes}


@dataclass(frozen=True)
class InARow(Scoring):
    """A success at every station in its order; a miss starts again at the first."""

    kind: ClassVar[str] = "in a row"
    log_options: ClassVar[str] = "--balls N --restarts N"
    counted: ClassVar[str] = "restarts"

    def sets_passed(self, stroke: StrokeModel, goal: Goal) -> float:
        """Share of sets through within the goal's balls, by the chain of stations."""
        return float(finished_within(self.chances(stroke), goal.balls)[goal.balls])

    def goal(self, own: Weighted, aim: StrokeModel) -> Goal:
        """The balls within which the player as now is through in 40 % of sets.

        Without a player, those within which ``aim`` is in 60 %.
        """
        share, whose = (PASSED_NOW[1], own) if own else (PASSED_AIM, [(aim, 1.0)])
        done = np.zeros(self.balls + 1)
        for stroke, weight in whose:
            done += weight * finished_within(self.chances(stroke), self.balls)
        row = len(self.stations)
        balls = int(np.flatnonzero(done <= share)[-1])
        return Goal(int(np.clip(balls, row, self.balls)), in_a_row=row)

    def fitted(self, own: StrokeModel, aim: StrokeModel) -> tuple[Scoring, str]:
        """A set that the player gets through in its balls on average.

        When the written one takes more, the smallest change that brings the mean under the limit,
        as a share of what is changed: a wider circle, nearer tees, fewer in a row.
        """
        needed = expected_balls(self.chances(own))
        if needed <= self.balls:
            return self._longer(own)
        many = f"about {needed:.0f}" if needed < _MANY else "over a thousand"
        why = f"As you putt now it would take {many} balls, and a set has {self.balls}"
        for _, changed, words in sorted(self._easier(), key=lambda change: change[0]):
            if expected_balls(changed.chances(own)) <= self.balls:
                return changed, f"{why}: {words}."
        return replace(self, stations=self.stations[:1]), f"{why}: one is enough for now."

    def _longer(self, own: StrokeModel) -> tuple[Scoring, str]:
        """The row gone through again where the player has it at the first go too often."""
        straight = float(np.prod(self.chances(own)))
        times = next((n for n in range(1, _MOST_TIMES) if straight**n <= _AT_FIRST_GO), _MOST_TIMES)
        again = replace(self, stations=self.stations * times)
        if times == 1 or expected_balls(again.chances(own)) > self.balls:
            return self, ""
        row = len(again.stations)
        return again, f"You have {len(self.stations)} in a row too often: go for {row}."

    def goal_words(self, goal: Goal, success: str) -> str:
        """The goal as a sentence."""
        return f"{goal.in_a_row} in a row, a miss starts again, within {goal.balls} balls."

    def log_faults(
        self, balls: int, successes: int | None, restarts: int | None
    ) -> Iterator[LogFault]:
        """What cannot be: each miss but one on the last ball starts again; a full row ends it."""
        if successes is None or not 0 <= successes <= balls:
            hint = "Write how many balls succeeded, or the restarts instead."
            yield LogFault("successes", f"a whole number from 0 to {balls}", hint)
            return
        if restarts is None:
            return
        most, row = balls - restarts, len(self.stations)
        if not most - 1 <= successes <= most:
            hint = f"Every miss starts again: {balls} balls with {plural(restarts, 'restart')} are"
            hint += f" {most} successes (one fewer when the last ball missed)."
            yield LogFault("successes", f"{most - 1} or {most}" if most else "0", hint)
            return
        longest = (balls - successes + 1) * row
        if balls > longest:
            hint = f"A set is over once {row} in a row are in: with {plural(restarts, 'restart')}"
            hint += f" after at most {longest} balls. If you went on, write the successes in place"
            hint += " of restarts."
            yield LogFault("restarts", f"{-(-balls // row) - 1} or more with {balls} balls", hint)

    def part(self, balls: int) -> Scoring:
        """A shorter set."""
        return replace(self, balls=max(balls, len(self.stations)))

    def longest(self) -> Scoring:
        """The row gone through as often as it may be."""
        return replace(self, stations=self.stations * _MOST_TIMES)

    def _easier(self) -> Iterator[tuple[float, InARow, str]]:
        """Easier sets with the size of their change, 0 to 1."""
        written, row = self.target.size_ft, len(self.stations)
        if written is not None:
            for size in np.arange(written + _STEP_FT, written * _WIDER_AT_MOST + 0.01, _STEP_FT):
                words = f"mark the circle {size:g} ft from the hole, not {written:g} ft"
                changed = replace(self, target=self.target.sized(float(size)))
                yield float(size) / written - 1, changed, words
        for factor in _NEARER:
            tees = [_tee(each.length_ft * factor) for each in self.stations]
            moved = max(1 - t / each.length_ft for t, each in zip(tees, self.stations, strict=True))
            if moved > 0:
                nearer = tuple(
                    replace(each, length_ft=t) for t, each in zip(tees, self.stations, strict=True)
                )
                words = f"set the tees at {lengths_listed(nearer)} ft, not"
                changed = replace(self, stations=nearer)
                yield moved, changed, f"{words} {lengths_listed(self.stations)} ft"
        for kept in range(row - 1, 0, -1):
            words = f"go for {kept} in a row, not {row}"
            if len({each.length_ft for each in self.stations}) > 1:
                words += f" (the last from {self.stations[kept - 1].length_ft:g} ft)"
            yield 1 - kept / row, replace(self, stations=self.stations[:kept]), words


def _tee(length_ft: float) -> float:
    """A length that can be paced out: to half a foot, from 10 ft on to a foot."""
    step = _STEP_FT if length_ft < _FINE_BELOW_FT else 1.0
    return max(round(length_ft / step) * step, _STEP_FT)


def lengths_listed(stations: tuple[Station, ...]) -> str:
    """Different lengths in their order: ``3, 4 and 5``."""
    each = [f"{length:g}" for length in dict.fromkeys(s.length_ft for s in stations)]
    return " and ".join(", ".join(part) for part in (each[:-1], each[-1:]) if part)


def inches(width_in: float) -> str:
    """A width as on a rule: ``2 1/8 inches (54 mm)``."""
    whole, part = divmod(round(width_in * SIXTEENTHS), SIXTEENTHS)
    share = f" {Fraction(part, SIXTEENTHS)}" if part else ""
    return f"{whole}{share} inches ({width_in * MM_IN_AN_INCH:.0f} mm)"


def expected_balls(chances: Array) -> float:
    """Mean balls to succeed at every station in a row; endless where a chance is 0.

    From the chain of stations: with success chances ``p_1 .. p_k`` the mean is
    ``sum_{i=1..k} 1 / (p_i p_{i+1} ... p_k)``; for equal chances it is Feller's
    ``(1 - p^r) / (q p^r)`` (*An Introduction to Probability Theory*, vol. 1, XIII.7; from memory).

    Parameters
    ----------
    chances : ndarray, shape (k,)
        Chance of a success at each station in its order.
    """
    with np.errstate(divide="ignore"):
        return float(np.sum(1 / np.cumprod(chances[::-1])))


def finished_within(chances: Array, most: int) -> Array:
    """Probabilities of being through within 0, 1, ... ``most`` balls, exact.

    Powers of the chain's matrix: from station i to i + 1 with chance ``p_i``, else back to the
    first; the end is kept.

    Parameters
    ----------
    chances : ndarray, shape (k,)
        Chance of a success at each station in its order.
    most : int

    Returns
    -------
    ndarray, shape (most + 1,)
    """
    stations = len(chances)
    step = np.zeros((stations + 1, stations + 1))
    step[range(stations), range(1, stations + 1)] = chances
    step[:stations, 0] += 1 - chances
    step[stations, stations] = 1
    state = np.zeros(stations + 1)
    state[0] = 1
    done = np.zeros(most + 1)
    for balls in range(1, most + 1):
        state = state @ step
        done[balls] = state[stations]
    return done
