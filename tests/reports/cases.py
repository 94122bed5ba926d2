"""Invented rounds, and pages made of them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

import polars as pl

from sgputt.baseline.catalogue import get_baseline
from sgputt.baseline.slope import slope_fair
from sgputt.practice.drills import load_caution, load_drills
from sgputt.practice.priorities import Priority, rank_priorities
from sgputt.season.misses import Reason, why_missed
from sgputt.season.round import round_report
from sgputt.season.scored import Scored, score
from sgputt.season.slopes import slope_table
from sgputt.season.stroke import StrokeReport, stroke_report
from sgputt.season.summary import SeasonSummary, season_summary
from sgputt.stroke.model import Stroke
from sgputt.stroke.simulate import Golfer, Weakness, season
from sgputt_reports.round import round_page
from sgputt_reports.season import season_page

HOSTILE = "</script><script>alert(1)</script>\"'{{7*7}}\u202egnp.exe\x07 " + "W" * 90
_LINE_RAD = 0.018
_FAULT = Weakness(5.0, 10.0, ("downhill",), lost_makes=0.3)


@dataclass(frozen=True)
class Case:
    """Rounds with what is found in them."""

    scored: Scored
    summary: SeasonSummary
    priorities: list[Priority]
    stroke: StrokeReport
    misses: list[Reason]

    def season_page(self) -> str:
        fair = slope_fair(self.scored.baseline)
        return season_page(
            self.summary,
            self.priorities,
            load_caution(),
            self.stroke,
            self.misses,
            slope_table(self.scored, fair),
            fair.assumption,
        )

    def round_page(self) -> str:
        report = round_report(self.scored)
        return round_page(report, self.priorities, self.summary.by_distance, load_caution())


def putts(rounds: int, name: str = "Nell Achterberg", course: str = "Kestrel Down") -> pl.DataFrame:
    golfer = Golfer(name, Stroke(_LINE_RAD, pace=0.08), (_FAULT,))
    return season(golfer, rounds, seed=3, start=date(2026, 4, 2), course=course)


def make(table: pl.DataFrame, name: str = "Nell Achterberg", label: str = "2026 season") -> Case:
    scored = score(table, get_baseline())
    summary = season_summary(scored, name, label)
    return Case(
        scored,
        summary,
        rank_priorities(summary.cells, load_drills()),
        stroke_report(scored),
        why_missed(scored),
    )


def made_hostile(case: Case) -> Case:
    """The case with hostile text in every field of its drills and priorities."""
    priorities = []
    for each in case.priorities:
        drill = replace(
            each.drill,
            name=HOSTILE,
            setup=HOSTILE,
            do=HOSTILE,
            success=HOSTILE,
            dose=HOSTILE,
            safety=HOSTILE,
        )
        priorities.append(replace(each, drill=drill, why=HOSTILE, pass_mark=HOSTILE))
    return replace(case, priorities=priorities)
