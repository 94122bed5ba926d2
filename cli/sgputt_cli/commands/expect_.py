"""``sgputt expect``."""

from __future__ import annotations

import click

from sgputt_cli.shared import Shared, takes_shared


@click.command("expect")
@click.argument("lengths", nargs=-1, required=True, metavar="LENGTH...")
@click.option("--unit", help="Unit of a bare number: ft, m, paces ... (as set, else ft)")
@takes_shared("baseline", "json")
def command(shared: Shared, lengths: tuple[str, ...], unit: str | None) -> None:
    """Show expected putts and the one-putt share from a length.

    \b
    Example:
      sgputt expect 8ft 3.7m "12'6\\""
    """
    from sgputt_cli.expect import write_expected

    write_expected(shared, lengths, unit)
