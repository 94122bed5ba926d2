"""What the page of a season shows beside its summary, gathered from the library and the archive."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sgputt.season.scored import Scored
from sgputt_cli.season_more import More
from sgputt_cli.shared import Shared

if TYPE_CHECKING:
    from sgputt.practice.history import DrillHistory
    from sgputt_reports.evidence import Evidence

# Rounds behind each mean of a long trend, as a share of all: so that its line stays readable.
_WINDOW_SHARE = 10


def season_evidence(shared: Shared, player: str, scored: Scored, more: More) -> Evidence:
    """Gather it for the rounds of one player."""
    from sgputt.season.shape import (
        baseline_curve,
        finishes,
        leaves_by_length,
        make_shares,
        miss_places,
    )
    from sgputt.season.trend import WINDOW, trend
    from sgputt_cli.practising import all_drills
    from sgputt_reports.evidence import Evidence

    window = max(WINDOW, scored.rounds.height // _WINDOW_SHARE)
    return Evidence(
        makes=make_shares(scored),
        curve=baseline_curve(scored),
        leaves=leaves_by_length(scored),
        finishes=finishes(scored),
        places=miss_places(scored),
        trend=more.trend if window == WINDOW else trend(scored, window),
        breakdowns=more.breakdowns,
        best=more.best,
        worst=more.worst,
        practised=_practised(shared, player),
        drill_names={drill.id: drill.name for drill in all_drills(None)},
    )


def _practised(shared: Shared, player: str) -> list[DrillHistory]:
    from sgputt.archive.sessions import SessionLog
    from sgputt.practice.history import histories

    with shared.open_archive() as archive:
        return histories(SessionLog(archive).table(player))
