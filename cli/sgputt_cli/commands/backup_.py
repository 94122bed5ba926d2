"""``sgputt backup``."""

from __future__ import annotations

from pathlib import Path

import click

from sgputt_cli.shared import Shared, takes_shared


@click.command("backup")
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@takes_shared("archive")
def command(shared: Shared, file: Path) -> None:
    """Copy the archive, as it stands, to a new FILE.

    The copy is checked. To go back to it: sgputt restore FILE

    \b
    Example:
      sgputt backup putts-2026-06-01.sqlite
    """
    from sgputt_cli.output import say

    with shared.open_archive() as archive:
        archive.backup(file)
    say(f"Wrote {file}")
