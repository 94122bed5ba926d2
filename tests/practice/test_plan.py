"""Plans: the minutes add up, a loss is counted once, something is kept up, breaks come."""

from __future__ import annotations

from collections import Counter

import polars as pl
import pytest

from sgputt.demo import demo_season
from sgputt.practice.aim import aim_of
from sgputt.practice.drills import load_drills
from sgputt.practice.plan import BREAK_MINUTES, MOST_SETS, Block, Plan, make_plan
from sgputt.practice.pool import Loss, Pool, attention
from sgputt.practice.priorities import REACHABLE_SHARE, rank_priorities
from tests.practice.test_priorities import cell, cells

DRILLS = load_drills()
BY_ID = {drill.id: drill for drill in DRILLS}
ROUNDS = 24
LOSSES = cells(
    cell("25-40 ft", "any", "leave", -0.5),
    cell("25-40 ft", "downhill", "leave", -0.1),
    cell("3-5 ft", "any", "holing", -0.3),
    cell("5-7 ft", "any", "holing", -0.2),
    cell("10-15 ft", "any", "holing", +0.2),
)


def drill_blocks(plan: Plan) -> list[Block]:
    return [block for each in plan.sessions for block in each.blocks if block.kind == "drill"]


@pytest.mark.parametrize("sessions", [1, 3])
@pytest.mark.parametrize("known", [True, False], ids=["losses", "general"])
def test_the_minutes_add_up(known: bool, sessions: int) -> None:
    for minutes in [*range(5, 70), 90, 121, 180, 240]:
        plan = make_plan(LOSSES if known else None, DRILLS, minutes, sessions, rounds=ROUNDS)
        assert len(plan.sessions) == sessions
        for session in plan.sessions:
            assert sum(block.minutes for block in session.blocks) == minutes
            assert all(block.minutes > 0 for block in session.blocks)


def test_a_loss_is_counted_once() -> None:
    reach = REACHABLE_SHARE * (0.5 + 0.3 + 0.2)
    for sessions in (1, 4, 14):
        plan = make_plan(LOSSES, DRILLS, 240, sessions, rounds=ROUNDS)
        parts = [block.worth_per_round or 0 for block in drill_blocks(plan)]
        assert plan.worth_per_round == pytest.approx(sum(parts))
        assert plan.worth_per_round <= reach
    # A fortnight of four hours a day wins back nearly all that can be.
    assert plan.worth_per_round > 0.95 * reach


def test_drills_of_the_same_putts_share_their_loss() -> None:
    pool = Pool([Loss("3-5 ft", "any", "holing", 0.4)])
    circle = BY_ID["circle-of-eight-5ft"]
    first = sum(pool.take(circle).values())
    second = sum(pool.take(circle).values())
    other = sum(pool.take(BY_ID["both-breaks-4-and-6ft"]).values())
    assert first > second > other > 0
    assert first + second + other + pool.left == pytest.approx(REACHABLE_SHARE * 0.4)


def test_attention_adds_up_over_the_cells_of_a_drill() -> None:
    bands = ("0-3 ft", "3-5 ft", "5-7 ft", "7-10 ft", "10-15 ft", "15-25 ft", "25-40 ft", "40+ ft")
    for drill in DRILLS:
        shares = [
            attention(drill, Loss(band, slope, component, 1.0))
            for band in bands
            for component in ("holing", "leave")
            for slope in ("uphill", "level", "downhill")
        ]
        assert sum(shares) == pytest.approx(1.0), drill.id


def test_it_opens_with_the_next_drill() -> None:
    plan = make_plan(LOSSES, DRILLS, 60, rounds=ROUNDS)
    first = plan.sessions[0].blocks[0]
    assert first.drill is not None
    assert first.drill.id == rank_priorities(LOSSES, DRILLS)[0].drill.id
    assert "25-40 ft" in first.why


def test_something_is_kept_up_and_no_drill_comes_three_times() -> None:
    plan = make_plan(LOSSES, DRILLS, 60, 4, rounds=ROUNDS)
    games = []
    for session in plan.sessions:
        kept = [block for block in session.blocks if block.role == "upkeep"]
        assert [block.minutes for block in kept] == [pytest.approx(9, abs=5)]
        assert kept == list(session.blocks[-1:])
        assert kept[0].drill is not None and kept[0].worth_per_round is None
        games.append(kept[0].drill.id)
        times = Counter(block.drill.id for block in session.blocks if block.drill)
        assert max(times.values()) <= MOST_SETS
    assert len(set(games)) > 1


def test_breaks_come_after_about_fifteen_minutes() -> None:
    for minutes in (45, 60, 90, 120):
        for session in make_plan(LOSSES, DRILLS, minutes, 2, rounds=ROUNDS).sessions:
            stretch, longest = 0, 0
            for block in session.blocks:
                stretch = 0 if block.kind == "break" else stretch + block.minutes
                longest = max(longest, stretch)
            assert longest <= 25
            rests = [block.minutes for block in session.blocks if block.kind == "break"]
            assert set(rests) == {BREAK_MINUTES}
            assert len(rests) == -(-minutes // 17) - 1
            assert "break" not in (session.blocks[0].kind, session.blocks[-1].kind)


@pytest.mark.parametrize("rounds", [0, 1, 2])
def test_too_few_rounds_give_a_general_plan_that_says_so(rounds: int) -> None:
    plan = make_plan(LOSSES if rounds else None, DRILLS, 60, rounds=rounds)
    assert plan.general and plan.note.startswith("A general plan")
    assert plan.worth_per_round == 0
    assert plan.whose == "a tour stroke"
    assert {block.role for block in drill_blocks(plan)} == {"general", "upkeep"}
    trained = {target.component for b in drill_blocks(plan) if b.drill for target in b.drill.trains}
    assert trained == {"holing", "leave"}


def test_no_loss_gives_a_general_plan() -> None:
    none = cells(cell("3-5 ft", "any", "holing", 0.2))
    plan = make_plan(none, DRILLS, 60, rounds=50)
    assert plan.general and "no loss shows" in plan.note


def test_when_the_losses_run_out_the_rest_is_general_practice() -> None:
    small = cells(cell("40+ ft", "any", "leave", -0.02))
    roles = [block.role for block in drill_blocks(make_plan(small, DRILLS, 120, rounds=ROUNDS))]
    assert roles[0] == "loss" and "general" in roles


def test_marks_are_the_players_own_and_of_the_set_as_cut() -> None:
    aim = aim_of(demo_season())
    plan = make_plan(LOSSES, DRILLS, 50, 2, aim, ROUNDS)
    assert plan.whose == "your own stroke"
    for block in drill_blocks(plan):
        assert block.drill is not None and block.mark is not None
        assert block.mark.passed_now is not None
        assert block.mark.balls <= block.drill.balls <= block.full_balls
    assert make_plan(LOSSES, DRILLS, 50, 2, aim, ROUNDS) == plan


def test_off_green_drills_are_for_those_who_ask() -> None:
    plan = make_plan(LOSSES, DRILLS, 240, 5, rounds=ROUNDS)
    assert all(block.drill and block.drill.surface == "green" for block in drill_blocks(plan))


@pytest.mark.parametrize(("minutes", "sessions"), [(4, 1), (241, 1), (60, 0), (60, 15)])
def test_out_of_range_is_an_error(minutes: int, sessions: int) -> None:
    with pytest.raises(ValueError, match=f"{sessions} sessions of {minutes} minutes"):
        make_plan(LOSSES, DRILLS, minutes, sessions, rounds=ROUNDS)


def test_the_order_of_the_cells_does_not_matter() -> None:
    turned = pl.DataFrame(LOSSES).reverse()
    assert make_plan(turned, DRILLS, 60, rounds=9) == make_plan(LOSSES, DRILLS, 60, rounds=9)
