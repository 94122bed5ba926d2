"""A player's stroke in its causes: read, direction and pace, each with a spread and habits."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from sgputt.physics.roll import Array, roll_share
from sgputt.stroke.outcomes import Delivered, Outcomes

# Shares of the pace variance: Karlsen & Nilsson (2008), abstract seen.
TECHNIQUE_SHARE = 0.34
READING_AND_GREEN_SHARE = 0.66
VARIED_PACE_SPREAD, REPEATED_PACE_SPREAD = 0.106, 0.068
# Start line of elite players, Karlsen, Smith & Nilsson (2008), second hand.
ELITE_START_LINE_DEG = 0.39
# How much of a player's steady spread of direction is start line, the rest being misreading that is
# there on straight putts too: an assumption (a course card cannot part them).
START_LINE_SHARE = 0.45 / 1.04
# A green from this speed on is fast; an assumption (common practice, no source).
FAST_STIMP_FT = 11.0
# Slope along the putt from which it counts as up or down for a habit, and how sharply.
SLOPE_FROM = 0.006
_SLOPE_POWER = 3
# A step that practice may bring, as shares of the player's own spreads: at least 5 %, at most 15 %;
# a habit is to be halved. Choices of this project; nobody has measured it.
LEAST_STEP, MOST_STEP = 0.05, 0.15
HABIT_STEP = 0.5

# Fields of a stroke: its parts, which are spreads, and its habits.
SPREADS = ("direction_deg", "read", "pace")
# The spread of each cause, by the words for causes.
PART_OF = {"read": "read", "direction": "direction_deg", "pace": "pace"}
HABITS = (
    "less_left_to_right",
    "less_right_to_left",
    "left_deg",
    "long",
    "long_uphill",
    "long_downhill",
    "long_fast",
)
# Those that act on the roll alone; the others act on the angle alone.
OF_THE_ROLL = ("pace", "long", "long_uphill", "long_downhill", "long_fast")


@dataclass(frozen=True)
class PuttingStroke:
    """One player's stroke.

    Attributes
    ----------
    direction_deg : float
        Steady spread of direction, degrees: start line and misreading that straight putts have too.
    read : float
        Spread of the read, as a share of the break.
    pace : float
        Spread of the roll on the level, as a share of it.
    less_left_to_right, less_right_to_left : float
        Habit of the read by the way a putt breaks: the share of the break that is left out
        (negative: too much is played).
    left_deg : float
        Habit of direction, degrees to the left (negative: right).
    long, long_uphill, long_downhill, long_fast : float
        Habit of pace, a share of the roll (negative: short): everywhere, and added to it uphill,
        downhill and on fast greens (:data:`FAST_STIMP_FT`).
    past_near_ft, past_far_ft, past_fade_ft : float
        Meant pace: how far past the hole the ball is meant to stop, ``far + (near - far)
        exp(-length / fade)``.
    start_line_share : float
        Part of ``direction_deg`` that is start line.
    """

    direction_deg: float = 1.04
    read: float = 0.28
    pace: float = 0.079
    less_left_to_right: float = 0.0
    less_right_to_left: float = 0.0
    left_deg: float = 0.0
    long: float = 0.0
    long_uphill: float = 0.0
    long_downhill: float = 0.0
    long_fast: float = 0.0
    past_near_ft: float = 1.7
    past_far_ft: float = 0.4
    past_fade_ft: float = 15.0
    start_line_share: float = START_LINE_SHARE

    def start_line(self) -> tuple[float, float]:
        """Habit and spread of the start line, degrees: what a gate near the ball asks for."""
        return self.left_deg, self.direction_deg * self.start_line_share

    def past_ft(self, length_ft: Array) -> Array:
        """Meant pace by length, feet past the hole."""
        fade = np.exp(-np.asarray(length_ft) / self.past_fade_ft)
        return np.asarray(self.past_far_ft + (self.past_near_ft - self.past_far_ft) * fade)

    def send(self, places: Outcomes, past_ft: Array | None = None) -> Delivered:
        """What this stroke sends off from each place.

        Parameters
        ----------
        places : Outcomes
        past_ft : ndarray, shape (n,), optional
            Meant pace instead of the player's own, 0 to 4.5 ft past.
        """
        past = self.past_ft(places.length_ft) if past_ft is None else past_ft
        aim, roll = places.read(past)
        less = np.where(places.direction >= 0, self.less_left_to_right, self.less_right_to_left)
        spread = np.hypot(np.radians(self.direction_deg), self.read * aim)
        return Delivered(
            np.asarray(aim * (1 - less) + np.radians(self.left_deg)),
            np.asarray(spread),
            np.asarray(roll * (1 + self.pace_habit(places))),
            np.asarray(roll * self.pace * pace_factor(places)),
        )

    def pace_habit(self, places: Outcomes) -> Array:
        """Habit of pace at each place, a share of the roll."""
        up, down = slope_shares(places.grade * np.cos(places.direction))
        return np.asarray(
            self.long
            + self.long_uphill * up
            + self.long_downhill * down
            + self.long_fast * (places.stimp_ft >= FAST_STIMP_FT)
        )

    def learnt(self) -> PuttingStroke:
        """The stroke on a putt repeated from one place, read and pace learnt.

        The spread of pace falls from 10.6 to 6.8 % (Karlsen & Nilsson 2008, abstract seen); that
        the spread of the read falls alike is an assumption.
        """
        share = REPEATED_PACE_SPREAD / VARIED_PACE_SPREAD
        return self.changed(pace=share, read=share)

    def changed(self, **parts: float) -> PuttingStroke:
        """A copy with parts multiplied, by name: ``changed(pace=0.9, left_deg=0.5)``."""
        return replace(self, **{name: getattr(self, name) * by for name, by in parts.items()})


def pace_factor(places: Outcomes) -> Array:
    """Growth of the pace spread on a slope: reading and green go with the roll's ratio.

    Variance = technique 34 % + (reading 60 % + green 6 %) ``roll_share`` squared; that they grow
    so is this project's model, not a measured fact.
    """
    ratio = roll_share(np.cos(places.direction), places.k)
    return np.sqrt(TECHNIQUE_SHARE + READING_AND_GREEN_SHARE * ratio**2)


def slope_shares(downward: Array) -> tuple[Array, Array]:
    """How far a slope along the putt counts as uphill, and as downhill, from 0 to 1.

    Parameters
    ----------
    downward : ndarray
        Rise over run along the putt, positive downhill.
    """
    steep = (np.abs(downward) / SLOPE_FROM) ** _SLOPE_POWER
    steep = steep / (1 + steep)
    return np.where(downward < 0, steep, 0.0), np.where(downward > 0, steep, 0.0)


# Results of sgputt.baseline.build, rounded: fit_tour_stroke and fit_club_stroke say what they rest
# on, data/reference/stroke_checks.csv how far they are from it.
TOUR_STROKE = PuttingStroke(direction_deg=1.04, read=0.28, pace=0.079)
CLUB_STROKE = PuttingStroke(direction_deg=1.79, read=0.48, pace=0.103)


def one_step_better(own: PuttingStroke, ideal: PuttingStroke = TOUR_STROKE) -> PuttingStroke:
    """A stroke one step better: each spread by its step, each habit halved.

    A spread goes halfway to the ideal's in their logarithms, but by 5 % at least and 15 % at most;
    so who is already there still has something to aim at.
    """
    by = {part: spread_step(own, part, ideal) for part in SPREADS}
    return own.changed(**by, **dict.fromkeys(HABITS, HABIT_STEP))


def spread_step(own: PuttingStroke, part: str, ideal: PuttingStroke = TOUR_STROKE) -> float:
    """Factor by which one step changes a spread."""
    halfway = float((getattr(ideal, part) / getattr(own, part)) ** 0.5)
    return min(max(halfway, 1 - MOST_STEP), 1 - LEAST_STEP)


def times_as_wide(stroke: PuttingStroke, part: str) -> float:
    """How many times as wide as a tour player's a spread is."""
    return float(getattr(stroke, part) / getattr(TOUR_STROKE, part))
