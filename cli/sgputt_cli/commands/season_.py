"""``sgputt season``."""

from __future__ import annotations

from pathlib import Path

import click

from sgputt_cli.narrowing import Which, takes_which
from sgputt_cli.shared import Shared, takes_shared


@click.command("season")
@click.argument("year", required=False, type=click.IntRange(1950, 2200))
@click.option("--out", type=click.Path(dir_okay=False, path_type=Path), help="HTML page to write.")
@click.option(
    "--picture",
    type=click.Path(dir_okay=False, path_type=Path),
    help="Square picture to share, .png or .svg.",
)
@click.option("--no-names", is_flag=True, help="Leave names out of the picture.")
@takes_shared("archive", "player", "baseline", "json")
@takes_which
def command(
    shared: Shared,
    which: Which,
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
