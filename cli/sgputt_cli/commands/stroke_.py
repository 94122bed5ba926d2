"""``sgputt stroke``."""

from __future__ import annotations

import click

from sgputt_cli.shared import Shared, takes_shared


@click.command("stroke")
@click.argument("year", required=False, type=click.IntRange(1950, 2200))
@takes_shared("archive", "player", "json")
def command(shared: Shared, year: int | None) -> None:
    """Show read, direction and pace, habits, and what better is worth.

    Fitted to your makes, leaves and words such as short or left: how far each
    of the three spreads, habits such as too little break, what each miss was,
    and what one step better would gain on your own first putts. A model.

    \b
    Examples:
      sgputt stroke
      sgputt stroke 2026 --json
    """
    from sgputt_cli.stroke import write_stroke

    write_stroke(shared, year)
