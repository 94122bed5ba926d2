"""What the shared options name: the archive, whose rounds, what is set, which drills."""

from __future__ import annotations

import os
from pathlib import Path

import click
import platformdirs

from sgputt.archive.store import NO_ROUNDS_HINT, Archive, Settings
from sgputt.errors import TooFewError
from sgputt.naming import SeveralNamesError, UnknownNameError, find_named
from sgputt_cli.options import Shared


def archive_path(shared: Shared) -> Path:
    """Where the archive lies: as asked for, else by SGPUTT_ARCHIVE, else in the user's folder."""
    if shared.archive is not None:
        return shared.archive
    named = os.environ.get("SGPUTT_ARCHIVE")
    if named:
        return Path(named)
    return Path(platformdirs.user_data_dir("sgputt", appauthor=False)) / "archive.sqlite"


def has_archive(shared: Shared) -> bool:
    """Whether there is an archive yet."""
    return archive_path(shared).exists()


def open_archive(shared: Shared, make: bool = False) -> Archive:
    """Open the archive that was asked for, or the user's own; ``make`` it if absent."""
    return Archive(archive_path(shared), make)


def one_player(shared: Shared, archive: Archive) -> str:
    """The player asked for, by a part of the name too; else the one set, or the only one."""
    players = archive.players()
    if not players:
        raise TooFewError(f"There are no rounds in {archive.path} yet.", NO_ROUNDS_HINT)
    asked = shared.player if shared.player is not None else archive.settings().player
    if asked is not None:
        try:
            return find_player(asked, players)
        except UnknownNameError as exc:
            if shared.player is not None or len(players) > 1:
                raise TooFewError(f"There is no round of '{asked}'.", exc.hint) from exc
    if len(players) > 1:
        raise several_players(players)
    return players[0]


def asked_player(shared: Shared, archive: Archive) -> str | None:
    """The player that was named with this command; None where none was: all are meant."""
    return None if shared.player is None else one_player(shared, archive)


def find_player(asked: str, players: list[str]) -> str:
    """The player of that name or of a part that only one name has.

    Raises
    ------
    UnknownNameError
        Nobody has it.
    click.UsageError
        Several have it.
    """
    try:
        return find_named(asked, dict(zip(players, players, strict=True)), "player")
    except SeveralNamesError as exc:
        raise click.UsageError(f"{exc.what} {exc.hint}") from exc


def several_players(players: list[str]) -> click.UsageError:
    """What to say where one player is needed and none was named."""
    return click.UsageError(
        f"There are several players. Choose one with --player: {', '.join(players)}. "
        "Or once and for all: sgputt settings --player NAME"
    )


def settings_of(shared: Shared) -> Settings:
    """What is set for the player asked for; defaults where there is no archive yet."""
    if not has_archive(shared):
        return Settings()
    with open_archive(shared) as archive:
        return archive.settings(shared.player)
