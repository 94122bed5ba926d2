"""``sgputt squad``."""

from __future__ import annotations

from pathlib import Path

import click

from sgputt_cli.narrowing import Which, takes_which
from sgputt_cli.shared import Shared, takes_shared


@click.command("squad")
@click.option("--out", type=click.Path(dir_okay=False, path_type=Path), help="HTML page to write.")
@click.option(
    "--sheets", type=click.Path(file_okay=False, path_type=Path), help="Folder: a sheet a player."
)
@takes_shared("archive", "baseline", "json")
@takes_which
def command(shared: Shared, which: Which, out: Path | None, sheets: Path | None) -> None:
    """Sum up all players: who loses where, who shares a need.

    \b
    Examples:
      sgputt squad
      sgputt squad --last 20 --json
      sgputt squad --out squad.html
      sgputt squad --sheets sheets
    """
    from sgputt_cli.squad import write_squad

    if shared.baseline == "own":
        raise click.UsageError(
            "'own' is one player's baseline. For a squad choose squad, tour, tour 1988 or club."
        )
    write_squad(shared, which, out, sheets)
