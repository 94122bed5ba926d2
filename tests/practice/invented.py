"""Invented players before and after some practice, and the drill log between."""

from __future__ import annotations

from datetime import date, timedelta
from functools import cache
from typing import Any

import numpy as np
import polars as pl

from sgputt.baseline.catalogue import get_baseline
from sgputt.practice.session import Session, sessions_frame
from sgputt.season.scored import Scored, score
from sgputt.stroke.model import Stroke
from sgputt.stroke.simulate import Golfer, Weakness, season

START = date(2024, 1, 1)
STROKE = Stroke(float(np.radians(1.2)), 0.10)
SHORT = Weakness(3.0, 7.0, lost_makes=0.3)
LONG = Weakness(25.0, 60.0, longer_leaves=1.8)


@cache
def rounds(
    fault: Weakness | None, improves: bool, each: int, seed: int, name: str = "Invented"
) -> pl.DataFrame:
    """Rounds before and as many after, the fault gone in the later ones if it ``improves``."""
    faults = () if fault is None else (fault,)
    before = Golfer(name, STROKE, faults)
    after = Golfer(name, STROKE, () if improves else faults)
    later = START + timedelta(days=each)
    first = season(before, each, seed, START, every_days=1)
    second = season(after, each, seed + 50_000, later, every_days=1)
    return pl.concat([first, second])


def last_day_before(each: int) -> date:
    """Day of the last round before the practice."""
    return START + timedelta(days=each - 1)


def scored(putts: pl.DataFrame) -> Scored:
    """Rounds against the tour."""
    return score(putts, get_baseline("tour"))


def practised(drill: str, day: date, balls: int = 40, made: int = 29, **more: Any) -> pl.DataFrame:
    """One set of a drill."""
    player = more.pop("player", "Invented")
    return sessions_frame([Session(player, day, drill, balls, made, **more)])
