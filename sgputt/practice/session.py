"""A set of a drill as it was practised, and the rules it must keep."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from math import ceil
from typing import Any

import polars as pl

from sgputt.practice.drills import Drill
from sgputt.practice.marks import PassMark
from sgputt.practice.scoring import Goal
from sgputt.safe_text import MAX_NAME
from sgputt.wording import plural

EARLIEST = dt.date(1950, 1, 1)
MOST_BALLS = 1000
MOST_MINUTES = 600.0
# Nobody looks, putts and sees the ball stop in less: a choice, no source.
LEAST_SECONDS_A_BALL = 3
MOST_NOTE = 500

SESSIONS_SCHEMA: dict[str, pl.DataType] = {
    "player": pl.String(),
    "date": pl.Date(),
    "drill": pl.String(),
    "balls": pl.Int64(),
    "successes": pl.Int64(),
    "restarts": pl.Int64(),
    "minutes": pl.Float64(),
    "note": pl.String(),
    "pass_mark": pl.String(),
}


@dataclass(frozen=True)
class Session:
    """One set of a drill.

    Attributes
    ----------
    balls, successes : int or None
        Balls putted and those that succeeded, in the drill's sense of success.
    restarts : int or None
        Times a row was broken and began again.
    minutes : float or None
    note : str
    pass_mark : str or None
        The mark it was held to, as :func:`mark_json` writes it.
    """

    player: str
    date: dt.date
    drill: str
    balls: int | None
    successes: int | None
    restarts: int | None = None
    minutes: float | None = None
    note: str = ""
    pass_mark: str | None = None


@dataclass(frozen=True)
class SessionFault:
    """One value that does not keep the rules: which, what may stand there, what to type."""

    column: str
    value: str
    allowed: str
    hint: str


def complete(session: Session, drill: Drill) -> Session:
    """Fill in the successes of a row where only its restarts were written.

    Every miss of a row starts it again, so the rest of the balls succeeded.
    """
    if drill.scoring.counted != "restarts" or session.successes is not None:
        return session
    if session.balls is None or session.restarts is None:
        return session
    return replace(session, successes=session.balls - session.restarts)


def faults(session: Session, drill: Drill, today: dt.date) -> list[SessionFault]:
    """Everything wrong with a set, after :func:`complete`.

    Parameters
    ----------
    session : Session
    drill : Drill
        As it was set up for the player; :meth:`sgputt.practice.drills.Drill.longest` where that is
        not known.
    today : datetime.date
    """
    return [*_count_faults(session, drill), *_other_faults(session, today)]


def _count_faults(session: Session, drill: Drill) -> Iterator[SessionFault]:
    balls, successes, restarts = session.balls, session.successes, session.restarts
    if balls is None or not 1 <= balls <= MOST_BALLS:
        allowed = f"a whole number from 1 to {MOST_BALLS}"
        yield SessionFault("balls", _shown(balls), allowed, "Write how many balls you putted.")
        return
    in_a_row = drill.scoring.counted == "restarts"
    if in_a_row and restarts is not None and not 0 <= restarts <= balls:
        hint = "Write how often a miss sent you back to the start."
        yield SessionFault("restarts", _shown(restarts), f"a whole number from 0 to {balls}", hint)
        return
    for fault in drill.scoring.log_faults(balls, successes, restarts):
        value = _shown(getattr(session, fault.column))
        hint = fault.hint
        if fault.column == "successes" and not in_a_row:
            hint += f" {drill.success}"
        yield SessionFault(fault.column, value, fault.allowed, hint)


def _other_faults(session: Session, today: dt.date) -> Iterator[SessionFault]:
    if not EARLIEST <= session.date <= today + dt.timedelta(days=1):
        allowed = f"a date from {EARLIEST.year} to today"
        yield SessionFault("date", str(session.date), allowed, "Check the year.")
    minutes = session.minutes
    seconds = LEAST_SECONDS_A_BALL * min(max(session.balls or 1, 1), MOST_BALLS)
    if minutes is not None and not seconds <= minutes * 60 <= MOST_MINUTES * 60:
        least = ceil(seconds / 6) / 10
        of = "" if session.balls is None else f" for {plural(session.balls, 'ball')}"
        allowed = f"{least:g} to {MOST_MINUTES:.0f} minutes{of}"
        hint = f"A ball takes {LEAST_SECONDS_A_BALL} seconds at least. Write how long the set took,"
        yield SessionFault("minutes", f"{minutes:g}", allowed, f"{hint} or leave it out.")
    if len(session.player) > MAX_NAME:
        allowed = f"a name of at most {MAX_NAME} characters"
        yield SessionFault("player", session.player[:30], allowed, "Shorten it.")
    if len(session.note) > MOST_NOTE:
        yield SessionFault(
            "note", session.note[:30], f"at most {MOST_NOTE} characters", "Shorten it."
        )


def _shown(value: int | None) -> str:
    return "" if value is None else str(value)


def sessions_frame(sessions: Iterable[Session]) -> pl.DataFrame:
    """Sets as a table of :data:`SESSIONS_SCHEMA`, one row each."""
    rows = [tuple(getattr(each, name) for name in SESSIONS_SCHEMA) for each in sessions]
    return pl.DataFrame(rows, schema=SESSIONS_SCHEMA, orient="row")


def mark_json(mark: PassMark, whose: str) -> str:
    """A pass mark as it is kept beside a set; ``whose`` stroke it was worked out from."""
    scoring = mark.drill.scoring
    kept = {
        "text": mark.text,
        "successes": mark.goal.successes,
        "balls": mark.goal.balls,
        "in_a_row": mark.goal.in_a_row,
        "chance": round(mark.chance, 4),
        "set_up": mark.set_up,
        "whose": whose,
        "harder": mark.harder,
        "tees_ft": [each.length_ft for each in scoring.stations],
        "size_ft": scoring.target.size_ft,
        "width_in": getattr(scoring, "width_in", None),
    }
    return json.dumps(kept, ensure_ascii=False)


def kept_goal(pass_mark: str | None) -> Goal | None:
    """The goal of a mark as :func:`mark_json` kept it; None for none."""
    if pass_mark is None:
        return None
    mark = json.loads(pass_mark)
    return Goal(mark["balls"], successes=mark["successes"], in_a_row=mark["in_a_row"])


def passed(row: dict[str, Any]) -> bool | None:
    """Whether a set, a row of :data:`SESSIONS_SCHEMA`, reached its mark.

    None without a mark, and where its balls do not make a set.
    """
    goal = kept_goal(row["pass_mark"])
    return None if goal is None else goal.passed(row["balls"], row["successes"])
