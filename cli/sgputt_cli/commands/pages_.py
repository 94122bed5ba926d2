"""``sgputt pages``."""

from __future__ import annotations

from pathlib import Path

import click

from sgputt_cli.practising import own_option
from sgputt_cli.shared import Shared, takes_shared


@click.command("pages")
@click.argument("folder", type=click.Path(path_type=Path))
@click.option(
    "--minutes", type=click.IntRange(5, 240), default=60, help="Minutes of the plans.  [60]"
)
@click.option("--workers", type=click.IntRange(1, 64), help="Processes to share the work.")
@own_option
@takes_shared("archive", "baseline", "json")
def command(
    shared: Shared, folder: Path, minutes: int, workers: int | None, own: Path | None
) -> None:
    """Write every page into a FOLDER, linked: players, seasons, rounds, plans.

    Open its index.html, from the folder or from any web server. Typed again, it
    writes only what changed. It never replaces a file that it did not write.

    \b
    Examples:
      sgputt pages putting
      sgputt pages /srv/www/putting --minutes 45
    """
    from sgputt_cli.pages import write_pages

    write_pages(shared, folder, minutes, workers, own)
