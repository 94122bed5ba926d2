"""``sgputt drills NAME``."""

from __future__ import annotations

from pathlib import Path

import click

from sgputt_cli.practising import own_option
from sgputt_cli.shared import Shared, takes_shared


@click.command("show")
@click.argument("drill_id", metavar="NAME")
@click.option(
    "--out",
    type=click.Path(dir_okay=False, path_type=Path),
    help="Its page, .html, or its plan, .png or .svg.",
)
@own_option
@takes_shared("archive", "player", "json")
def command(shared: Shared, drill_id: str, out: Path | None, own: Path | None) -> None:
    """Show how a drill is set up, with your pass mark.

    The mark is worked out from your stored putts; without any, from a tour
    stroke.

    \b
    Examples:
      sgputt drills circle-of-eight-5ft
      sgputt drills circle-of-eight-5ft --out circle.html
    """
    from sgputt_cli import drills
    from sgputt_cli.commands.drills_ import COMMANDS

    drills.show_drill(shared, drill_id, own, COMMANDS, out)
