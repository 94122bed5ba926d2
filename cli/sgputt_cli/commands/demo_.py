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

    The player, the course and every putt are invented. The rounds are kept in
    demo.sqlite beside the page: add --archive demo.sqlite to any command to
    try it on them. Your own archive is never touched.

    \b
    Example:
      sgputt demo --out season.html
    """
    from sgputt_cli.demo import write_demo

    write_demo(shared.archive or out.parent / "demo.sqlite", shared.baseline, out)
