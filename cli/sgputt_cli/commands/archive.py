"""The archive: what is stored in it, its settings, and copies of it."""

from __future__ import annotations

from pathlib import Path

import click

from sgputt_cli.options import Shared, takes_shared


@click.command("rounds")
@click.option("--verify", is_flag=True, help="Hold each to its fingerprint; correct by its card.")
@takes_shared("archive", "player", "json")
def rounds(shared: Shared, verify: bool) -> None:
    """List the stored rounds, in the order played.

    With --verify every round is held to the fingerprint it was stored with and
    every scorecard to its digest; what differs is said and, where the card tells
    it, set right.

    \b
    Examples:
      sgputt rounds --player "Mara Lindqvist"
      sgputt rounds --verify
    """
    from sgputt_cli import archive

    (archive.verify_rounds if verify else archive.list_rounds)(shared)


@click.command("remove")
@click.argument("round_ids", nargs=-1, required=True, type=int, metavar="ID...")
@takes_shared("archive", "json")
def remove(shared: Shared, round_ids: tuple[int, ...]) -> None:
    """Take rounds out of the archive.

    The scorecard file goes with the last round that came from it; save it
    first with: sgputt export --card ID

    \b
    Example:
      sgputt remove 3
    """
    from sgputt_cli.archive import remove_rounds

    remove_rounds(shared, round_ids)


UNITS = ("ft", "m", "cm", "in", "yd", "paces")
SHOWN_IN = ("feet", "metres")
HANDS = ("right", "left")


@click.command("settings")
@click.option("--unit", type=click.Choice([*UNITS, ""]), metavar="UNIT", help="Unit you write.")
@click.option("--shown-in", type=click.Choice(SHOWN_IN), help="Unit you read.")
@click.option("--handed", type=click.Choice([*HANDS, ""]), metavar="HAND", help="right or left.")
@takes_shared("archive", "player", "json")
def settings(shared: Shared, unit: str | None, shown_in: str | None, handed: str | None) -> None:
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
    from sgputt_cli.archive import change_settings

    change_settings(shared, unit, shown_in, handed)


@click.command("backup")
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@takes_shared("archive")
def backup(shared: Shared, file: Path) -> None:
    """Copy the archive, as it stands, to a new FILE.

    The copy is checked. To go back to it: sgputt restore FILE

    \b
    Example:
      sgputt backup putts-2026-06-01.sqlite
    """
    from sgputt_cli.archive import back_up

    back_up(shared, file)


@click.command("restore")
@click.argument("file", required=False, type=click.Path(dir_okay=False, path_type=Path))
@click.option(
    "--salvage", is_flag=True, help="Without a FILE: keep what the damaged archive still tells."
)
@takes_shared("archive")
def restore(shared: Shared, file: Path | None, salvage: bool) -> None:
    """Go back to a backup FILE, or save what a damaged archive still tells.

    The FILE is checked first. The archive that was there is kept beside the
    new one, as NAME.damaged-DATE (or NAME.replaced-DATE, if it was whole).
    With --salvage rounds are read one by one, from their scorecards where the
    archive itself cannot be read; what is lost is said, and ends with status 1.

    \b
    Examples:
      sgputt restore putts-2026-05-01.sqlite
      sgputt restore --salvage
    """
    from sgputt_cli import archive

    if salvage == (file is not None):
        raise click.UsageError("Name the backup FILE to go back to, or give --salvage.")
    if file is None:
        archive.salvage_archive(shared)
    else:
        archive.restore_backup(shared, file)
