"""Scorecards: a blank one, reading without storing, storing."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from sgputt_cli.options import DAY, PAGES, NamedForm, Shared, takes_shared

if TYPE_CHECKING:
    from sgputt.putts.columns import Layout

Function = TypeVar("Function", bound=Callable[..., Any])

card_files = click.argument(
    "files",
    nargs=-1,
    required=True,
    type=click.Path(path_type=Path, readable=False),
    metavar="FILE...",
)
_CARD_OPTIONS = (
    click.option("--date", type=DAY, help="Date, as 2026-05-03."),
    click.option("--course", help="Course."),
    click.option("--event", help="Event."),
    click.option("--round", "round_number", type=click.IntRange(1, 99), help="Round of the day."),
    click.option("--unit", help="Unit of bare lengths: ft, m, paces ... (ft)"),
    click.option("--pace-length", "pace_ft", type=float, default=3.0, help="Feet in a pace (3)."),
    click.option("--stimp", "stimp_ft", type=float, help="Green speed, feet."),
    click.option("--date-order", type=click.Choice(["dmy", "mdy"]), help="How to read 3/5/2026."),
    click.option("--sheet", help="One sheet of a workbook (every card in it)."),
    click.option(
        "--missing",
        type=click.Choice(["chipped-in", "not-played"]),
        help="What holes without a row were.",
    ),
    click.option("--as-written", is_flag=True, help="What can hardly be true is so."),
)


def card_options(function: Function) -> Function:
    """Add the options that say what a scorecard does not say itself."""
    for option in reversed(_CARD_OPTIONS):
        function = option(function)
    return function


@click.command("card")
@click.option(
    "--layout",
    type=click.Choice(["holes", "putts"]),
    default="holes",
    show_default=True,
    help="A row a hole, or a row a putt (of a CSV card).",
)
@click.option("--course", help="Course, written on the first row.")
@click.option("--date", type=DAY, help="Date, such as 2026-05-03.")
@click.option("--holes", type=click.IntRange(1, 18), default=18, help="Holes on the card (18).")
@click.option("--paper", is_flag=True, help="A card to print and fill in with a pencil (HTML).")
@click.option(
    "--out",
    type=NamedForm(".csv", ".txt", *PAGES),
    help="File to write; .html makes a page to type the round into on a phone.",
)
@takes_shared("player")
def card(
    shared: Shared,
    layout: Layout,
    course: str | None,
    date: dt.date | None,
    holes: int,
    paper: bool,
    out: Path | None,
) -> None:
    """Write a blank scorecard: CSV, a page for a phone, or paper.

    Lengths may be feet (12), feet and inches (12'6"), metres (3.7 m) or paces
    (8 paces). A hole with no putt has 0 putts. Write date, player and course
    once; empty cells below them mean the same. A page (--out card.html) opens
    on a phone without a network, keeps the round while it is typed, and saves
    it as CSV. For recording a round; the analysis is for afterwards (Rule 4.3a).

    \b
    Examples:
      sgputt card --player "Mara Lindqvist" --out round.csv
      sgputt card --player "Mara Lindqvist" --out card.html
      sgputt card --paper --out paper.html
    """
    from sgputt_cli.cards import write_card

    write_card(shared, layout, course, date, holes, paper, out)


@click.command("check")
@card_files
@card_options
@takes_shared("archive", "player", "json")
def check(shared: Shared, files: tuple[Path, ...], **values: Any) -> None:
    """Read scorecards and report every problem and question; store nothing.

    A question is about what can be read in two ways, or can hardly be true:
    each says by what option, or on the card by what words, it is settled.

    \b
    Example:
      sgputt check round.csv
    """
    from sgputt_cli.cards import check_cards

    check_cards(shared, files, values)


@click.command("import")
@card_files
@click.option("--replace", is_flag=True, help="Overwrite stored rounds that differ.")
@click.option(
    "--keep-good-holes",
    is_flag=True,
    help="Store a round's good holes; write the other rows to NAME.rejected.csv.",
)
@card_options
@takes_shared("archive", "player", "json")
def import_(
    shared: Shared, files: tuple[Path, ...], replace: bool, keep_good_holes: bool, **values: Any
) -> None:
    """Store the rounds of scorecards (CSV or .xlsx), and practice logs.

    Of a folder everything new is taken, cards and practice logs alike; type it
    again at any time. A round with a problem is not stored; every problem is
    shown. Importing the same file again changes nothing. A blank scorecard comes
    from: sgputt card

    \b
    Examples:
      sgputt import round.csv
      sgputt import scores.xlsx --player "Mara Lindqvist" --date 2026-05-03
      sgputt import golf
    """
    from sgputt_cli.cards import import_cards

    import_cards(shared, files, replace, keep_good_holes, values)
