"""The coach's month: rounds, the need, its drill, practice logged, and whether it shows.

Players with planted faults. Each is set the drill for it and logs it; some truly get rid of half of
the fault, the others do not.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from functools import cache

import polars as pl
import pytest

from sgputt.analysis.season import SeasonAnalysis, analyse
from sgputt.practice.drills import load_drills
from sgputt.practice.marks import pass_mark
from sgputt.practice.session import mark_json
from sgputt.stroke.player import PuttingStroke
from tests.practice.invented import last_day_before, practised, rounds, scored, with_fault

DRILLS = load_drills()
BY_ID = {drill.id: drill for drill in DRILLS}
EACH = 40
# A stroke, the habit or cause to be found, and the stroke when the fault is gone.
PLAYERS: dict[str, tuple[PuttingStroke, str, PuttingStroke]] = {
    "short": (with_fault(long=-0.1), "short", with_fault()),
    "low": (
        with_fault(less_left_to_right=0.45, less_right_to_left=0.45),
        "too little break",
        with_fault(),
    ),
}


@dataclass(frozen=True)
class Month:
    """What the program said before and after."""

    before: SeasonAnalysis
    after: SeasonAnalysis
    drill: str


@cache
def month(player: str, improves: bool) -> Month:
    """Rounds, the next drill, its sets, as many rounds again."""
    stroke, _, improved = PLAYERS[player]
    putts = rounds(stroke, EACH, 11, improved if improves else stroke)
    day = last_day_before(EACH)
    before = analyse(scored(putts.filter(pl.col("date") <= day)))
    drill = before.decision.priorities[0].drill
    balls = BY_ID[drill.id].balls
    mark = pass_mark(BY_ID[drill.id], before.decision.known)
    wanted = mark.goal.successes or balls
    kept = mark_json(mark, "your own stroke")
    shares = (0, 1, 2) if improves else (-2, -3, -2)
    log = pl.concat(
        practised(
            drill.id, day + timedelta(days=n), balls, min(balls, wanted + more), pass_mark=kept
        )
        for n, more in enumerate(shares)
    )
    return Month(before, analyse(scored(putts), sessions=log), drill.id)


@pytest.mark.parametrize("player", PLAYERS)
def test_the_fault_is_found_its_drill_set_and_planned(player: str) -> None:
    said = month(player, True).before
    first = said.decision.priorities[0]
    assert PLAYERS[player][1] in (first.need.habit, first.need.cause)
    opening = said.plan(60).sessions[0].blocks[0]
    assert opening.drill is not None and opening.drill.id == first.drill.id


@pytest.mark.parametrize("player", PLAYERS)
def test_the_log_moves_the_mark(player: str) -> None:
    better, same = month(player, True), month(player, False)
    answer = better.after.decision.answers[better.drill]
    assert answer.judged == 3 and answer.passed == 3 and answer.harder == 1
    answer = same.after.decision.answers[same.drill]
    assert answer.passed == 0 and answer.harder == -1
    assert same.after.decision.since and "easier" in same.after.decision.since[0]


def test_who_truly_improves_is_seen_and_who_does_not_is_not_said_to() -> None:
    improved = [month(player, True).after.transfers[0] for player in PLAYERS]
    still = [month(player, False).after.transfers[0] for player in PLAYERS]
    assert [each.verdict for each in still].count("improved") == 0
    assert {each.verdict for each in improved} <= {"improved", "cannot tell"}
    # A habit of all putts shows in the stroke, not against the other putts.
    assert [each.verdict for each in improved].count("improved") >= 1


def test_a_fault_that_is_gone_is_no_longer_first() -> None:
    stroke, _, improved = PLAYERS["short"]
    putts = rounds(stroke, EACH, 11, improved)
    late = analyse(scored(putts.filter(pl.col("date") > last_day_before(EACH))))
    assert late.decision.priorities[0].need.habit != "short"


def test_the_whole_says_the_same_again() -> None:
    first = month("low", True).after.decision.as_dict("x")
    month.cache_clear()
    assert month("low", True).after.decision.as_dict("x") == first
