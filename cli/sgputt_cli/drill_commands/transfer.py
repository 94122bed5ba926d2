"""``sgputt drills transfer``."""

from __future__ import annotations

from pathlib import Path

import click

from sgputt_cli.practising import own_option
from sgputt_cli.shared import Shared, takes_shared


@click.command("transfer")
@click.argument("drill_id", required=False, metavar="[NAME]")
@own_option
@takes_shared("archive", "player", "baseline", "json")
def command(shared: Shared, drill_id: str | None, own: Path | None) -> None:
    """Tell whether practice shows on the course.

    For each drill logged: its success rate against the same putts on the
    course, and strokes gained in what it trains before and after you took it up.

    \b
    Examples:
      sgputt drills transfer
      sgputt drills transfer circle-of-eight-5ft --json
    """
    from sgputt_cli import drills

    drills.show_transfer(shared, drill_id, own)
