"""``sgputt remove``."""

from __future__ import annotations

import click

from sgputt_cli.shared import Shared, takes_shared


@click.command("remove")
@click.argument("round_ids", nargs=-1, required=True, type=int, metavar="ID...")
@takes_shared("archive", "json")
def command(shared: Shared, round_ids: tuple[int, ...]) -> None:
    """Take rounds out of the archive.

    The scorecard file goes with the last round that came from it; save it
    first with: sgputt export --card ID

    \b
    Example:
      sgputt remove 3
    """
    from sgputt_cli.output import say, write_json

    with shared.open_archive() as archive:
        archive.remove(*round_ids)
    if shared.as_json:
        write_json({"removed": list(round_ids)})
        return
    say(f"Removed {', '.join(f'round {each}' for each in round_ids)}.")
