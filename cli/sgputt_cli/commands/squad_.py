"""``sgputt squad``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from sgputt_cli.narrowing import Which, takes_which
from sgputt_cli.shared import Shared, takes_shared

if TYPE_CHECKING:
    from sgputt.practice.squad import Squad


@click.command("squad")
@click.option("--out", type=click.Path(dir_okay=False, path_type=Path), help="HTML page to write.")
@takes_shared("archive", "baseline", "json")
@takes_which
def command(shared: Shared, which: Which, out: Path | None) -> None:
    """Sum up all players: who loses where, which drills serve.

    \b
    Examples:
      sgputt squad
      sgputt squad --last 20 --json
      sgputt squad --out squad.html
    """
    from sgputt.practice.drills import load_drills
    from sgputt.practice.squad import squad_summary
    from sgputt_cli.output import write_file, write_json
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
    if out is not None:
        write_file(out, _page(squad, absent), quiet=shared.as_json)


def _page(squad: Squad, absent: list[str]) -> str:
    from sgputt.practice.drills import load_caution
    from sgputt_reports.squad import squad_page

    return squad_page(squad, absent, load_caution())
