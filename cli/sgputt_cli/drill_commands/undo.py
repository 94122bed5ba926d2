"""``sgputt drills undo``."""

from __future__ import annotations

import click

from sgputt_cli.practising import open_log, whose_practice
from sgputt_cli.shared import Shared, takes_shared


@click.command("undo")
@takes_shared("archive", "player", "json")
def command(shared: Shared) -> None:
    """Take back the last entry of the practice log.

    Sets read from one file are one entry. With several players --player says
    whose last entry; without it, the last of anyone.

    \b
    Example:
      sgputt drills undo
    """
    from sgputt.archive.sessions import SessionLog
    from sgputt_cli.output import plural, say, write_json, write_line

    with open_log(shared) as archive:
        whose = whose_practice(shared, archive).name if shared.player is not None else None
        gone = SessionLog(archive).undo(whose)
    rows = gone.drop("pass_mark").to_dicts()
    if shared.as_json:
        write_json({"removed": rows})
        return
    say(f"Taken back: {plural(len(rows), 'set')}.")
    for row in rows:
        share = f"{row['successes']} of {row['balls']}"
        write_line(f"  {row['date']}  {row['drill']}  {share}  ({row['player']})")
