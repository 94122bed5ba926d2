"""From a practice log (a row a set of a drill) to the archive: all of it, or what is wrong."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Literal

from sgputt.archive.sessions import Added, SessionLog
from sgputt.archive.store import Archive
from sgputt.naming import new_name_words
from sgputt.practice.decision import known_from
from sgputt.practice.drills import Drill
from sgputt.practice.log import answers
from sgputt.practice.marks import mark_of_set
from sgputt.practice.session import Session, mark_json, sessions_frame
from sgputt.practice.session_file import (
    HEADER_HINT,
    DateError,
    SessionProblem,
    SessionReading,
    column_of,
    read_sessions,
)
from sgputt.putts.values import CellError
from sgputt.safe_text import unguard
from sgputt.scorecard.cells import DateOrder, DateReader
from sgputt.scorecard.files import name_of, read_sheets
from sgputt.scorecard.problem import FileError, Ledger


@dataclass
class PracticeIntake:
    """What became of one practice log.

    Attributes
    ----------
    added : Added
        Ids of the sets stored, and how many were there already.
    problems : list of SessionProblem
        Everything wrong with the file; with one nothing is stored.
    sets : int
        Sets read.
    notes : list of str
        What was taken for granted: players of whom nothing was stored before.
    """

    kind: Literal["practice"] = "practice"
    added: Added = field(default_factory=Added)
    problems: list[SessionProblem] = field(default_factory=list)
    sets: int = 0
    notes: list[str] = field(default_factory=list)


def take_in_practice(
    path: Path,
    archive: Archive,
    drills: Sequence[Drill],
    player: str | None = None,
    date_order: DateOrder | None = None,
    today: dt.date | None = None,
) -> PracticeIntake:
    """Read a practice log (CSV or .xlsx) and store its sets, each with the mark it is held to.

    Reading the same file again changes nothing.

    Parameters
    ----------
    path : Path
        The first row names the columns ``date, drill, balls, successes`` and, where there are any,
        ``restarts, minutes, note, player``. An empty date or player is the one above.
    archive : Archive
    drills : sequence of Drill
        Those that may be named, by id or title.
    player : str, optional
        For rows that name none; else the player set, or the only one known.
    date_order : {'dmy', 'mdy'}, optional
        How to read 3/5/2026.
    today : datetime.date, optional
        The day to hold dates against; otherwise the real one.
    """
    known = sorted({*archive.players(), *SessionLog(archive).players()})
    usual = archive.settings().player or (known[0] if len(known) == 1 else None)
    reading = read_practice(path, drills, player or usual, date_order, today)
    done = PracticeIntake(problems=reading.problems, sets=len(reading.sessions))
    if reading.sessions and not reading.problems:
        for name in dict.fromkeys(each.player for each in reading.sessions if known):
            new = new_name_words(name, known, "player")
            done.notes += [f"{name_of(path)}: {new}"] if new else []
        marked = _marked(reading.sessions, archive, {drill.id: drill for drill in drills})
        done.added = SessionLog(archive).add(sessions_frame(marked), once=True)
    return done


def read_practice(
    path: Path,
    drills: Sequence[Drill],
    player: str | None = None,
    date_order: DateOrder | None = None,
    today: dt.date | None = None,
) -> SessionReading:
    """Read a practice log and store nothing; parameters as in :func:`take_in_practice`."""
    today = today or dt.date.today()
    name = name_of(path)
    try:
        rows = [
            (row.number, [unguard(cell.strip()) for cell in row.cells])
            for row in read_sheets(path, None, Ledger(name))[0].rows
        ]
    except FileError as exc:
        allowed = "a CSV or .xlsx file, a row a set"
        hint = HEADER_HINT if "empty" in exc.what else exc.hint
        return SessionReading(
            problems=[SessionProblem(name, exc.row, None, "", allowed, hint, exc.what)]
        )
    at = column_of(rows, "date")
    days = [cells[at] for _, cells in rows[1:] if at is not None and at < len(cells)]
    dates = DateReader(days, date_order, today)

    def read_date(text: str) -> dt.date:
        try:
            return dates.read(text)
        except CellError as exc:
            hint = f"{exc.what[0].upper()}{exc.what[1:]}. {exc.hint}" if exc.what else exc.hint
            raise DateError(exc.allowed, hint) from exc

    return read_sessions(
        rows, name, {drill.id: drill for drill in drills}, read_date, today, player
    )


def is_practice(path: Path) -> bool:
    """Whether a file is a practice log, by its header; a card has no column of drills."""
    try:
        rows = read_sheets(path, None, Ledger(""))[0].rows
    except FileError:
        return False
    head = [(row.number, row.cells) for row in rows[:1]]
    return all(column_of(head, name) is not None for name in ("drill", "balls"))


def _marked(
    sessions: Sequence[Session], archive: Archive, drills: dict[str, Drill]
) -> list[Session]:
    """Each set with the mark that holds for its player today."""
    log = SessionLog(archive)
    catalogue = list(drills.values())
    names = {each.player for each in sessions}
    known = {name: known_from(archive.putts(name)) for name in names}
    moved = {name: answers(log.table(name), catalogue) for name in names}
    marks: dict[tuple[str, str, int | None], str] = {}
    for name, drill, balls in dict.fromkeys((e.player, e.drill, e.balls) for e in sessions):
        answer = moved[name].get(drill)
        harder = answer.harder if answer else 0
        mark = mark_of_set(drills[drill], known[name], harder, balls)
        marks[name, drill, balls] = mark_json(mark, known[name].whose)
    return [replace(e, pass_mark=marks[e.player, e.drill, e.balls]) for e in sessions]
