"""Invented rounds, and pages made of them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import Any

import polars as pl

from sgputt.analysis.round import analyse_round
from sgputt.analysis.season import SeasonAnalysis, analyse
from sgputt.analysis.squad import analyse_squad
from sgputt.baseline.catalogue import get_baseline
from sgputt.course.plan import course_plan
from sgputt.practice.decision import Priority
from sgputt.practice.drills import load_drills
from sgputt.practice.marks import pass_mark
from sgputt.practice.session import Session, mark_json, sessions_frame
from sgputt.season.scored import Scored, score
from sgputt.season.summary import SeasonSummary
from sgputt.stroke.invented import InventedGolfer, invented_season
from sgputt.stroke.player import TOUR_STROKE, PuttingStroke
from sgputt_reports.course import course_page
from sgputt_reports.practice import practice_page
from sgputt_reports.round import round_page
from sgputt_reports.season import season_page
from sgputt_reports.squad import squad_page

HOSTILE = "</script><script>alert(1)</script>\"'{{7*7}}\u202egnp.exe\x07 " + "W" * 90
_STROKE = PuttingStroke(direction_deg=1.2, pace=0.09, less_left_to_right=0.5)


@dataclass(frozen=True)
class Case:
    """Rounds with what is found in them, and the pages made of it."""

    analysis: SeasonAnalysis

    @property
    def scored(self) -> Scored:
        return self.analysis.scored

    @property
    def summary(self) -> SeasonSummary:
        return self.analysis.summary

    @property
    def priorities(self) -> list[Priority]:
        return self.analysis.priorities

    def with_parts(self, **parts: Any) -> Case:
        """The same with parts of its analysis changed, as if they had been found so."""
        other = replace(self.analysis)
        # What was worked out already need not be once more.
        vars(other).update({**vars(self.analysis), **parts})
        return Case(other)

    def with_priorities(self, priorities: list[Priority]) -> Case:
        """The same with other priorities."""
        decision = replace(self.analysis.decision, priorities=priorities)
        return self.with_parts(decision=decision)

    def season_page(self) -> str:
        return season_page(self.analysis)

    def squad_page(self) -> str:
        others = {"Ada Brook": score(putts(6, "Ada Brook"), self.scored.baseline)}
        players = {self.summary.player: self.scored, **others}
        return squad_page(analyse_squad(players, absent=[self.summary.player]))

    def course_page(self) -> str:
        plan = course_plan(TOUR_STROKE, 11.0, 0.02)
        return course_page(plan, self.summary.player, "your stroke, from 1281 putts")

    def practice_page(self, minutes: int = 60, sessions: int = 1) -> str:
        plan = self.analysis.plan(minutes, sessions)
        caution, behind = self.analysis.caution, f"{self.analysis.rounds} rounds"
        return practice_page(plan, self.summary.player, caution, behind)

    def round_page(self) -> str:
        return round_page(analyse_round(self.scored, self.analysis))


def practised(player: str) -> pl.DataFrame:
    """Sets of a count held to a mark, of a streak, and of a drill that has left its file."""
    count, streak = (
        next(each for each in load_drills() if each.scoring.kind == kind)
        for kind in ("count", "in a row")
    )
    marks = {each.id: mark_json(pass_mark(each), "a tour stroke") for each in (count, streak)}
    sets = [
        Session(player, date(2026, 5, 1 + at), name, 30, 20, pass_mark=marks.get(name))
        for at, name in enumerate([count.id] * 5 + [streak.id, "gone-from-its-file"])
    ]
    return sessions_frame(sets)


def putts(rounds: int, name: str = "Nell Achterberg", course: str = "Kestrel Down") -> pl.DataFrame:
    golfer = InventedGolfer(name, _STROKE)
    return invented_season(golfer, rounds, seed=3, start=date(2026, 4, 2), course=course)


def make(table: pl.DataFrame, name: str = "Nell Achterberg", label: str = "2026 season") -> Case:
    scored = score(table, get_baseline())
    return Case(analyse(scored, name, label, sessions=practised(name)))


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
        mark = replace(each.mark, text=HOSTILE, set_up=HOSTILE, drill=drill)
        priorities.append(replace(each, drill=drill, why=HOSTILE, mark=mark))
    return case.with_priorities(priorities)
