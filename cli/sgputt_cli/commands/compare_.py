"""``sgputt compare``."""

from __future__ import annotations

from datetime import date

import click

from sgputt_cli.narrowing import DAY, Which, takes_which
from sgputt_cli.shared import Shared, takes_shared


@click.command("compare")
@click.argument(
    "years", metavar="[YEAR YEAR]", nargs=-1, required=False, type=click.IntRange(1950, 2200)
)
@click.option("--before", type=DAY, metavar="DATE", help="Rounds before this day, and from it on.")
@click.option("--against", metavar="PLAYER", help="Another player, against --player.")
@takes_shared("archive", "player", "baseline", "json")
@takes_which
def command(
    shared: Shared, which: Which, years: tuple[int, ...], before: date | None, against: str | None
) -> None:
    """Compare two sets of rounds: a difference, or luck alone.

    Either two YEARs, or the rounds before a day and from it on (such as the day a drill
    began), or two players: --player "Mara Lindqvist" --against "Ada Brook".

    \b
    Example:
      sgputt compare --before 2026-04-01
    """
    from sgputt_cli.compare import write_comparison

    _check(years, before, against)
    write_comparison(shared, which, years, before, against)


def _check(years: tuple[int, ...], before: date | None, against: str | None) -> None:
    """Exactly one way to compare."""
    ways = [before is not None, against is not None, against is None and bool(years)]
    right = len(years) == 2 if ways == [False, False, True] else len(years) <= 1
    if sum(ways) != 1 or not right:
        raise click.UsageError(
            "Say which two to compare: two years (2025 2026), --before DATE, or"
            " --player A --against B."
        )
    if len(set(years)) < len(years):
        raise click.UsageError(f"{years[0]} is compared with itself. Name two years.")
