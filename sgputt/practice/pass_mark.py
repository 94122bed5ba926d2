"""The mark at which a drill counts as passed, for one player or for a tour stroke."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from sgputt.practice.drills import Drill, Scoring
from sgputt.practice.offers import gate_for, size_for, streak_for
from sgputt.practice.streak import balls_for_share, expected_balls, finished_within
from sgputt.practice.success import station_chances
from sgputt.stroke.model import Array, Stroke

__all__ = ["PassMark", "expected_balls", "part_of", "pass_mark", "success_counts"]

# Shares of sets passed that a mark is chosen for: the player as now, and the stroke aimed at.
# Hard enough to be worth working for, near enough to be met: chosen for this project, no source.
PASSED_NOW = (0.20, 0.40)
PASSED_AIM = 0.60
_USUAL_CHANCES = (0.5, 0.9)


@dataclass(frozen=True)
class PassMark:
    """What to reach in one set.

    Attributes
    ----------
    text : str
        The mark in words.
    chance : float
        Chance that one ball succeeds, mean over the stations, for the stroke aimed at.
    successes : int or None
        Balls that must succeed; None for a streak.
    balls : int
        Balls of the set; for a streak, those it may take at most.
    passed_aim : float
        Share of sets that the stroke aimed at passes.
    passed_now, chance_now : float or None
        Share of sets passed, and chance of one ball, of the player as now; None without a player.
    in_a_row : int or None
        Successes in a row that a streak asks for.
    drill : Drill
        The drill set up as the mark takes it.
    set_up : str
        Why and how the set-up differs from the catalogue's; empty when it does not. ``drill`` says
        it already: this is for whoever knows the written one.
    offer : str
        Another size of circle or strip that would suit the stroke aimed at; may be empty.
    """

    text: str
    chance: float
    successes: int | None
    balls: int
    passed_aim: float
    drill: Drill
    passed_now: float | None = None
    chance_now: float | None = None
    in_a_row: int | None = None
    set_up: str = ""
    offer: str = ""


def pass_mark(drill: Drill, target: Stroke, own: Stroke | None = None) -> PassMark:
    """Mark of a drill.

    * A count: with ``own``, the fewest successes that the player as now reaches in no more than
      40 % of sets (and in 20 % or more where the size of the set allows); without, the most that
      the stroke aimed at reaches in 60 %. Exact, from the successes at all stations together.
    * A gate: 8 of 10 or what the drill says, through a gate as wide as the stroke aimed at needs.
    * A streak: the balls within which the stroke aimed at is through in 60 % of sets.

    All by the stroke model: not measured figures.

    Parameters
    ----------
    drill : Drill
    target : Stroke
        Spreads aimed at.
    own : Stroke, optional
        The player's spreads as they are now.
    """
    if drill.scoring.type == "streak":
        return _streak_mark(drill, target, own)
    if drill.scoring.type == "gate":
        return _gate_mark(drill, target, own)
    now = None if own is None else _tail(drill.scoring, own)
    aim = _tail(drill.scoring, target)
    return _counted(drill, target, own, _mark(now, aim), drill.scoring)


def part_of(drill: Drill, balls: int, minutes: int) -> Drill:
    """The same drill with fewer balls; what must succeed goes down in proportion."""
    scoring = drill.scoring
    wanted = scoring.successes
    if wanted is not None:
        wanted = max(1, -(-wanted * balls // scoring.balls))
    scoring = replace(scoring, balls=balls, successes=wanted)
    return replace(drill, balls=balls, minutes=minutes, scoring=scoring)


def success_counts(scoring: Scoring, stroke: Stroke) -> Array:
    """Probabilities of 0, 1, ... successes in a set, exact (Poisson-binomial by convolution).

    Parameters
    ----------
    scoring : Scoring
        A count or a gate; its balls are shared evenly among the stations.
    stroke : Stroke

    Returns
    -------
    ndarray, shape (balls + 1,)
    """
    chances = np.resize(station_chances(scoring, stroke), scoring.balls)
    counts = np.ones(1)
    for chance in chances:
        counts = np.convolve(counts, [1 - chance, chance])
    return counts


def _tail(scoring: Scoring, stroke: Stroke) -> Array:
    """Probabilities of 0 or more, 1 or more, ... successes."""
    tail = np.cumsum(success_counts(scoring, stroke)[::-1])[::-1]
    return np.asarray(tail, dtype=np.float64)


def _mark(now: Array | None, aim: Array) -> int:
    """Successes to ask for, at least one."""
    if now is None:
        return max(1, int(np.flatnonzero(aim >= PASSED_AIM)[-1]))
    low, high = PASSED_NOW
    fit = np.flatnonzero((now >= low) & (now <= high))
    if len(fit):
        return max(1, int(fit[0]))
    # Few balls make large steps: the nearest to the middle of what was wanted.
    return 1 + int(np.argmin(np.abs(now[1:] - (low + high) / 2)))


def _counted(
    drill: Drill, target: Stroke, own: Stroke | None, mark: int, scoring: Scoring, words: str = ""
) -> PassMark:
    chance = float(station_chances(scoring, target).mean())
    return PassMark(
        text=f"{mark} of {scoring.balls}: {drill.success}",
        chance=chance,
        successes=mark,
        balls=scoring.balls,
        passed_aim=float(_tail(scoring, target)[mark]),
        drill=drill.set_up_as(scoring, words),
        passed_now=None if own is None else float(_tail(scoring, own)[mark]),
        chance_now=None if own is None else float(station_chances(scoring, own).mean()),
        set_up=words,
        offer=_offer(scoring, target, chance),
    )


def _gate_mark(drill: Drill, target: Stroke, own: Stroke | None) -> PassMark:
    gate = gate_for(drill.scoring, target)
    mark = int(drill.scoring.successes or 1)
    return _counted(drill, target, own, mark, gate.scoring, gate.words)


def _offer(scoring: Scoring, target: Stroke, chance: float) -> str:
    """Another size where the written one is far too hard or too easy for the stroke aimed at."""
    low, high = _USUAL_CHANCES
    size = None if low <= chance <= high else size_for(scoring, target)
    if size is None or size in (scoring.radius_ft, scoring.window_ft):
        return ""
    what = "a circle of that radius" if scoring.target == "circle" else "a strip that deep"
    return f"If you can change it, make it {size:g} ft: in {what} 8 of 10 would be the aim."


def _streak_mark(drill: Drill, target: Stroke, own: Stroke | None) -> PassMark:
    limit = drill.scoring.balls
    fitting = streak_for(drill.scoring, own or target)
    chances = station_chances(fitting.scoring, target)
    stations = len(fitting.scoring.stations_ft)
    balls = balls_for_share(chances, PASSED_AIM, limit) or limit
    now = None if own is None else station_chances(fitting.scoring, own)
    return PassMark(
        text=f"{stations} in a row, a miss starts again, within {balls} balls.",
        chance=float(chances.mean()),
        successes=None,
        balls=balls,
        passed_aim=float(finished_within(chances, balls)[balls]),
        drill=drill.set_up_as(fitting.scoring, fitting.words),
        passed_now=None if now is None else float(finished_within(now, balls)[balls]),
        chance_now=None if now is None else float(now.mean()),
        in_a_row=stations,
        set_up=fitting.words,
    )
