"""``sgputt drills log``."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path

import click

from sgputt_cli.practising import own_option
from sgputt_cli.shared import Shared, takes_shared


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
    from sgputt_cli import drills

    when = day.date() if day else date.today()
    drills.log_set(shared, drill_id, own, when, balls, successes, restarts, minutes, note)
