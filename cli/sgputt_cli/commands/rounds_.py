"""``sgputt rounds``."""

from __future__ import annotations

import click

from sgputt_cli.shared import Shared, takes_shared


@click.command("rounds")
@takes_shared("archive", "player", "json")
def command(shared: Shared) -> None:
    """List the stored rounds, in the order played.

    \b
    Example:
      sgputt rounds --player "Mara Lindqvist"
    """
    from sgputt_cli.output import plural, say, table, write_json

    with shared.open_archive() as archive:
        rounds = archive.rounds(shared.asked_player(archive))
    if shared.as_json:
        write_json(rounds.to_dicts())
        return
    if rounds.is_empty():
        say("No rounds yet. Store one with: sgputt import FILE")
        return
    table(
        plural(len(rounds), "round"),
        ["id", "date", "player", "course", "event", "holes", "putts"],
        [
            (
                str(row["round_id"]),
                f"{row['date']}" + (f" ({row['round']})" if row["round"] > 1 else ""),
                row["player"],
                row["course"],
                row["event"] or "",
                str(row["holes"]),
                str(row["putts"]),
            )
            for row in rounds.iter_rows(named=True)
        ],
        left=5,
    )
