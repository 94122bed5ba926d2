"""``sgputt putt``."""

from __future__ import annotations

import click

from sgputt_cli.shared import Shared, takes_shared


@click.command("putt")
@click.argument("lengths", nargs=-1, required=True, metavar="LENGTH...")
@click.option("--stimp", default="10", help="Green speed, feet (10).")
@click.option("--grade", default="2%", help="Slope of the green: 2%, or 0.02 (2%).")
@click.option("--past", help="How far past the hole to roll it (as you usually do).")
@click.option("--unit", help="Unit of a bare number: ft, m, paces ... (as set, else ft)")
@takes_shared("archive", "player", "json")
def command(
    shared: Shared,
    lengths: tuple[str, ...],
    stimp: str,
    grade: str,
    past: str | None,
    unit: str | None,
) -> None:
    """Show how a putt behaves on a slope, to set up practice.

    From straight above the hole round to straight below: how much it breaks, how
    hard to hit it, the best pace, and how often you and the tour hole it. A
    model; for practice, and before or after the round.

    \b
    Examples:
      sgputt putt 10
      sgputt putt 6 20 --stimp 11 --grade 3% --past 1
    """
    from sgputt_cli.putt import write_putts

    write_putts(shared, lengths, stimp, grade, past, unit)
