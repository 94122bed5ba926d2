"""``sgputt round``."""

from __future__ import annotations

from pathlib import Path

import click

from sgputt_cli.shared import Shared, takes_shared


@click.command("round")
@click.argument("round_id", required=False, type=int, metavar="[ID]")
@click.option("--out", type=click.Path(dir_okay=False, path_type=Path), help="HTML page to write.")
@click.option(
    "--picture",
    type=click.Path(dir_okay=False, path_type=Path),
    help="Square picture to share, .png or .svg.",
)
@click.option("--no-names", is_flag=True, help="Leave names out of the picture.")
@takes_shared("archive", "player", "baseline", "json")
def command(
    shared: Shared, round_id: int | None, out: Path | None, picture: Path | None, no_names: bool
) -> None:
    """Show one round, hole by hole; the latest without an ID.

    \b
    Examples:
      sgputt round
      sgputt round 3 --out round.html
      sgputt round --picture round.png
    """
    from sgputt_cli.round import write_round

    write_round(shared, round_id, out, picture, names=not no_names)
