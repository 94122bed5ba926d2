"""Invented rounds, and pages made of them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

import polars as pl

from sgputt.analysis.round import round_report
from sgputt.baseline.catalogue import get_baseline
from sgputt.baseline.slope import slope_fair
from sgputt.course.plan import course_plan
from sgputt.practice.aim import aim_of
from sgputt.practice.drills import load_caution, load_drills
from sgputt.practice.history import histories
from sgputt.practice.pass_mark import pass_mark
from sgputt.practice.plan import make_plan
from sgputt.practice.priorities import Priority, rank_priorities
from sgputt.practice.session import Session, mark_json, sessions_frame
from sgputt.practice.squad import squad_summary
from sgputt.season.breakdown import gained_by
from sgputt.season.makes_and_leaves import (
    baseline_curve,
    finishes,
    leaves_by_length,
    make_shares,
    miss_places,
)
from sgputt.season.misses import Reason, why_missed
from sgputt.season.scored import Scored, score
from sgputt.season.slopes import slope_table
from sgputt.season.stroke import StrokeReport, stroke_report
from sgputt.season.summary import SeasonSummary, season_summary
from sgputt.season.trend import best_rounds, trend, worst_rounds
from sgputt.stroke.model import TOUR, Stroke
from sgputt.stroke.simulate import Golfer, Weakness, season
from sgputt_reports.course import course_page
from sgputt_reports.evidence import Evidence
from sgputt_reports.practice import practice_page
from sgputt_reports.round import round_page
from sgputt_reports.season import season_page
from sgputt_reports.squad import squad_page

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

    def evidence(self) -> Evidence:
        scored = self.scored
        return Evidence(
            make_shares(scored),
            baseline_curve(scored),
            leaves_by_length(scored),
            finishes(scored),
            miss_places(scored),
            trend(scored),
            {f"{what}s": gained_by(scored, what) for what in ("month", "event", "course", "stimp")},
            best_rounds(scored),
            worst_rounds(scored),
            histories(practised(self.summary.player)),
            {drill.id: drill.name for drill in load_drills()},
        )

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
            self.evidence(),
        )

    def squad_page(self) -> str:
        others = {"Ada Brook": score(putts(6, "Ada Brook"), self.scored.baseline)}
        players = {self.summary.player: self.scored, **others}
        return squad_page(
            squad_summary(players, load_drills()), [self.summary.player], load_caution()
        )

    def course_page(self) -> str:
        plan = course_plan(Stroke(_LINE_RAD, pace=0.08), 11.0, 0.02)
        return course_page(plan, self.summary.player, "your stroke, from 1281 putts")

    def practice_page(self, minutes: int = 60, sessions: int = 1) -> str:
        rounds = self.summary.rounds
        aim = aim_of(self.scored.gained)
        plan = make_plan(self.summary.cells, load_drills(), minutes, sessions, aim, rounds)
        return practice_page(plan, self.summary.player, load_caution(), f"{rounds} rounds")

    def round_page(self) -> str:
        report = round_report(self.scored)
        return round_page(report, self.priorities, self.summary.by_distance, load_caution())


def practised(player: str) -> pl.DataFrame:
    """Sets of a count held to a mark, of a streak, and of a drill that has left its file."""
    count, streak = (
        next(each for each in load_drills() if each.scoring.type == kind)
        for kind in ("count", "streak")
    )
    marks = {each.id: mark_json(pass_mark(each, TOUR), "a tour stroke") for each in (count, streak)}
    sets = [
        Session(player, date(2026, 5, 1 + at), name, 30, 20, pass_mark=marks.get(name))
        for at, name in enumerate([count.id] * 5 + [streak.id, "gone-from-its-file"])
    ]
    return sessions_frame(sets)


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
