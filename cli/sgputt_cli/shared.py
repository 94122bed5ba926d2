"""Options that several commands share; they may stand before or behind the command's name."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import dataclass
from functools import wraps
from typing import TYPE_CHECKING, Any, TypeVar

import click

if TYPE_CHECKING:
    from pathlib import Path

    from sgputt.archive.store import Archive, Settings
    from sgputt.baseline.curve import Baseline

Function = TypeVar("Function", bound=Callable[..., Any])

_OPTIONS: dict[str, Callable[[Function], Function]] = {
    "archive": click.option(
        "--archive",
        type=click.Path(dir_okay=False),
        help="Archive file; else SGPUTT_ARCHIVE, else your data folder.",
    ),
    "player": click.option("--player", help="Player's name."),
    "baseline": click.option("--baseline", help="Players to compare with (tour)."),
    "json": click.option("--json", "as_json", is_flag=True, help="Write JSON for scripts."),
}


@dataclass(frozen=True)
class Shared:
    """Values of the shared options.

    Attributes
    ----------
    archive : Path or None
    player, baseline : str or None
    as_json : bool
    """

    archive: Path | None = None
    player: str | None = None
    baseline: str | None = None
    as_json: bool = False

    def open_archive(self, make: bool = False) -> Archive:
        """Open the archive that was asked for, or the user's own; ``make`` it if absent."""
        from sgputt.archive.store import Archive

        return Archive(self.archive or default_archive(), make)

    def get_baseline(self) -> Baseline:
        """The baseline asked for; a wrong name is wrong use, ``own`` and ``squad`` need putts."""
        from sgputt.baseline.catalogue import (
            FITTED,
            baseline_names,
            fitted_baseline,
            get_baseline,
        )

        name = self.baseline or "tour"
        if name not in baseline_names():
            raise click.UsageError(
                f"There is no baseline '{name}'. Choose one of: {', '.join(baseline_names())}."
            )
        if name not in FITTED:
            return get_baseline(name)
        with self.open_archive() as archive:
            player = self.one_player(archive) if name == "own" else None
            return fitted_baseline(name, archive.putts(player))

    def one_player(self, archive: Archive) -> str:
        """The player asked for, by a part of the name too; else the one set, or the only one."""
        from sgputt.archive.store import NO_ROUNDS_HINT
        from sgputt.errors import TooFewError
        from sgputt.naming import SeveralNamesError, UnknownNameError, find_named

        players = archive.players()
        if not players:
            raise TooFewError(
                f"There are no rounds in {archive.path} yet.",
                NO_ROUNDS_HINT,
            )
        asked = self.player if self.player is not None else archive.settings().player
        if asked is not None:
            try:
                return find_named(asked, dict(zip(players, players, strict=True)), "player")
            except SeveralNamesError as exc:
                raise click.UsageError(f"{exc.what} {exc.hint}") from exc
            except UnknownNameError as exc:
                if self.player is not None or len(players) > 1:
                    raise TooFewError(f"There is no round of '{asked}'.", exc.hint) from exc
        if len(players) > 1:
            raise click.UsageError(
                f"There are several players. Choose one with --player: {', '.join(players)}. "
                "Or once and for all: sgputt settings --player NAME"
            )
        return players[0]

    def asked_player(self, archive: Archive) -> str | None:
        """The player that was named with this command; None where none was: all are meant."""
        return None if self.player is None else self.one_player(archive)

    def settings(self) -> Settings:
        """What is set for the player asked for; defaults where there is no archive yet."""
        from sgputt.archive.store import Settings

        if not (self.archive or default_archive()).exists():
            return Settings()
        with self.open_archive() as archive:
            return archive.settings(self.player)


def default_archive() -> Path:
    """Where the archive lies unless an option says otherwise."""
    from pathlib import Path

    import platformdirs

    named = os.environ.get("SGPUTT_ARCHIVE")
    if named:
        return Path(named)
    return Path(platformdirs.user_data_dir("sgputt", appauthor=False)) / "archive.sqlite"


def shared_options(*names: str) -> Callable[[Function], Function]:
    """Add shared options to a command, under their plain names."""

    def add(function: Function) -> Function:
        for name in reversed(names):
            function = _OPTIONS[name](function)
        return function

    return add


def takes_shared(*names: str) -> Callable[[Callable[..., None]], Callable[..., None]]:
    """Give a command shared options, handed over as one :class:`Shared` first argument.

    What stands behind the command's name wins over what stands before it.
    """

    def add(function: Callable[..., None]) -> Callable[..., None]:
        @shared_options(*names)
        @click.pass_context
        @wraps(function)
        def command(ctx: click.Context, /, **options: Any) -> None:
            before = ctx.obj if isinstance(ctx.obj, Shared) else Shared()
            fields = ["as_json" if name == "json" else name for name in names]
            own = {field: options.pop(field) for field in fields}
            merged: dict[str, Any] = {
                field: getattr(before, field) if own.get(field) in (None, False) else own[field]
                for field in ("archive", "player", "baseline", "as_json")
            }
            if merged["archive"] is not None:
                from pathlib import Path

                if not merged["archive"]:
                    raise click.UsageError("--archive needs the name of a file.")
                merged["archive"] = Path(merged["archive"])
            if merged["player"] is not None:
                from sgputt.safe_text import clean

                merged["player"] = clean(merged["player"])
            function(Shared(**merged), **options)

        return command

    return add
