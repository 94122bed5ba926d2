"""Which drill serves what: causes by length, slope and break, and habits. Tested for holes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sgputt.practice.drills import CAUSES, HABITS, Drill
from sgputt.practice.scoring import BREAKS, SLOPES

# Lengths in feet; a drill serves one when it trains most of it.
DISTANCES = {
    "3-7 ft": (3.0, 7.0),
    "7-15 ft": (7.0, 15.0),
    "15-30 ft": (15.0, 30.0),
    "30+ ft": (30.0, 60.0),
}
_TRIED = 8
_MOST = 0.5
HABIT_WHERE = {
    "too little break": ("any", "left to right", "right to left"),
    "too much break": ("any", "left to right", "right to left"),
    "left": ("any",),
    "right": ("any",),
    "short": ("any", "uphill", "downhill"),
    "long": ("any", "uphill", "downhill"),
}


def serving_table(drills: Sequence[Drill]) -> list[dict[str, Any]]:
    """Drills by cause, distance, slope and break.

    Returns
    -------
    list of dict
        ``cause, distance, slope, break, drills``. A read of a straight putt is left out: there is
        nothing to read across the line.
    """
    return [
        {
            "cause": cause,
            "distance": label,
            "slope": slope,
            "break": turn,
            "drills": [
                drill.id
                for drill in drills
                if cause in drill.cause and _serves(drill, low, high, slope, turn)
            ],
        }
        for cause in CAUSES
        for label, (low, high) in DISTANCES.items()
        for slope in SLOPES
        for turn in BREAKS
        if (cause, turn) != ("read", "straight")
    ]


def _serves(drill: Drill, low_ft: float, high_ft: float, slope: str, turn: str) -> bool:
    if drill.surface != "green":
        return False
    lengths = [low_ft + (high_ft - low_ft) * (at + 0.5) / _TRIED for at in range(_TRIED)]
    trained = sum(drill.trains_putt(length, slope, turn) for length in lengths)
    return trained >= _MOST * _TRIED


def habit_table(drills: Sequence[Drill]) -> list[dict[str, Any]]:
    """Drills by habit and where it shows: ``habit, where, drills``, those that keep to it first."""
    found = []
    for habit in HABITS:
        for where in HABIT_WHERE[habit]:
            fit = [
                drill
                for drill in drills
                if habit in drill.habits and drill.surface == "green" and _trains(drill, where)
            ]
            fit.sort(key=lambda drill: (not _keeps_to(drill, where), drill.id))
            found.append({"habit": habit, "where": where, "drills": [each.id for each in fit]})
    return found


def _trains(drill: Drill, where: str) -> bool:
    return any(where in (*each.slopes, *each.breaks, "any") for each in drill.trains)


def _keeps_to(drill: Drill, where: str) -> bool:
    return where != "any" and all((where,) in (each.slopes, each.breaks) for each in drill.trains)
