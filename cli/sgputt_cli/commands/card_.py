"""``sgputt card``."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import TYPE_CHECKING

import click

from sgputt_cli.shared import Shared, takes_shared

if TYPE_CHECKING:
    from sgputt.putts.columns import Layout


PAGES = (".html", ".htm")
# Player, course, date and number of holes.
Begun = tuple[str | None, str | None, dt.date | None, int]


@click.command("card")
@click.option(
    "--layout",
    type=click.Choice(["holes", "putts"]),
    default="holes",
    show_default=True,
    help="A row a hole, or a row a putt (of a CSV card).",
)
@click.option("--course", help="Course, written on the first row.")
@click.option("--date", type=click.DateTime(["%Y-%m-%d"]), help="Date, such as 2026-05-03.")
@click.option("--holes", type=click.IntRange(1, 18), default=18, help="Holes on the card (18).")
@click.option("--paper", is_flag=True, help="A card to print and fill in with a pencil (HTML).")
@click.option(
    "--out",
    type=click.Path(dir_okay=False, path_type=Path),
    help="File to write; .html makes a page to type the round into on a phone.",
)
@takes_shared("player")
def command(
    shared: Shared,
    layout: Layout,
    course: str | None,
    date: dt.datetime | None,
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
    from sgputt_cli.output import write_file, write_out

    is_page = out is not None and out.suffix.lower() in PAGES
    if paper and out is not None and not is_page:
        raise click.UsageError(f"--paper writes a page: give --out a name in {' or '.join(PAGES)}.")
    day = date.date() if date else None
    text = _text(layout, (shared.player, course, day, holes), paper, is_page)
    if out is None:
        write_out(text.encode("utf-8", "replace"))
    else:
        write_file(out, text)


def _text(
    layout: Layout,
    begun: tuple[str | None, str | None, dt.date | None, int],
    paper: bool,
    page: bool,
) -> str:
    from sgputt.scorecard.blank import blank_card

    if not paper and not page:
        return blank_card(layout, *begun)
    from sgputt_reports.card import card_page, paper_card

    return paper_card(*begun) if paper else card_page(*begun)
