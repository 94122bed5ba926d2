"""A set of a drill as it was practised, and the rules it must keep."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Any

import polars as pl

from sgputt.practice.drills import Drill
from sgputt.practice.pass_mark import PassMark
from sgputt.safe_text import MAX_NAME

EARLIEST = dt.date(1950, 1, 1)
MOST_BALLS = 1000
MOST_MINUTES = 600.0
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
        Times a streak was broken and began again.
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
class Fault:
    """One value that does not keep the rules: which, what may stand there, what to type."""

    column: str
    value: str
    allowed: str
    hint: str


def complete(session: Session, drill: Drill) -> Session:
    """Fill in the successes of a streak where only its restarts were written.

    Every miss of a streak starts it again, so the rest of the balls succeeded.
    """
    streak = drill.scoring.type == "streak"
    if not streak or session.successes is not None:
        return session
    if session.balls is None or session.restarts is None:
        return session
    return replace(session, successes=session.balls - session.restarts)


def faults(session: Session, drill: Drill, today: dt.date) -> list[Fault]:
    """Everything wrong with a set, after :func:`complete`."""
    return [*_count_faults(session, drill), *_other_faults(session, today)]


def _count_faults(session: Session, drill: Drill) -> Iterator[Fault]:
    balls, successes, restarts = session.balls, session.successes, session.restarts
    streak = drill.scoring.type == "streak"
    if balls is None or not 1 <= balls <= MOST_BALLS:
        allowed = f"a whole number from 1 to {MOST_BALLS}"
        yield Fault("balls", _shown(balls), allowed, "Write how many balls you putted.")
        return
    if restarts is not None and not streak:
        hint = f"Leave restarts out: '{drill.id}' does not start again on a miss."
        yield Fault("restarts", _shown(restarts), "nothing", hint)
    elif restarts is not None and not 0 <= restarts <= balls:
        hint = "Write how often a miss sent you back to the start."
        yield Fault("restarts", _shown(restarts), f"a whole number from 0 to {balls}", hint)
        return
    if successes is None or not 0 <= successes <= balls:
        hint = f"Write how many balls succeeded: {drill.success}"
        hint += " Or write the restarts instead." if streak and successes is None else ""
        yield Fault("successes", _shown(successes), f"a whole number from 0 to {balls}", hint)
    elif streak and restarts is not None:
        yield from _restart_faults(balls, successes, restarts, len(drill.scoring.stations_ft))


def _restart_faults(balls: int, successes: int, restarts: int, in_a_row: int) -> Iterator[Fault]:
    """What cannot be: each miss but one on the last ball starts again; a full row ends the set."""
    most = balls - restarts
    if not most - 1 <= successes <= most:
        hint = (
            f"Every miss starts again: {balls} balls with {restarts} restarts are {most} successes"
        )
        hint += " (one fewer when the last ball missed)."
        allowed = f"{most - 1} or {most}" if most else "0"
        yield Fault("successes", _shown(successes), allowed, hint)
        return
    longest = (balls - successes + 1) * in_a_row
    if balls > longest:
        hint = f"A set is over once {in_a_row} in a row are in: {restarts} restarts leave at most"
        hint += f" {longest} balls. If you went on, write the successes in place of the restarts."
        least = -(-balls // in_a_row) - 1
        yield Fault("restarts", _shown(restarts), f"{least} or more with {balls} balls", hint)


def _other_faults(session: Session, today: dt.date) -> Iterator[Fault]:
    if not EARLIEST <= session.date <= today + dt.timedelta(days=1):
        allowed = f"a date from {EARLIEST.year} to today"
        yield Fault("date", str(session.date), allowed, "Check the year.")
    minutes = session.minutes
    if minutes is not None and not 0 < minutes <= MOST_MINUTES:
        allowed = f"minutes of more than 0 and up to {MOST_MINUTES:.0f}"
        yield Fault("minutes", f"{minutes:g}", allowed, "Write how long it took, or leave it out.")
    if len(session.player) > MAX_NAME:
        allowed = f"a name of at most {MAX_NAME} characters"
        yield Fault("player", session.player[:30], allowed, "Shorten it.")
    if len(session.note) > MOST_NOTE:
        yield Fault("note", session.note[:30], f"at most {MOST_NOTE} characters", "Shorten it.")


def _shown(value: int | None) -> str:
    return "" if value is None else str(value)


def sessions_frame(sessions: Iterable[Session]) -> pl.DataFrame:
    """Sets as a table of :data:`SESSIONS_SCHEMA`, one row each."""
    rows = [tuple(getattr(each, name) for name in SESSIONS_SCHEMA) for each in sessions]
    return pl.DataFrame(rows, schema=SESSIONS_SCHEMA, orient="row")


def mark_json(mark: PassMark, whose: str) -> str:
    """A pass mark as it is kept beside a set; ``whose`` stroke it was worked out from."""
    kept = {
        "text": mark.text,
        "successes": mark.successes,
        "balls": mark.balls,
        "in_a_row": mark.in_a_row,
        "chance": round(mark.chance, 4),
        "set_up": mark.set_up,
        "whose": whose,
    }
    return json.dumps(kept, ensure_ascii=False)


def passed(row: dict[str, Any]) -> bool | None:
    """Whether a set reached its mark; None when it was held to none.

    Parameters
    ----------
    row : dict
        A row of :data:`SESSIONS_SCHEMA`. A count is held to the mark's share of the balls
        putted; a streak to its rule: as many in a row within its balls. A set that was over
        sooner ended because it was done; one that went on passed where its misses are too few to
        have kept every row shorter.
    """
    if row["pass_mark"] is None:
        return None
    mark = json.loads(row["pass_mark"])
    if mark["in_a_row"] is not None:
        within = min(row["balls"], mark["balls"])
        misses = row["balls"] - row["successes"]
        surely = within - misses > (mark["in_a_row"] - 1) * (misses + 1)
        ended = row["balls"] <= mark["balls"] and row["successes"] >= mark["in_a_row"]
        return bool(surely or ended)
    return bool(row["successes"] * mark["balls"] >= mark["successes"] * row["balls"])
