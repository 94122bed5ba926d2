"""What there is to export, gathered from the library."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import polars as pl

from sgputt.errors import TooFewError
from sgputt.season.scored import Scored, score
from sgputt_cli.narrowing import Which
from sgputt_cli.practising import all_drills
from sgputt_cli.selection import Stored, select
from sgputt_cli.shared import Shared

if TYPE_CHECKING:
    from sgputt.practice.priorities import Priority
    from sgputt.season.summary import SeasonSummary
    from sgputt_reports.export_practice import OwnMarks
    from sgputt_reports.export_tables import SeasonReport
    from sgputt_reports.tables import Document, Table


def table_of(what: str, shared: Shared, year: int | None, which: Which) -> Table:
    """The one table of ``putts``, ``rounds`` or ``cells``."""
    from sgputt.inference.cells import cell_table
    from sgputt_reports.export_tables import cells_table, putts_table, rounds_table

    if what == "putts":
        return putts_table(_stored(shared, year, which).putts)
    if what == "rounds":
        stored = _stored(shared, year, which)
        return rounds_table(score(stored.putts, shared.get_baseline(), stored.holes).rounds)
    return cells_table(cell_table(select(shared, year, which).scored.matrix))


def document_of(
    what: str, shared: Shared, year: int | None, which: Which, own: Path | None
) -> Document:
    """The document of ``season`` or ``practice``."""
    from sgputt.practice.drills import load_caution
    from sgputt.season.summary import season_summary
    from sgputt_reports.export import practice_document, season_document

    if what == "season":
        return season_document(season_report(shared, year, which, own))
    selection = select(shared, year, which)
    summary = season_summary(selection.scored, selection.player, selection.season)
    priorities = _priorities(selection.scored, summary, own)
    marks = _own_marks(selection.scored, priorities)
    return practice_document(summary, priorities, marks, load_caution())


def season_report(shared: Shared, year: int | None, which: Which, own: Path | None) -> SeasonReport:
    """Everything that is known of a season."""
    from sgputt.baseline.slope import slope_fair
    from sgputt.practice.drills import load_caution
    from sgputt.season.misses import why_missed
    from sgputt.season.slopes import slope_table
    from sgputt.season.stroke import stroke_report
    from sgputt.season.summary import season_summary
    from sgputt_cli.season_evidence import season_evidence
    from sgputt_cli.season_more import season_more
    from sgputt_reports.export_tables import SeasonReport

    selection = select(shared, year, which)
    scored = selection.scored
    summary = season_summary(scored, selection.player, selection.season)
    priorities = _priorities(scored, summary, own)
    fair, more = slope_fair(scored.baseline), season_more(scored)
    return SeasonReport(
        summary=summary,
        figures=more.figures,
        priorities=priorities,
        marks=_own_marks(scored, priorities),
        misses=why_missed(scored),
        stroke=stroke_report(scored),
        slopes=slope_table(scored, fair),
        slope_assumption=fair.assumption,
        trend=more.trend,
        evidence=season_evidence(shared, selection.player, scored, more),
        caution=load_caution(),
    )


def _priorities(scored: Scored, summary: SeasonSummary, own: Path | None) -> list[Priority]:
    from sgputt.practice.aim import aim_of
    from sgputt.practice.priorities import rank_priorities

    aim = aim_of(scored.gained)
    return rank_priorities(summary.cells, all_drills(own), target=aim.target, own=aim.own)


def _own_marks(scored: Scored, priorities: Sequence[Priority]) -> OwnMarks:
    from sgputt.practice.aim import aim_of
    from sgputt.practice.pass_mark import pass_mark
    from sgputt_reports.export_practice import OwnMarks

    aim = aim_of(scored.gained)
    drills = {each.drill.id: each.drill for each in priorities}
    marks = {name: pass_mark(drill, aim.target, aim.own) for name, drill in drills.items()}
    return OwnMarks(aim.whose, marks)


def _stored(shared: Shared, year: int | None, which: Which) -> Stored:
    """Rounds of the player asked for, or of all players, narrowed for each."""
    with shared.open_archive() as archive:
        player = shared.one_player(archive) if shared.player is not None else None
        names = archive.players() if player is None else [player]
        if year is None and which.everything:
            return Stored(player or "", archive.holes(player), archive.putts(player))
        found = [Stored(name, archive.holes(name), archive.putts(name)) for name in names]
    kept, none = [], TooFewError("There are no rounds yet.", "Store one with: sgputt import FILE")
    for each in found:
        try:
            kept.append((each if year is None else each.of_year(year)).narrowed(which))
        except TooFewError as exc:
            none = exc
    if not kept:
        raise none
    order = ["date", "round", "player", "hole"]
    holes = pl.concat([each.holes for each in kept]).sort(order)
    putts = pl.concat([each.putts for each in kept]).sort([*order, "putt"])
    return Stored(player or "", holes, putts)
