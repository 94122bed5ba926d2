"""Plans: the minutes add up, habits come first, something is kept up, breaks come."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import date

import polars as pl
import pytest

from sgputt.practice.decision import Decision, decide
from sgputt.practice.drills import load_drills
from sgputt.practice.plan import (
    BREAK_MINUTES,
    MOST_SETS,
    Block,
    Plan,
    goal_by,
    make_plan,
    warm_up,
)
from sgputt.putts.table import PUTTS_SCHEMA
from tests.practice.invented import season_of, with_fault

DRILLS = load_drills()
BY_ID = {drill.id: drill for drill in DRILLS}
TODAY = date(2026, 11, 26)


@pytest.fixture(scope="module")
def short() -> Decision:
    """A player who leaves putts short."""
    return season_of(with_fault(long=-0.09), 40, 1).decision


@pytest.fixture(scope="module")
def nobody() -> Decision:
    """Before the first round."""
    return decide(pl.DataFrame(schema=PUTTS_SCHEMA), 0, None, DRILLS)


def drill_blocks(plan: Plan) -> list[Block]:
    return [block for each in plan.sessions for block in each.blocks if block.kind == "drill"]


@pytest.mark.parametrize("sessions", [1, 3])
@pytest.mark.parametrize("whose", ["short", "nobody"])
def test_the_minutes_add_up(whose: str, sessions: int, request: pytest.FixtureRequest) -> None:
    decision = request.getfixturevalue(whose)
    for minutes in [*range(5, 70, 11), 90, 121, 240]:
        plan = make_plan(decision, DRILLS, minutes, sessions)
        assert len(plan.sessions) == sessions
        for session in plan.sessions:
            assert sum(block.minutes for block in session.blocks) == minutes
            assert all(block.minutes > 0 for block in session.blocks)


def test_balls_fit_the_minutes_of_a_set(short: Decision) -> None:
    for minutes in (20, 45, 60, 90):
        for block in drill_blocks(make_plan(short, DRILLS, minutes, 2)):
            assert block.drill is not None
            assert 60 * block.minutes / block.drill.balls >= 17
            if block.mark is None:
                assert 2 * block.drill.balls < block.full_balls
                continue
            goal = block.mark.goal
            assert goal.successes is None or goal.successes < goal.balls or goal.balls == 1


def test_balls_that_are_few_take_few_minutes(short: Decision) -> None:
    """Nine balls of eighteen were given the fifteen minutes that fit sixteen."""
    for minutes in (20, 45, 60, 90):
        for session in make_plan(short, DRILLS, minutes, 2).sessions:
            opening = session.blocks[0]
            assert opening.drill is not None
            whole = BY_ID[opening.drill.id]
            needed = opening.drill.balls * whole.minutes / whole.balls
            assert needed <= opening.minutes < needed + 1 + BREAK_MINUTES


def test_it_opens_with_the_habit_and_comes_back_to_it(short: Decision) -> None:
    plan = make_plan(short, DRILLS, 60, 4)
    first = plan.sessions[0].blocks[0]
    assert first.drill is not None and first.drill.id == short.priorities[0].drill.id
    assert "short" in first.why and not plan.general
    told = {each.drill.id for each in short.priorities if each.told}
    assert {s.blocks[0].drill.id for s in plan.sessions if s.blocks[0].drill} <= told
    parts = [block.worth_per_round or 0 for block in drill_blocks(plan)]
    assert plan.worth_per_round == pytest.approx(sum(parts))


def test_another_set_of_the_same_is_worth_less(short: Decision) -> None:
    blocks = drill_blocks(make_plan(short, DRILLS, 120))
    first = blocks[0]
    again = [b for b in blocks if b.set_number == 2 and b.drill and first.drill]
    assert first.worth_per_round is not None
    assert all((each.worth_per_round or 0) < first.worth_per_round for each in again)


def test_something_is_kept_up_and_no_drill_comes_three_times(short: Decision) -> None:
    plan = make_plan(short, DRILLS, 60, 4)
    games = []
    for session in plan.sessions:
        kept = [block for block in session.blocks if block.role == "upkeep"]
        assert len(kept) == 1 and kept == list(session.blocks[-1:])
        assert kept[0].drill is not None and kept[0].worth_per_round is None
        games.append(kept[0].drill.id)
        times = Counter(block.drill.id for block in session.blocks if block.drill)
        assert max(times.values()) <= MOST_SETS
    assert len(set(games)) > 1


def test_breaks_come_after_about_fifteen_minutes(short: Decision) -> None:
    for minutes in (45, 60, 90, 120):
        for session in make_plan(short, DRILLS, minutes, 2).sessions:
            stretch, longest = 0, 0
            for block in session.blocks:
                stretch = 0 if block.kind == "break" else stretch + block.minutes
                longest = max(longest, stretch)
            assert longest <= 30
            rests = [block.minutes for block in session.blocks if block.kind == "break"]
            assert set(rests) == {BREAK_MINUTES}
            assert len(rests) == -(-minutes // 17) - 1
            assert "break" not in (session.blocks[0].kind, session.blocks[-1].kind)


def test_before_the_first_round_the_plan_is_general_and_says_so(nobody: Decision) -> None:
    plan = make_plan(nobody, DRILLS, 60)
    assert plan.general and "no round is stored" in plan.note
    assert plan.worth_per_round == 0 and plan.whose == "a tour stroke"
    assert {block.role for block in drill_blocks(plan)} == {"general", "upkeep"}


def test_marks_are_the_players_own_and_of_the_set_as_cut(short: Decision) -> None:
    plan = make_plan(short, DRILLS, 50, 2)
    assert plan.whose == "your own stroke"
    for block in drill_blocks(plan):
        assert block.drill is not None
        if block.mark is not None:
            assert block.mark.goal.balls <= block.drill.balls <= block.full_balls
    assert make_plan(short, DRILLS, 50, 2) == plan


def test_off_green_drills_are_for_those_who_ask(short: Decision) -> None:
    plan = make_plan(short, DRILLS, 240, 5)
    assert all(block.drill and block.drill.surface == "green" for block in drill_blocks(plan))


@pytest.mark.parametrize(("minutes", "sessions"), [(4, 1), (241, 1), (60, 0), (60, 15)])
def test_out_of_range_is_an_error(minutes: int, sessions: int, nobody: Decision) -> None:
    with pytest.raises(ValueError, match=f"{sessions} sessions of {minutes} minutes"):
        make_plan(nobody, DRILLS, minutes, sessions)


def test_few_balls_have_no_mark(short: Decision) -> None:
    (session,) = make_plan(short, DRILLS, 5).sessions
    (block,) = session.blocks
    assert block.drill is not None and 2 * block.drill.balls < block.full_balls
    assert block.mark is None and block.drill.id == short.priorities[0].drill.id


@pytest.mark.parametrize("minutes", [10, 12, 15])
def test_a_warm_up_finds_the_pace_and_sees_short_putts_drop(minutes: int) -> None:
    plan = warm_up(DRILLS, minutes)
    (session,) = plan.sessions
    assert sum(block.minutes for block in session.blocks) == minutes
    assert all(block.mark is None and block.drill for block in session.blocks)
    lengths = [
        max(each.length_ft for each in block.drill.scoring.stations)
        for block in session.blocks
        if block.drill
    ]
    assert lengths[0] >= 15 and lengths[-1] <= 4
    assert sum(block.drill.balls for block in session.blocks if block.drill) <= 45
    with pytest.raises(ValueError, match="a warm-up of 30 minutes"):
        warm_up(DRILLS, 30)


def test_a_goal_with_a_date(short: Decision) -> None:
    goal = goal_by(short, TODAY, date(2027, 5, 1))
    assert goal.weeks == 22
    days = [each.day for each in goal.milestones]
    assert days == sorted(days) and days[-1] <= goal.by
    assert goal.milestones[0].drill == short.priorities[0].drill.id
    assert goal.worth_per_round == pytest.approx(sum(m.worth_per_round for m in goal.milestones))
    # Three steps of four drills were said to be worth 5.3 strokes: the habit was halved six times.
    first = short.priorities[0].worth_per_round
    assert (
        first
        < goal.worth_per_round
        < 2 * first
        + sum(each.worth_per_round for each in short.priorities if each.need.habit is None)
    )
    same = [m.worth_per_round for m in goal.milestones if m.drill == goal.milestones[0].drill]
    assert same[0] == pytest.approx(first) and same == sorted(same, reverse=True)
    assert same[1] < 0.6 * same[0]
    towards = replace(short, yardstick="the stroke of a tour player")
    assert all(m.step == 1 for m in goal_by(towards, TODAY, date(2027, 5, 1)).milestones)
    assert goal_by(short, TODAY, date(2026, 11, 28)).milestones == []
    assert "no step" in goal_by(short, TODAY, date(2026, 11, 28)).words
    with pytest.raises(ValueError, match="is not after"):
        goal_by(short, TODAY, TODAY)
