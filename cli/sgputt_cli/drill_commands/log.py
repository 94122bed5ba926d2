"""``sgputt drills log``."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from sgputt.safe_text import clean
from sgputt_cli.practising import (
    Practiser,
    aim_for,
    all_drills,
    find_drill,
    is_there,
    own_option,
    whose_practice,
)
from sgputt_cli.shared import Shared, takes_shared

if TYPE_CHECKING:
    from sgputt.practice.drills import Drill
    from sgputt.practice.session import Session


@click.command("log")
@click.argument("drill_id", metavar="NAME")
@click.option("--balls", type=int, required=True, help="Balls putted.")
@click.option("--successes", type=int, help="Balls that succeeded.")
@click.option("--restarts", type=int, help="Of a drill in a row: misses that started it again.")
@click.option("--minutes", type=float, help="How long it took.")
@click.option("--date", "day", type=click.DateTime(["%Y-%m-%d"]), help="As 2026-05-03 (today).")
@click.option("--note", default="", help="A word of your own.")
@own_option
@takes_shared("archive", "player", "json")
def command(
    shared: Shared,
    drill_id: str,
    balls: int,
    successes: int | None,
    restarts: int | None,
    minutes: float | None,
    day: datetime | None,
    note: str,
    own: Path | None,
) -> None:
    """Log one set of a drill that you have practised.

    Log every set by itself: it is held to the pass mark of a set. Of a drill
    that starts again on a miss, the restarts will do in place of the successes.

    \b
    Examples:
      sgputt drills log circle-of-eight-5ft --balls 40 --successes 29
      sgputt drills log ladder-below-the-hole --balls 14 --restarts 3 --minutes 8
    """
    from sgputt.practice.session import Session, complete, faults

    drill = find_drill(all_drills(own), drill_id)
    today = date.today()
    when = day.date() if day else today
    session = Session("", when, drill.id, balls, successes, restarts, minutes, clean(note))
    session = complete(session, drill)
    for fault in faults(session, drill, today):
        stood = f"'{fault.value}'" if fault.value else "nothing"
        text = f"--{fault.column}: {stood} stands there; allowed: {fault.allowed}. {fault.hint}"
        raise click.UsageError(text)
    who, stored, session_id = _store(shared, session, drill)
    _report(shared, drill, who, stored, session_id)


def _store(shared: Shared, session: Session, drill: Drill) -> tuple[Practiser, Session, int]:
    """Store it with the mark that holds for this player today."""
    from dataclasses import replace

    from sgputt.archive.sessions import SessionLog
    from sgputt.practice.pass_mark import pass_mark
    from sgputt.practice.session import mark_json, sessions_frame

    if not is_there(shared):
        whose_practice(shared, None)
    with shared.open_archive(make=True) as archive:
        who = whose_practice(shared, archive)
        aim = aim_for(archive, who.name)
        mark = pass_mark(drill, aim.target, aim.own)
        whole = replace(session, player=who.name, pass_mark=mark_json(mark, aim.whose))
        added = SessionLog(archive).add(sessions_frame([whole]))
    return who, whole, added.stored[0]


def _report(
    shared: Shared, drill: Drill, who: Practiser, session: Session, session_id: int
) -> None:
    import json
    from dataclasses import asdict

    from sgputt.practice.session import passed
    from sgputt_cli.output import say, write_json

    assert session.pass_mark is not None
    row = {**asdict(session), "date": str(session.date)}
    verdict = passed(row)
    mark = json.loads(session.pass_mark)
    if shared.as_json:
        row["pass_mark"] = mark
        write_json({"session_id": session_id, **row, "passed": verdict})
        return
    say(f"Logged for {who.name}, {session.date}: {drill.name}, {_counts(session)}.")
    say(f"Pass mark: {mark['text'].rstrip('.')}. {'Passed.' if verdict else 'Not yet.'}")
    if who.new:
        say(f"'{who.name}' is new here: no rounds are stored under that name.")
    click.echo(f"Next: sgputt drills history {drill.id}")
    click.echo("A mistake? Take it back: sgputt drills undo")


def _counts(session: Session) -> str:
    assert session.balls is not None and session.successes is not None
    share = f"{session.successes} of {session.balls} balls"
    if session.restarts is not None:
        share += f", {session.restarts} restart{'' if session.restarts == 1 else 's'}"
    return f"{share} ({100 * session.successes / session.balls:.0f} %)"
