"""Rounds summed up: the demo, one round, a season, the stroke, two sets compared, a squad."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from sgputt_cli.options import (
    DAY,
    MARKDOWN,
    PAGES,
    NamedForm,
    RoundFilter,
    Shared,
    takes_round_filter,
    takes_shared,
)

page_option = click.option("--out", type=NamedForm(*PAGES), help="HTML page to write.")
picture_option = click.option(
    "--picture",
    type=click.Path(dir_okay=False, path_type=Path),
    help="Square picture to share, .png or .svg.",
)
no_names_option = click.option("--no-names", is_flag=True, help="Leave names out of the picture.")


@click.command("demo")
@click.option(
    "--out",
    type=NamedForm(*PAGES),
    default=Path("season.html"),
    show_default=True,
    help="HTML page to write.",
)
@takes_shared("archive", "baseline")
def demo(shared: Shared, out: Path) -> None:
    """Import an invented season and print the next drill.

    The player, the course and every putt are invented. The rounds are kept in
    demo.sqlite beside the page: add --archive demo.sqlite to any command to
    try it on them. Your own archive is never touched.

    \b
    Example:
      sgputt demo --out season.html
    """
    from sgputt_cli.demo import write_demo

    write_demo(shared.archive or out.parent / "demo.sqlite", shared.baseline, out)


@click.command("round")
@click.argument("round_id", required=False, type=int, metavar="[ID]")
@page_option
@picture_option
@no_names_option
@takes_shared("archive", "player", "baseline", "json")
def round_(
    shared: Shared, round_id: int | None, out: Path | None, picture: Path | None, no_names: bool
) -> None:
    """Show one round, hole by hole; the latest without an ID.

    \b
    Examples:
      sgputt round
      sgputt round 3 --out round.html
      sgputt round --picture round.png
    """
    from sgputt_cli.season import write_round

    write_round(shared, round_id, out, picture, names=not no_names)


@click.command("season")
@click.argument("year", required=False, type=click.IntRange(1950, 2200))
@page_option
@picture_option
@no_names_option
@takes_shared("archive", "player", "baseline", "json")
@takes_round_filter
def season(
    shared: Shared,
    which: RoundFilter,
    year: int | None,
    out: Path | None,
    picture: Path | None,
    no_names: bool,
) -> None:
    """Summarise the rounds of a YEAR, or all, or the latest.

    \b
    Examples:
      sgputt season
      sgputt season 2026 --out season.html
      sgputt season --last 10
      sgputt season --picture season.png --no-names
    """
    from sgputt_cli.season import write_season

    write_season(shared, year, which, out, picture, names=not no_names)


@click.command("stroke")
@click.argument("year", required=False, type=click.IntRange(1950, 2200))
@takes_shared("archive", "player", "json")
def stroke(shared: Shared, year: int | None) -> None:
    """Show read, direction and pace, habits, and what better is worth.

    Fitted to your makes, leaves and words such as short or left: how far each
    of the three spreads, habits such as too little break, what each miss was,
    and what one step better would gain on your own first putts. A model.

    \b
    Examples:
      sgputt stroke
      sgputt stroke 2026 --json
    """
    from sgputt_cli.season import write_stroke

    write_stroke(shared, year)


@click.command("compare")
@click.argument(
    "years", metavar="[YEAR YEAR]", nargs=-1, required=False, type=click.IntRange(1950, 2200)
)
@click.option("--before", type=DAY, metavar="DATE", help="Rounds before this day, and from it on.")
@click.option("--against", metavar="PLAYER", help="Another player, against --player.")
@takes_shared("archive", "player", "baseline", "json")
@takes_round_filter
def compare(
    shared: Shared,
    which: RoundFilter,
    years: tuple[int, ...],
    before: date | None,
    against: str | None,
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


@click.command("squad")
@click.option(
    "--out",
    type=NamedForm(*PAGES, *MARKDOWN),
    help="Page to write, or Markdown (.md).",
)
@click.option(
    "--sheets", type=click.Path(file_okay=False, path_type=Path), help="Folder: a sheet a player."
)
@click.option(
    "--changed-since",
    type=DAY,
    metavar="DATE",
    help="Day to hold putting against before (the first set logged).",
)
@takes_shared("archive", "baseline", "json")
@takes_round_filter
def squad(
    shared: Shared,
    which: RoundFilter,
    out: Path | None,
    sheets: Path | None,
    changed_since: date | None,
) -> None:
    """Sum up all players: who loses where, who has improved, who shares a need.

    \b
    Examples:
      sgputt squad
      sgputt squad --last 20 --json
      sgputt squad --changed-since 2026-06-01
      sgputt squad --out squad.html
      sgputt squad --sheets sheets
    """
    from sgputt_cli.squad import write_squad

    if shared.baseline == "own":
        raise click.UsageError(
            "'own' is one player's baseline. For a squad choose squad, tour, tour 1988 or club."
        )
    write_squad(shared, which, out, sheets, changed_since)
