"""``sgputt stroke``."""

from __future__ import annotations

import click

from sgputt_cli.shared import Shared, takes_shared


@click.command("stroke")
@click.argument("year", required=False, type=click.IntRange(1950, 2200))
@takes_shared("archive", "player", "json")
def command(shared: Shared, year: int | None) -> None:
    """Fit start line and pace, and say what better is worth.

    A model: two spreads, one for start line and read together, one for pace. What
    10 % better would gain is worked out on your own first putts.

    \b
    Examples:
      sgputt stroke
      sgputt stroke 2026 --json
    """
    from sgputt_cli.stroke import write_stroke

    write_stroke(shared, year)
