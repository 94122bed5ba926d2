"""``sgputt settings``."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from sgputt_cli.shared import Shared, takes_shared

if TYPE_CHECKING:
    from sgputt.archive.store import Settings

UNITS = ("ft", "m", "cm", "in", "yd", "paces")
SHOWN_IN = ("feet", "metres")
HANDS = ("right", "left")
_MEANS = {
    "player": "whose rounds are meant where no player is named",
    "unit": "of lengths on your cards that say none",
    "shown in": "of lengths in what you are shown",
    "handed": "how you play",
}


@click.command("settings")
@click.option("--unit", type=click.Choice([*UNITS, ""]), metavar="UNIT", help="Unit you write.")
@click.option("--shown-in", type=click.Choice(SHOWN_IN), help="Unit you read.")
@click.option("--handed", type=click.Choice([*HANDS, ""]), metavar="HAND", help="right or left.")
@takes_shared("archive", "player", "json")
def command(shared: Shared, unit: str | None, shown_in: str | None, handed: str | None) -> None:
    """Show or change what is kept of you in the archive.

    --player says who is meant where no player is named; --unit in what you write
    lengths (ft, m, cm, in, yd, paces); --shown-in in what you read them. The unit
    and the hand are those of the player set. An empty text ("") takes one away.

    \b
    Examples:
      sgputt settings
      sgputt settings --player "Mara Lindqvist" --unit m --shown-in metres
      sgputt settings --handed left
    """
    from sgputt_cli.output import say, write_json, write_line

    given = (shared.player, unit, shown_in, handed)
    if any(each is not None for each in given):
        with shared.open_archive(make=True) as archive:
            name = shared.player and _known(shared, archive.players())
            found = archive.change_settings(name, unit, shown_in, handed)
    else:
        found = shared.settings()
    if shared.as_json:
        write_json(_as_json(found))
        return
    for name, value in _as_json(found).items():
        word = name.replace("_", " ")
        write_line(f"{word:9} {value if value is not None else 'not set'}  ({_MEANS[word]})")
    if not any(each is not None for each in given):
        say()
        say("Change one with, for instance: sgputt settings --shown-in metres")


def _known(shared: Shared, players: list[str]) -> str:
    """The player known by that name or a part of it; else a new one of that name."""
    from sgputt.naming import SeveralNamesError, UnknownNameError, find_named

    asked = shared.player or ""
    try:
        return find_named(asked, dict(zip(players, players, strict=True)), "player")
    except UnknownNameError:
        return asked
    except SeveralNamesError as exc:
        raise click.UsageError(f"{exc.what} {exc.hint}") from exc


def _as_json(settings: Settings) -> dict[str, str | None]:
    return {
        "player": settings.player,
        "unit": settings.unit,
        "shown_in": settings.shown_in,
        "handed": settings.handed,
    }
