"""Exports: putts, rounds, a season, practice and charts in the form that a name asks for."""

from __future__ import annotations

from pathlib import Path

import polars as pl

from sgputt.analysis.rounds import PlayedRounds
from sgputt.errors import TooFewError
from sgputt.files import write_whole
from sgputt.putts.units import said_in_metres
from sgputt_cli.baselines import chosen_baseline
from sgputt_cli.options import RoundFilter, Shared
from sgputt_cli.output import write_line, write_out
from sgputt_cli.selection import filtered, select_season
from sgputt_cli.stored import asked_player, open_archive, settings_of
from sgputt_reports.export import (
    cells_table,
    practice_document,
    putts_table,
    rounds_table,
    season_document,
)
from sgputt_reports.tables import (
    Document,
    Table,
    document_json,
    document_to_csv,
    document_to_markdown,
    to_csv,
    to_json,
    to_markdown,
    to_parquet,
)


def write_card(shared: Shared, card_id: int, out: Path | None) -> None:
    """Write the scorecard that a round came from, byte for byte."""
    with open_archive(shared) as archive:
        _write(out, archive.scorecard(card_id)[1])


def write_table(
    what: str, form: str, shared: Shared, year: int | None, which: RoundFilter, out: Path | None
) -> None:
    """Write the one table of ``putts``, ``rounds`` or ``cells``."""
    if what == "putts":
        table = putts_table(_rounds_of_all(shared, year, which).putts)
    elif what == "rounds":
        rounds = _rounds_of_all(shared, year, which)
        table = rounds_table(rounds.score(chosen_baseline(shared)).rounds)
    else:
        table = cells_table(select_season(shared, year, which).cells)
    _write(out, _bytes_of(table, form))


def write_document(
    what: str,
    form: str,
    shared: Shared,
    year: int | None,
    which: RoundFilter,
    own: Path | None,
    out: Path | None,
) -> None:
    """Write the document of ``season`` or ``practice``."""
    analysis = select_season(shared, year, which, own)
    make = season_document if what == "season" else practice_document
    content = _bytes_of(make(analysis), form)
    if form == "md" and settings_of(shared).shown_in == "metres":
        content = said_in_metres(content.decode()).encode()
    _write(out, content)


def write_charts(
    shared: Shared, year: int | None, which: RoundFilter, own: Path | None, out: Path
) -> None:
    """Write every chart of a season to a folder, as .svg and .png."""
    from sgputt_reports.season import season_pictures

    drawn = season_pictures(select_season(shared, year, which, own))
    out.mkdir(parents=True, exist_ok=True)
    for name, content in drawn.items():
        _write(out / name, content)


def _bytes_of(content: Table | Document, form: str) -> bytes:
    if form == "json":
        return to_json(content.rows() if isinstance(content, Table) else document_json(content))
    if form == "xlsx":
        from sgputt_reports.tables import to_workbook

        return (
            to_workbook([content])
            if isinstance(content, Table)
            else to_workbook(content.tables, content)
        )
    if isinstance(content, Table):
        return {"csv": to_csv, "md": to_markdown, "parquet": to_parquet}[form](content)
    return {"csv": document_to_csv, "md": document_to_markdown}[form](content)


def _write(out: Path | None, content: bytes) -> None:
    if out is None:
        write_out(content)
    else:
        write_whole(out, content)
        write_line(f"Wrote {out}")


def _rounds_of_all(shared: Shared, year: int | None, which: RoundFilter) -> PlayedRounds:
    """Rounds of the player asked for, or of all players, the ones wanted of each."""
    with open_archive(shared) as archive:
        player = asked_player(shared, archive)
        names = archive.players() if player is None else [player]
        if year is None and which.everything:
            return PlayedRounds(player or "", archive.holes(player), archive.putts(player))
        found = [PlayedRounds(name, archive.holes(name), archive.putts(name)) for name in names]
    kept, none = [], TooFewError("There are no rounds yet.", "Store one with: sgputt import FILE")
    for each in found:
        try:
            kept.append(filtered(each, which, year))
        except TooFewError as exc:
            none = exc
    if not kept:
        raise none
    order = ["date", "round", "player", "hole"]
    holes = pl.concat([each.holes for each in kept]).sort(order)
    putts = pl.concat([each.putts for each in kept]).sort([*order, "putt"])
    return PlayedRounds(player or "", holes, putts)
