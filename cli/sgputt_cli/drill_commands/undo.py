"""``sgputt drills undo``."""

from __future__ import annotations

import click

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
    from sgputt_cli import drills

    drills.undo_last(shared)
