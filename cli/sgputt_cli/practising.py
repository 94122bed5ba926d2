"""Whose practice, which drills and whose pass marks: what the practice commands share."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from sgputt_cli.shared import Shared, default_archive

if TYPE_CHECKING:
    from sgputt.archive.store import Archive
    from sgputt.practice.drills import Drill
    from sgputt.practice.marks import KnownStroke

Function = TypeVar("Function", bound=Callable[..., Any])
DRILLS_VARIABLE = "SGPUTT_DRILLS"
_OWN = "sgputt.own"

own_option = click.option(
    "--own",
    type=click.Path(dir_okay=False, path_type=Path),
    help=f"File of drills of your own; else {DRILLS_VARIABLE}.",
)


def remember_own(own: Path | None) -> None:
    """Keep a group's file of own drills for its commands."""
    click.get_current_context().meta[_OWN] = own


def all_drills(own: Path | None) -> tuple[Drill, ...]:
    """The catalogue and the user's own drills, from the option or the environment."""
    from sgputt.practice.drills import load_drills

    named = own or click.get_current_context().meta.get(_OWN)
    variable = os.environ.get(DRILLS_VARIABLE)
    return load_drills(named or (Path(variable) if variable else None))


def find_drill(drills: tuple[Drill, ...], asked: str, words: tuple[str, ...] = ()) -> Drill:
    """Drill of that name or title, or of a part that only it has; ``words`` may have been meant."""
    import difflib

    from sgputt.naming import SeveralNamesError, UnknownNameError, find_named

    by_id = {drill.id: drill for drill in drills}
    names = {drill.name: drill.id for drill in drills} | {name: name for name in by_id}
    try:
        return by_id[find_named(asked, names, "drill", see="sgputt drills")]
    except (UnknownNameError, SeveralNamesError) as exc:
        near = difflib.get_close_matches(asked.casefold(), words, n=1)
        hint = f"Did you mean '{near[0]}'?" if near else exc.hint
        raise click.UsageError(f"{exc.what} {hint}") from exc


@dataclass(frozen=True)
class Practiser:
    """Whose practice it is; ``new`` when nothing is stored under that name."""

    name: str
    new: bool


def whose_practice(shared: Shared, archive: Archive | None) -> Practiser:
    """The player asked for, who may be new, or the only one known."""
    from sgputt.archive.sessions import SessionLog
    from sgputt.naming import SeveralNamesError, UnknownNameError, find_named
    from sgputt.safe_text import MAX_NAME

    known: list[str] = []
    usual = None
    if archive is not None:
        known = sorted({*archive.players(), *SessionLog(archive).players()})
        usual = archive.settings().player
    asked = shared.player or usual or ""
    if asked:
        try:
            whose = find_named(asked, dict(zip(known, known, strict=True)), "player")
            return Practiser(whose, new=False)
        except SeveralNamesError as exc:
            raise click.UsageError(f"{exc.what} {exc.hint}") from exc
        except UnknownNameError:
            if len(asked) > MAX_NAME:
                raise click.UsageError(
                    f"--player: write a name of at most {MAX_NAME} characters."
                ) from None
            return Practiser(asked, new=True)
    if len(known) == 1:
        return Practiser(known[0], new=False)
    if known:
        raise click.UsageError(
            f"There are several players. Choose one with --player: {', '.join(known)}. "
            "Or once and for all: sgputt settings --player NAME"
        )
    raise click.UsageError("Nobody is known yet. Say whose practice it is: --player NAME")


def is_there(shared: Shared) -> bool:
    """Whether there is an archive yet."""
    return (shared.archive or default_archive()).exists()


def open_log(shared: Shared) -> Archive:
    """The archive, for what is logged in it; an absent one says how to log."""
    from sgputt.errors import ArchiveError

    if not is_there(shared):
        raise ArchiveError(
            f"No practice is logged yet: {shared.archive or default_archive()} does not exist.",
            "Log a set with: sgputt drills log NAME --balls N --successes N",
        )
    return shared.open_archive()


def stroke_of(archive: Archive | None, player: str | None) -> KnownStroke:
    """Whom pass marks are for: the player's own stroke, or a tour stroke without putts."""
    from sgputt.practice.decision import known_from
    from sgputt.practice.marks import NOBODY

    if archive is None or player is None:
        return NOBODY
    return known_from(archive.putts(player))


def stroke_of_one(shared: Shared) -> KnownStroke:
    """Stroke of the player asked for or the only one stored; a tour stroke where that is open."""
    if not is_there(shared):
        return stroke_of(None, None)
    with shared.open_archive() as archive:
        players = archive.players()
        if players and (shared.player or archive.settings().player) is not None:
            return stroke_of(archive, shared.one_player(archive))
        return stroke_of(archive, players[0] if len(players) == 1 else None)
