"""``sgputt drills history``."""

from __future__ import annotations

from pathlib import Path

import click

from sgputt_cli.practising import own_option
from sgputt_cli.shared import Shared, takes_shared


@click.command("history")
@click.argument("drill_id", required=False, metavar="[NAME]")
@own_option
@takes_shared("archive", "player", "json")
def command(shared: Shared, drill_id: str | None, own: Path | None) -> None:
    """Show what was practised: success rates, pass marks, trends.

    \b
    Examples:
      sgputt drills history
      sgputt drills history circle-of-eight-5ft
    """
    from sgputt_cli import drills

    drills.show_history(shared, drill_id, own)
