"""``sgputt round``."""

from __future__ import annotations

from pathlib import Path

import click

from sgputt_cli.shared import Shared, takes_shared


@click.command("round")
@click.argument("round_id", required=False, type=int, metavar="[ID]")
@click.option("--out", type=click.Path(dir_okay=False, path_type=Path), help="HTML page to write.")
@takes_shared("archive", "player", "baseline", "json")
def command(shared: Shared, round_id: int | None, out: Path | None) -> None:
    """Show one round, hole by hole; the latest without an ID.

    \b
    Examples:
      sgputt round
      sgputt round 3 --out round.html
    """
    from sgputt_cli.round import write_round

    write_round(shared, round_id, out)
