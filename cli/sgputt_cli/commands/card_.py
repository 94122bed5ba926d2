"""``sgputt card``."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from sgputt_cli.shared import Shared, takes_shared

if TYPE_CHECKING:
    from sgputt.scorecard.headers import Layout


@click.command("card")
@click.option(
    "--layout",
    type=click.Choice(["holes", "putts"]),
    default="holes",
    show_default=True,
    help="A row a hole, or a row a putt.",
)
@click.option("--course", help="Course, written on the first row.")
@click.option("--date", type=click.DateTime(["%Y-%m-%d"]), help="Date, such as 2026-05-03.")
@click.option("--holes", type=click.IntRange(1, 18), default=18, help="Holes on the card (18).")
@click.option("--out", type=click.Path(dir_okay=False, path_type=Path), help="File to write.")
@takes_shared("player")
def command(
    shared: Shared,
    layout: Layout,
    course: str | None,
    date: datetime | None,
    holes: int,
    out: Path | None,
) -> None:
    """Write a blank scorecard to type a round into.

    Lengths may be feet (12), feet and inches (12'6"), metres (3.7 m) or paces
    (8 paces). A hole with no putt has 0 putts. Write date, player and course
    once; empty cells below them mean the same. For recording a round; the
    analysis is for afterwards (Rule 4.3a).

    \b
    Example:
      sgputt card --player "Mara Lindqvist" --out round.csv
    """
    from sgputt.scorecard.blank import blank_card
    from sgputt_cli.output import write_file

    text = blank_card(
        layout=layout,
        player=shared.player,
        course=course,
        date=date.date() if date else None,
        holes=holes,
    )
    if out is None:
        click.echo(text, nl=False)
    else:
        write_file(out, text)
