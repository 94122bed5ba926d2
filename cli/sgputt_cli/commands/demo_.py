"""``sgputt demo``."""

from __future__ import annotations

from pathlib import Path

import click

from sgputt_cli.shared import Shared, takes_shared


@click.command("demo")
@click.option(
    "--out",
    type=click.Path(dir_okay=False, path_type=Path),
    default=Path("season.html"),
    show_default=True,
    help="HTML page to write.",
)
@takes_shared("archive", "baseline")
def command(shared: Shared, out: Path) -> None:
    """Import an invented season and print the next drill.

    The player, the course and every putt are invented. Without --archive the
    rounds are forgotten afterwards; your own archive is never touched.

    \b
    Example:
      sgputt demo --out season.html
    """
    import tempfile

    from sgputt.demo import demo_cards
    from sgputt.intake import take_in
    from sgputt.scorecard import CardOptions
    from sgputt_cli.output import say

    with tempfile.TemporaryDirectory() as folder:
        shared = Shared(shared.archive or Path(folder) / "demo.sqlite", None, shared.baseline)
        cards = demo_cards(Path(folder))
        with shared.open_archive(make=True) as archive:
            for card in cards:
                problems = take_in(card, archive, CardOptions()).problems
                if problems:
                    raise click.ClickException(str(problems[0]))
        say(f"Imported {len(cards)} invented scorecards.")
        _season(shared, out)


def _season(shared: Shared, out: Path) -> None:
    from sgputt.demo import DEMO_PLAYER
    from sgputt_cli.season import write_season

    write_season(Shared(shared.archive, DEMO_PLAYER, shared.baseline), out=out)
