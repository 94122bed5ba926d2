"""``sgputt squad``."""

from __future__ import annotations

import click

from sgputt_cli.narrowing import Which, takes_which
from sgputt_cli.shared import Shared, takes_shared


@click.command("squad")
@takes_shared("archive", "baseline", "json")
@takes_which
def command(shared: Shared, which: Which) -> None:
    """Sum up all players: who loses where, and which drills serve several.

    \b
    Examples:
      sgputt squad
      sgputt squad --last 20 --json
    """
    from sgputt.practice.drills import load_drills
    from sgputt.practice.squad import squad_summary
    from sgputt_cli.output import write_json
    from sgputt_cli.selection import select_squad
    from sgputt_cli.squad_text import say_squad, squad_json

    if shared.baseline == "own":
        raise click.UsageError(
            "'own' is one player's baseline. For a squad choose squad, tour, tour 1988 or club."
        )
    players, absent = select_squad(shared, which)
    squad = squad_summary(players, load_drills())
    if shared.as_json:
        write_json(squad_json(squad, absent))
    else:
        say_squad(squad, absent)
