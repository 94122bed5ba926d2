"""``sgputt drills read``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from sgputt_cli.practising import all_drills, own_option
from sgputt_cli.shared import Shared, takes_shared

if TYPE_CHECKING:
    from sgputt.practice_intake import PracticeIntake
    from sgputt.scorecard.dates import DateOrder


@click.command("read")
@click.argument("file", type=click.Path(path_type=Path), metavar="FILE")
@click.option("--date-order", type=click.Choice(["dmy", "mdy"]), help="How to read 3/5/2026.")
@own_option
@takes_shared("archive", "player", "json")
def command(shared: Shared, file: Path, date_order: DateOrder | None, own: Path | None) -> None:
    """Read many sets from a file (CSV or .xlsx), a row a set.

    The first row names the columns: date, drill, balls, successes, and where
    there are any restarts, minutes, note, player. An empty date or player is the
    one above. All is stored or, with a problem, nothing. Reading the same file
    again changes nothing.

    \b
    Example:
      sgputt drills read practice.csv --player "Mara Lindqvist"
    """
    from sgputt.practice_intake import take_in_practice
    from sgputt_cli.output import write_json

    with shared.open_archive(make=True) as archive:
        done = take_in_practice(file, archive, all_drills(own), shared.player, date_order)
    if shared.as_json:
        write_json(
            {
                "stored": done.added.stored,
                "unchanged": done.added.unchanged,
                "problems": [each.as_dict() for each in done.problems],
            }
        )
    else:
        _say(file, done)
    raise click.exceptions.Exit(1 if done.problems else 0)


def _say(file: Path, done: PracticeIntake) -> None:
    from sgputt_cli.output import plural, say, write_line

    for problem in done.problems:
        write_line(f"Problem: {problem}", err=True)
    if done.problems:
        write_line(f"{file.name}: nothing was stored.", err=True)
        return
    if not done.sets:
        write_line(f"{file.name}: no set stands in it; nothing was stored.", err=True)
        return
    there = done.added.unchanged
    again = f", {plural(there, 'set')} were there already" if there else ""
    say(f"Stored {plural(len(done.added.stored), 'set')} of practice{again}.")
    say("Next: sgputt drills history   (to take it back: sgputt drills undo)")
