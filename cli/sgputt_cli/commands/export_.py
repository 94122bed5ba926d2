"""``sgputt export``."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from sgputt_cli.shared import Shared, takes_shared

if TYPE_CHECKING:
    import polars as pl


@click.command("export")
@click.option("--out", type=click.Path(dir_okay=False, path_type=Path), help="File to write.")
@click.option(
    "--card", "card_id", type=int, metavar="ID", help="The scorecard of round ID, as it was."
)
@takes_shared("archive", "player", "json")
def command(shared: Shared, out: Path | None, card_id: int | None) -> None:
    """Write all putts as CSV, Parquet or JSON, as the name of --out ends.

    With --card, write the scorecard file that a round came from, byte for byte.

    \b
    Examples:
      sgputt export --out putts.csv
      sgputt export --card 3 --out card-3.csv
    """
    with shared.open_archive() as archive:
        if card_id is not None:
            _write(out, archive.scorecard(card_id)[1])
            return
        putts = archive.putts(shared.player)
    _write(out, _bytes(putts, "json" if shared.as_json else (out or Path()).suffix[1:]))


def _bytes(putts: pl.DataFrame, form: str) -> bytes:
    """The table in the form that a file name's ending asks for, else CSV."""
    import io
    import json

    if form == "parquet":
        buffer = io.BytesIO()
        putts.write_parquet(buffer)
        return buffer.getvalue()
    if form == "json":
        rows = json.dumps(putts.to_dicts(), ensure_ascii=False, indent=2, default=str)
        return rows.encode("utf-8") + b"\n"
    return putts.write_csv().encode("utf-8")


def _write(out: Path | None, content: bytes) -> None:
    from sgputt_cli.output import replace_file

    if out is None:
        sys.stdout.buffer.write(content)
        return
    replace_file(out, content)
    click.echo(f"Wrote {out}")
