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
    from sgputt.season.stroke import stroke_report
    from sgputt_cli.output import write_json
    from sgputt_cli.selection import select
    from sgputt_cli.stroke_text import say_stroke, stroke_json

    selection = select(shared, year)
    report = stroke_report(selection.scored)
    if shared.as_json:
        write_json({"player": selection.player, **stroke_json(report)})
    else:
        say_stroke(report, selection.player)
