"""The archive: its rounds listed, held to their fingerprints, removed; settings; copies of it."""

from __future__ import annotations

import datetime as dt
from contextlib import suppress
from pathlib import Path

import click

from sgputt.archive.backup import restore
from sgputt.archive.salvage import Salvaged, salvage, verify
from sgputt.archive.store import Settings
from sgputt.intake import read_again
from sgputt.naming import UnknownNameError, new_name_words
from sgputt.wording import plural
from sgputt_cli.options import Shared
from sgputt_cli.output import say, table, write_json, write_line
from sgputt_cli.stored import archive_path, asked_player, find_player, open_archive, settings_of

_MEANS = {
    "player": "whose rounds are meant where no player is named",
    "unit": "of lengths on your cards that say none",
    "shown in": "of lengths in what you are shown",
    "handed": "how you play",
}


def list_rounds(shared: Shared) -> None:
    """Print the stored rounds, or write them as JSON."""
    with open_archive(shared) as archive:
        rounds = archive.rounds(asked_player(shared, archive))
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


def verify_rounds(shared: Shared) -> None:
    """Hold every round to its fingerprint, every card to its digest; status 1 where one differs."""
    with open_archive(shared) as archive:
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


def remove_rounds(shared: Shared, round_ids: tuple[int, ...]) -> None:
    """Take rounds out of the archive."""
    with open_archive(shared) as archive:
        archive.remove(*round_ids)
    if shared.as_json:
        write_json({"removed": list(round_ids)})
        return
    say(f"Removed {', '.join(f'round {each}' for each in round_ids)}.")


def change_settings(
    shared: Shared, unit: str | None, shown_in: str | None, handed: str | None
) -> None:
    """Change what is given, and show what is set."""
    given = (shared.player, unit, shown_in, handed)
    if any(each is not None for each in given):
        with open_archive(shared, make=True) as archive:
            name, players = shared.player, archive.players()
            with suppress(UnknownNameError):  # A new player may be set before the first round.
                name = name and find_player(name, players)
            found = archive.change_settings(name, unit, shown_in, handed)
        if name and players and (new := new_name_words(name, players, "player")):
            write_line(f"Note: {new}", err=True)
    else:
        found = settings_of(shared)
    if shared.as_json:
        write_json(_as_json(found))
        return
    for name, value in _as_json(found).items():
        word = name.replace("_", " ")
        write_line(f"{word:9} {value if value is not None else 'not set'}  ({_MEANS[word]})")
    if not any(each is not None for each in given):
        say()
        say("Change one with, for instance: sgputt settings --shown-in metres")


def _as_json(settings: Settings) -> dict[str, str | None]:
    return {
        "player": settings.player,
        "unit": settings.unit,
        "shown_in": settings.shown_in,
        "handed": settings.handed,
    }


def back_up(shared: Shared, file: Path) -> None:
    """Copy the archive to a new file."""
    with open_archive(shared) as archive:
        archive.backup(file)
    say(f"Wrote {file}")


def restore_backup(shared: Shared, file: Path) -> None:
    """Go back to a backup."""
    done = restore(file, archive_path(shared), dt.date.today())
    sets = f" and {plural(done.sessions, 'set')} of drills" if done.sessions else ""
    say(f"Restored {plural(done.rounds, 'round')}{sets} from {file}.")
    if done.newest is not None:
        say(f"The newest was imported {done.newest[:10]}: import later scorecards again.")
    if done.aside is not None:
        word = "damaged" if done.was_damaged else "former"
        say(f"The {word} archive is kept as {done.aside}")


def salvage_archive(shared: Shared) -> None:
    """Keep what a damaged archive still tells; status 1 where something is lost or doubtful."""
    done = salvage(archive_path(shared), read_again, dt.date.today())
    _say_salvaged(done)
    raise click.exceptions.Exit(1 if done.doubtful or done.lost or done.more_lost else 0)


def _say_salvaged(done: Salvaged) -> None:
    if done.aside is None:
        say("The archive is not damaged: it was left as it is.")
        return
    say(f"{plural(len(done.whole), 'round')} kept as before.")
    for title, rounds in (
        ("Read again from their scorecards", done.from_cards),
        (
            "Kept, but compare with your card: something may be missing or changed",
            done.doubtful,
        ),
        ("Lost", done.lost),
    ):
        if rounds:
            say(f"{title}:")
            for each in rounds:
                say(f"  {each}")
    if done.sessions:
        say(f"{plural(done.sessions, 'set')} of drills kept.")
    if done.more_lost:
        say(f"Also lost: {', '.join(done.more_lost)}.")
    for card in done.cards:
        say(f"A scorecard to import again: {card}")
    say(f"The damaged archive is kept as {done.aside}")
