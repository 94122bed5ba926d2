"""``sgputt drills read``."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from sgputt_cli.practising import aim_for, all_drills, own_option
from sgputt_cli.shared import Shared, takes_shared

if TYPE_CHECKING:
    from sgputt.archive.sessions import Added
    from sgputt.archive.store import Archive
    from sgputt.practice.drills import Drill
    from sgputt.practice.session import Session
    from sgputt.practice.session_file import SessionReading


@click.command("read")
@click.argument("file", type=click.Path(path_type=Path), metavar="FILE")
@click.option("--date-order", type=click.Choice(["dmy", "mdy"]), help="How to read 3/5/2026.")
@own_option
@takes_shared("archive", "player", "json")
def command(shared: Shared, file: Path, date_order: str | None, own: Path | None) -> None:
    """Read many sets from a file (CSV or .xlsx), a row a set.

    The first row names the columns: date, drill, balls, successes, and where
    there are any restarts, minutes, note, player. An empty date or player is the
    one above. All is stored or, with a problem, nothing. Reading the same file
    again changes nothing.

    \b
    Example:
      sgputt drills read practice.csv --player "Mara Lindqvist"
    """
    from sgputt_cli.output import write_json

    drills = {drill.id: drill for drill in all_drills(own)}
    reading = _read(shared, file, date_order, drills)
    added = None
    if not reading.problems and reading.sessions:
        with shared.open_archive(make=True) as archive:
            added = _store(archive, reading.sessions, drills)
    if shared.as_json:
        write_json(
            {
                "stored": added.stored if added else [],
                "unchanged": added.unchanged if added else 0,
                "problems": [each.as_dict() for each in reading.problems],
            }
        )
    else:
        _say(file, reading, added)
    raise click.exceptions.Exit(1 if reading.problems else 0)


def _read(
    shared: Shared, file: Path, date_order: str | None, drills: dict[str, Drill]
) -> SessionReading:
    from sgputt.practice.session_file import (
        HEADER_HINT,
        SessionProblem,
        SessionReading,
        read_sessions,
    )
    from sgputt.scorecard.problem import FileError, Ledger
    from sgputt.scorecard.source import read_rows

    today = date.today()
    player = shared.player or _only_player(shared)
    try:
        rows = read_rows(file, None, Ledger(file.name))
    except FileError as exc:
        allowed = "a CSV or .xlsx file, a row a set"
        hint = HEADER_HINT if "empty" in exc.what else exc.hint
        problem = SessionProblem(file.name, exc.row, None, "", allowed, hint, exc.what)
        return SessionReading(problems=[problem])
    dates = _Dates([cell for row in rows for cell in row.cells], date_order, today)
    return read_sessions(rows, file.name, drills, dates.read, today, player)


def _only_player(shared: Shared) -> str | None:
    """The only player stored, for rows that name none."""
    from sgputt.archive.sessions import SessionLog
    from sgputt_cli.practising import is_there

    if not is_there(shared):
        return None
    with shared.open_archive() as archive:
        known = {*archive.players(), *SessionLog(archive).players()}
    return known.pop() if len(known) == 1 else None


class _Dates:
    """Dates as scorecards write them, with errors as the practice file tells them."""

    def __init__(self, cells: list[str], order: str | None, today: date) -> None:
        from sgputt.scorecard.dates import DateReader

        chosen = order if order in ("dmy", "mdy") else None
        self._reader = DateReader(cells, chosen, today)  # type: ignore[arg-type]

    def read(self, text: str) -> date:
        from sgputt.practice.session_file import DateError
        from sgputt.scorecard.problem import CellError

        try:
            return self._reader.read(text)
        except CellError as exc:
            hint = f"{exc.what[0].upper()}{exc.what[1:]}. {exc.hint}" if exc.what else exc.hint
            raise DateError(exc.allowed, hint) from exc


def _store(archive: Archive, sessions: list[Session], drills: dict[str, Drill]) -> Added:
    """Store each set with the mark that holds for its player today."""
    from dataclasses import replace

    from sgputt.archive.sessions import SessionLog
    from sgputt.practice.pass_mark import pass_mark
    from sgputt.practice.session import mark_json, sessions_frame

    aims = {name: aim_for(archive, name) for name in dict.fromkeys(s.player for s in sessions)}
    marks = {}
    for name, drill_id in dict.fromkeys((each.player, each.drill) for each in sessions):
        aim = aims[name]
        mark = pass_mark(drills[drill_id], aim.target, aim.own)
        marks[name, drill_id] = mark_json(mark, aim.whose)
    whole = [replace(each, pass_mark=marks[each.player, each.drill]) for each in sessions]
    return SessionLog(archive).add(sessions_frame(whole), once=True)


def _say(file: Path, reading: SessionReading, added: Added | None) -> None:
    from sgputt_cli.output import plural, say, write_line

    for problem in reading.problems:
        write_line(f"Problem: {problem}", err=True)
    if reading.problems:
        write_line(f"{file.name}: nothing was stored.", err=True)
        return
    if added is None:
        write_line(f"{file.name}: no set stands in it; nothing was stored.", err=True)
        return
    again = f", {plural(added.unchanged, 'set')} were there already" if added.unchanged else ""
    say(f"Stored {plural(len(added.stored), 'set')} of practice{again}.")
    say("Next: sgputt drills history   (to take it back: sgputt drills undo)")
