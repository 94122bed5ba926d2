"""``sgputt compare``."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import click

from sgputt_cli.narrowing import DAY, Which, takes_which
from sgputt_cli.shared import Shared, takes_shared

if TYPE_CHECKING:
    from sgputt.season.compare import Comparison


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
    from sgputt_cli.compare_text import comparison_json, say_comparison
    from sgputt_cli.output import write_json

    _check(years, before, against)
    if against is not None:
        who, found = _players(shared, which, years, against)
    else:
        who, found = _periods(shared, which, years, before)
    if shared.as_json:
        write_json(comparison_json(found, who))
    else:
        say_comparison(found, who)


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


def _players(
    shared: Shared, which: Which, years: tuple[int, ...], against: str
) -> tuple[str, Comparison]:
    from dataclasses import replace

    from sgputt.season.compare import compare
    from sgputt_cli.selection import stored_rounds

    baseline = shared.get_baseline()
    both = [stored_rounds(each) for each in (shared, replace(shared, player=against))]
    names = (both[0].player, both[1].player)
    if names[0] == names[1]:
        raise click.UsageError(f"{names[0]} is compared with themselves. Name another player.")
    for year in years:
        both = [each.of_year(year) for each in both]
    first, second = (each.narrowed(which).score(baseline) for each in both)
    return "Two players", compare(first, second, names)


def _periods(
    shared: Shared, which: Which, years: tuple[int, ...], before: date | None
) -> tuple[str, Comparison]:
    import polars as pl

    from sgputt.season.compare import compare
    from sgputt_cli.selection import stored_rounds

    baseline = shared.get_baseline()
    stored = stored_rounds(shared).narrowed(which)
    if before is None:
        parts = [stored.of_year(year) for year in years]
        names = (str(years[0]), str(years[1]))
    else:
        names = (f"before {before}", f"from {before} on")
        day = pl.col("date")
        parts = [stored.where(day < before, names[0]), stored.where(day >= before, names[1])]
    first, second = (each.score(baseline) for each in parts)
    return stored.player, compare(first, second, names, both=False)
