"""``sgputt drills read``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from sgputt_cli.practising import own_option
from sgputt_cli.shared import Shared, takes_shared

if TYPE_CHECKING:
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
    from sgputt_cli import drills

    if not drills.read_log(shared, file, date_order, own):
        raise click.exceptions.Exit(1)
