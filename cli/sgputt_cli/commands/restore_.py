"""``sgputt restore``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from sgputt_cli.shared import Shared, default_archive, takes_shared

if TYPE_CHECKING:
    from sgputt.archive.backup import Restored
    from sgputt.archive.salvage import Salvaged


@click.command("restore")
@click.argument("file", required=False, type=click.Path(dir_okay=False, path_type=Path))
@click.option(
    "--salvage", is_flag=True, help="Without a FILE: keep what the damaged archive still tells."
)
@takes_shared("archive")
def command(shared: Shared, file: Path | None, salvage: bool) -> None:
    """Go back to a backup FILE, or save what a damaged archive still tells.

    The FILE is checked first. The archive that was there is kept beside the
    new one, as NAME.damaged-DATE (or NAME.replaced-DATE, if it was whole).
    With --salvage rounds are read one by one, from their scorecards where the
    archive itself cannot be read; what is lost is said, and ends with status 1.

    \b
    Examples:
      sgputt restore putts-2026-05-01.sqlite
      sgputt restore --salvage
    """
    import datetime as dt

    if salvage == (file is not None):
        raise click.UsageError("Name the backup FILE to go back to, or give --salvage.")
    archive = shared.archive or default_archive()
    if file is not None:
        from sgputt.archive.backup import restore

        _say_restored(file, restore(file, archive, dt.date.today()))
        return
    from sgputt.archive.salvage import salvage as salvage_archive
    from sgputt.intake import read_again

    done = salvage_archive(archive, read_again, dt.date.today())
    _say_salvaged(done)
    raise click.exceptions.Exit(1 if done.doubtful or done.lost or done.more_lost else 0)


def _say_restored(file: Path, done: Restored) -> None:
    from sgputt_cli.output import plural, say

    sets = f" and {plural(done.sessions, 'set')} of drills" if done.sessions else ""
    say(f"Restored {plural(done.rounds, 'round')}{sets} from {file}.")
    if done.newest is not None:
        say(f"The newest was imported {done.newest[:10]}: import later scorecards again.")
    if done.aside is not None:
        word = "damaged" if done.was_damaged else "former"
        say(f"The {word} archive is kept as {done.aside}")


def _say_salvaged(done: Salvaged) -> None:
    from sgputt_cli.output import plural, say

    if done.aside is None:
        say("The archive is not damaged: it was left as it is.")
        return
    say(f"{plural(len(done.whole), 'round')} kept as before.")
    for title, rounds in (
        ("Read again from their scorecards", done.from_cards),
        (
            "Kept, but compare with your card: something may be missing or changed",
            done.doubtful,
        ),
        ("Lost", done.lost),
    ):
        if rounds:
            say(f"{title}:")
            for each in rounds:
                say(f"  {each}")
    if done.sessions:
        say(f"{plural(done.sessions, 'set')} of drills kept.")
    if done.more_lost:
        say(f"Also lost: {', '.join(done.more_lost)}.")
    for card in done.cards:
        say(f"A scorecard to import again: {card}")
    say(f"The damaged archive is kept as {done.aside}")
