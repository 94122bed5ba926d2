"""What is written from the archive and beside it: every page, exports, many files summed up."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from sgputt_cli.options import RoundFilter, Shared, own_option, takes_round_filter, takes_shared


@click.command("pages")
@click.argument("folder", type=click.Path(path_type=Path))
@click.option(
    "--minutes", type=click.IntRange(5, 240), default=60, help="Minutes of the plans.  [60]"
)
@click.option("--workers", type=click.IntRange(1, 64), help="Processes to share the work.")
@own_option
@takes_shared("archive", "baseline", "json")
def pages(
    shared: Shared, folder: Path, minutes: int, workers: int | None, own: Path | None
) -> None:
    """Write every page into a FOLDER, linked: players, seasons, rounds, plans.

    Open its index.html, from the folder or from any web server. Typed again, it
    writes only what changed. It never replaces a file that it did not write.

    \b
    Examples:
      sgputt pages putting
      sgputt pages /srv/www/putting --minutes 45
    """
    from sgputt_cli.pages import write_pages

    write_pages(shared, folder, minutes, workers, own)


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
@takes_round_filter
def export(
    shared: Shared,
    which: RoundFilter,
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
    from sgputt_cli import export

    if card_id is not None:
        if what is not None:
            raise click.UsageError("--card writes a scorecard: leave --what out.")
        export.write_card(shared, card_id, out)
        return
    what = what or next(iter(_TABLES))
    if what == _CHARTS:
        export.write_charts(shared, year, which, own, _folder(out))
        return
    form = _form(what, out, shared.as_json)
    if what in _TABLES:
        export.write_table(what, form, shared, year, which, out)
    else:
        export.write_document(what, form, shared, year, which, own, out)


def _folder(out: Path | None) -> Path:
    """The folder of the charts; no name, or that of a file, is wrong use."""
    if out is None:
        raise click.UsageError("Say where the charts go: sgputt export --what charts --out charts")
    if out.exists() and not out.is_dir():
        raise click.UsageError(f"{out} is a file. Name a folder for the charts.")
    return out


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


_PLAYERS_SHOWN = 20


@click.command("bulk")
@click.argument(
    "paths", nargs=-1, required=True, type=click.Path(path_type=Path), metavar="PATH..."
)
@click.option("--out", type=click.Path(path_type=Path), help="Folder for the tables, as CSV.")
@click.option("--keep-good-holes", is_flag=True, help="Leave out only the holes with a problem.")
@click.option(
    "--parts", type=click.Path(path_type=Path), help="Folder for finished files (your cache)."
)
@click.option("--fresh", is_flag=True, help="Reduce every file, also those finished before.")
@click.option("--workers", type=click.IntRange(1, 256), help="Processes to share the files.")
@click.option("--cluster", "address", metavar="ADDRESS", help="Scheduler of a Dask cluster.")
@click.option(
    "--show", type=click.IntRange(0), default=_PLAYERS_SHOWN, help="Players to list (20)."
)
@takes_shared("baseline", "json")
def bulk(
    shared: Shared,
    paths: tuple[Path, ...],
    out: Path | None,
    show: int,
    **how: Any,
) -> None:
    """Sum up many players and seasons from Parquet putts.

    Each PATH is a file or a folder. Every row is checked; a round with a
    problem is left out and said. A stopped run goes on where it was.

    \b
    Examples:
      sgputt bulk putts.parquet
      sgputt bulk seasons --out figures
    """
    from sgputt_cli.bulk import write_bulk

    if out is not None and out.exists() and not out.is_dir():
        raise click.UsageError(f"{out} is a file. Name a folder for the tables.")
    write_bulk(shared, paths, out, show, how)
