"""The demo: an invented season stored, shown, and kept to try the commands on."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory

import click

from sgputt.demo import DEMO_PLAYER, demo_cards
from sgputt.intake import take_in
from sgputt.scorecard import CardOptions
from sgputt_cli.options import Shared
from sgputt_cli.output import say, write_line
from sgputt_cli.season import write_season
from sgputt_cli.stored import open_archive

_TO_TRY = ("practice", "practice --minutes 60", "round", "stroke", "drills")


def write_demo(archive_path: Path, baseline: str | None, out: Path) -> None:
    """Import the invented season, show it, write its page, and say what to try."""
    shared = Shared(archive_path, DEMO_PLAYER, baseline)
    with TemporaryDirectory() as folder, open_archive(shared, make=True) as archive:
        cards = demo_cards(Path(folder))
        for card in cards:
            # An earlier version may have invented the same days otherwise.
            problems = take_in(card, archive, CardOptions(), replace=True).problems
            if problems:
                raise click.ClickException(str(problems[0]))
    say(f"Imported {len(cards)} invented scorecards of {DEMO_PLAYER} into {archive_path}.")
    write_season(shared, out=out)
    say()
    say("Try on these rounds:")
    name = archive_path.name if archive_path.parent == Path() else str(archive_path)
    name = f'"{name}"' if " " in name else name
    for words in _TO_TRY:
        write_line(f"  sgputt {words} --archive {name}")
    say("With rounds of your own: sgputt card --out card.csv, then sgputt import card.csv")
