"""``sgputt export``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from sgputt_cli.narrowing import Which, takes_which
from sgputt_cli.practising import own_option
from sgputt_cli.shared import Shared, takes_shared

if TYPE_CHECKING:
    from sgputt_reports.tables import Document, Table

# What can be exported, and the form it has where --out does not say.
_TABLES = dict.fromkeys(("putts", "rounds", "cells"), "csv")
_DOCUMENTS = dict.fromkeys(("season", "practice"), "md")
_CHARTS = "charts"
_FORMS = ("csv", "json", "md", "xlsx")


@click.command("export")
@click.argument("year", required=False, type=click.IntRange(1950, 2200))
@click.option(
    "--what",
    type=click.Choice([*_TABLES, *_DOCUMENTS, _CHARTS]),
    help="What to write (putts).",
)
@click.option(
    "--out", type=click.Path(path_type=Path), help="File to write, or the folder of the charts."
)
@click.option(
    "--card", "card_id", type=int, metavar="ID", help="The scorecard of round ID, as it was."
)
@own_option
@takes_shared("archive", "player", "baseline", "json")
@takes_which
def command(
    shared: Shared,
    which: Which,
    year: int | None,
    what: str | None,
    out: Path | None,
    card_id: int | None,
    own: Path | None,
) -> None:
    """Write putts, rounds, a season or practice to a file.

    .csv, .json, .md (Markdown) and .xlsx; of putts, rounds and cells also
    .parquet. The charts of a season go to a folder, as .svg and .png. With
    --card, write the scorecard file that a round came from, byte for byte; it
    also has the holes that needed no putt.

    \b
    Examples:
      sgputt export --out putts.csv
      sgputt export --what season --out season.xlsx
      sgputt export --what practice --out practice.md
      sgputt export --what charts --out charts
      sgputt export --card 3 --out card-3.csv
    """
    if card_id is not None:
        if what is not None:
            raise click.UsageError("--card writes a scorecard: leave --what out.")
        with shared.open_archive() as archive:
            _write(out, archive.scorecard(card_id)[1])
        return
    what = what or next(iter(_TABLES))
    if what == _CHARTS:
        _write_charts(shared, year, which, own, out)
        return
    form = _form(what, out, shared.as_json)
    if what in _TABLES:
        from sgputt_cli.exporting import table_of

        _write(out, _table_bytes(table_of(what, shared, year, which), form))
    else:
        from sgputt_cli.exporting import document_of

        _write(out, _document_bytes(document_of(what, shared, year, which, own), form))


def _form(what: str, out: Path | None, as_json: bool) -> str:
    """The form that the name asks for; a name that asks for none is wrong use."""
    forms = (*_FORMS, "parquet") if what in _TABLES else _FORMS
    ending = out.suffix.casefold()[1:] if out is not None else ""
    if as_json and ending in ("", "json"):
        return "json"
    if as_json:
        raise click.UsageError(
            f"--json writes JSON: name the file .json, or leave --json out: {out}"
        )
    if out is None:
        return {**_TABLES, **_DOCUMENTS}[what]
    if out.is_dir():
        raise click.UsageError(f"{out} is a folder. Name a file, such as {out / what}.csv")
    if ending not in forms:
        endings = ", ".join(f".{form}" for form in forms)
        raise click.UsageError(f"'{out.name}' does not say in what form. End it in {endings}.")
    return ending


def _table_bytes(table: Table, form: str) -> bytes:
    from sgputt_reports.export_forms import to_csv, to_json, to_markdown, to_parquet

    if form == "json":
        return to_json(table.rows())
    if form == "xlsx":
        from sgputt_reports.export_xlsx import to_workbook

        return to_workbook([table])
    return {"csv": to_csv, "md": to_markdown, "parquet": to_parquet}[form](table)


def _document_bytes(document: Document, form: str) -> bytes:
    from sgputt_reports.export_forms import (
        document_json,
        document_to_csv,
        document_to_markdown,
        to_json,
    )

    if form == "json":
        return to_json(document_json(document))
    if form == "xlsx":
        from sgputt_reports.export_xlsx import to_workbook

        return to_workbook(document.tables, document)
    return {"csv": document_to_csv, "md": document_to_markdown}[form](document)


def _write_charts(
    shared: Shared, year: int | None, which: Which, own: Path | None, out: Path | None
) -> None:
    if out is None:
        raise click.UsageError("Say where the charts go: sgputt export --what charts --out charts")
    if out.exists() and not out.is_dir():
        raise click.UsageError(f"{out} is a file. Name a folder for the charts.")
    from sgputt_cli.exporting import season_report
    from sgputt_reports.season import season_pictures

    drawn = season_pictures(season_report(shared, year, which, own))
    out.mkdir(parents=True, exist_ok=True)
    for name, content in drawn.items():
        _write(out / name, content)


def _write(out: Path | None, content: bytes) -> None:
    from sgputt.files import write_whole
    from sgputt_cli.output import write_line, write_out

    if out is None:
        write_out(content)
        return
    write_whole(out, content)
    write_line(f"Wrote {out}")
