"""``sgputt rounds``."""

from __future__ import annotations

import click

from sgputt_cli.shared import Shared, takes_shared


@click.command("rounds")
@click.option("--verify", is_flag=True, help="Hold each to its fingerprint; correct by its card.")
@takes_shared("archive", "player", "json")
def command(shared: Shared, verify: bool) -> None:
    """List the stored rounds, in the order played.

    With --verify every round is held to the fingerprint it was stored with and
    every scorecard to its digest; what differs is said and, where the card tells
    it, set right.

    \b
    Examples:
      sgputt rounds --player "Mara Lindqvist"
      sgputt rounds --verify
    """
    from sgputt_cli.output import plural, say, table, write_json

    if verify:
        _verify(shared)
        return

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


def _verify(shared: Shared) -> None:
    from sgputt.archive.verify import verify
    from sgputt.intake import read_again
    from sgputt_cli.output import plural, say, write_json, write_line

    with shared.open_archive() as archive:
        found = verify(archive, read_again)
    if shared.as_json:
        write_json(
            {
                "whole": found.whole,
                "differing": [
                    {"round_id": each.round_id, "what": each.what, "corrected": each.corrected}
                    for each in found.differing
                ],
                "cards": found.cards,
            }
        )
    else:
        say(f"{plural(found.whole, 'round')} as stored.")
        for each in found.differing:
            write_line(
                f"Round {each.round_id} was {'corrected' if each.corrected else 'not corrected'}:"
            )
            for what in each.what:
                write_line(f"  {what}")
        for card in found.cards:
            write_line(f"Not as it was imported: the scorecard {card}.")
        if not found.all_is_well:
            say("Compare with your cards and import them again with --replace, or go back to a")
            say("backup: sgputt restore FILE")
    raise click.exceptions.Exit(0 if found.all_is_well else 1)
