"""Invented players before and after some practice, and the drill log between."""

from __future__ import annotations

from datetime import date, timedelta
from functools import cache
from typing import Any

import polars as pl

from sgputt.analysis.season import SeasonAnalysis, analyse
from sgputt.baseline.catalogue import get_baseline
from sgputt.practice.session import Session, sessions_frame
from sgputt.season.scored import Scored, score
from sgputt.stroke.invented import Conditions, InventedGolfer, invented_season
from sgputt.stroke.player import PuttingStroke

START = date(2024, 1, 1)
# A good amateur without habits: spreads about a quarter wider than the tour's.
USUAL = PuttingStroke(direction_deg=1.3, read=0.34, pace=0.097)
STEP_FT = Conditions(step_ft=1.0)


def with_fault(**changes: float) -> PuttingStroke:
    """The usual amateur with something planted."""
    values = {"direction_deg": USUAL.direction_deg, "read": USUAL.read, "pace": USUAL.pace}
    return PuttingStroke(**{**values, **changes})


@cache
def rounds(
    stroke: PuttingStroke,
    each: int,
    seed: int,
    later: PuttingStroke | None = None,
    name: str = "Invented",
    conditions: Conditions = STEP_FT,
) -> pl.DataFrame:
    """Rounds of a player, a day apart, and as many after, where they have another stroke."""
    first = invented_season(
        InventedGolfer(name, stroke), each, seed, START, 1, conditions=conditions
    )
    if later is None:
        return first
    start = START + timedelta(days=each)
    second = invented_season(
        InventedGolfer(name, later), each, seed + 50_000, start, 1, conditions=conditions
    )
    return pl.concat([first, second])


def last_day_before(each: int) -> date:
    """Day of the last round before the practice."""
    return START + timedelta(days=each - 1)


def scored(putts: pl.DataFrame) -> Scored:
    """Rounds against the tour."""
    return score(putts, get_baseline("tour"))


@cache
def season_of(stroke: PuttingStroke, each: int, seed: int) -> SeasonAnalysis:
    """A season's analysis, kept for the tests that share it."""
    return analyse(scored(rounds(stroke, each, seed)))


def practised(drill: str, day: date, balls: int = 40, made: int = 29, **more: Any) -> pl.DataFrame:
    """One set of a drill."""
    player = more.pop("player", "Invented")
    return sessions_frame([Session(player, day, drill, balls, made, **more)])
