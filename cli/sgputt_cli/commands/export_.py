"""``sgputt export``."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from sgputt_cli.shared import Shared, takes_shared


@click.command("export")
@click.option("--out", type=click.Path(dir_okay=False, path_type=Path), help="File to write.")
@click.option(
    "--card", "card_id", type=int, metavar="ID", help="The scorecard of round ID, as it was."
)
@takes_shared("archive", "player", "json")
def command(shared: Shared, out: Path | None, card_id: int | None) -> None:
    """Write all putts as CSV, Parquet (--out putts.parquet) or JSON.

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
    if shared.as_json:
        from sgputt_cli.output import write_json

        write_json(putts.to_dicts())
    elif out is not None and out.suffix == ".parquet":
        import io

        buffer = io.BytesIO()
        putts.write_parquet(buffer)
        _write(out, buffer.getvalue())
    else:
        _write(out, putts.write_csv().encode("utf-8"))


def _write(out: Path | None, content: bytes) -> None:
    from sgputt_cli.output import replace_file

    if out is None:
        sys.stdout.buffer.write(content)
        return
    replace_file(out, content)
    click.echo(f"Wrote {out}")
