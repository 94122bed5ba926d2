"""The mark at which a drill counts as passed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sgputt.practice.drills import Drill
from sgputt.practice.success import station_chances
from sgputt.stroke.model import Array, Stroke


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
        Balls of the set; for a streak, those it should take at most.
    """

    text: str
    chance: float
    successes: int | None
    balls: int


def pass_mark(drill: Drill, target: Stroke) -> PassMark:
    """Mark of a drill: what a stroke of the spreads aimed at would bring on average.

    Parameters
    ----------
    drill : Drill
    target : Stroke
        Spreads aimed at.
    """
    chances = station_chances(drill.scoring, target)
    mean = float(chances.mean())
    if drill.scoring.type == "streak":
        balls = int(np.ceil(expected_balls(chances)))
        stations = len(drill.scoring.stations_ft)
        return PassMark(
            f"{stations} in a row, a miss starts again, within {balls} balls", mean, None, balls
        )
    balls = drill.scoring.balls
    successes = drill.scoring.successes or max(1, int(np.floor(mean * balls)))
    return PassMark(f"{successes} of {balls}: {drill.success}", mean, successes, balls)


def expected_balls(chances: Array) -> float:
    """Mean balls to succeed at every station in a row, a miss starting again at the first.

    From the chain of stations: with success chances ``p_1 .. p_k`` the mean is
    ``sum_{i=1..k} 1 / (p_i p_{i+1} ... p_k)``; for equal chances it is Feller's
    ``(1 - p^r) / (q p^r)`` (*An Introduction to Probability Theory*, vol. 1, XIII.7; from memory).
    """
    with np.errstate(divide="ignore"):
        return float(np.sum(1 / np.cumprod(chances[::-1])))
