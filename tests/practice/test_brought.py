"""What practice has brought: pooled over players, and taken for a step only once it is enough."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date, timedelta
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import polars as pl
import pytest

from sgputt.analysis.season import analyse
from sgputt.analysis.squad import SquadAnalysis, analyse_squad
from sgputt.practice import brought
from sgputt.practice.before_after import StrokesAround
from sgputt.practice.brought import (
    FEWEST_PLAYERS,
    FEWEST_ROUNDS,
    LEAST_STEP,
    MOST_DOUBT,
    Brought,
    MeasuredSteps,
    brought_by,
    measured_steps,
    pooled,
)
from sgputt.practice.decision import ASSUMED, Decision
from sgputt.practice.drills import load_drills
from sgputt.practice.marks import KnownStroke
from sgputt.practice.peers import PeerRecord
from sgputt.practice.plan import goal_by, make_plan
from sgputt.practice.session import SESSIONS_SCHEMA
from sgputt.practice.worth import Step, step_factor, steps_of
from sgputt.stroke.fitting import MODEL_SPREAD_DOUBT, NAMES, FittedStroke
from sgputt.stroke.player import HABIT_STEP, HABITS, PART_OF, TOUR_STROKE, spread_step
from tests.practice.invented import (
    START,
    USUAL,
    last_day_before,
    practised,
    rounds,
    scored,
    season_of,
    with_fault,
)

DRILLS = load_drills()
BY_ID = {drill.id: drill for drill in DRILLS}
# One works on pace alone, one on direction and read.
PACE, BOTH = "three-lengths-6-to-35ft", "circle-of-eight-5ft"
STEP = float(np.log(spread_step(USUAL, "pace")))


def change(steps: float, error: float = 0.2, part: str = "pace") -> Brought:
    """A change of so many assumed steps, its error in steps too."""
    if part in HABITS:
        left = 1 - steps * (1 - HABIT_STEP)
        return Brought(part, left, error * (1 - HABIT_STEP), HABIT_STEP, 6.0, 20, 20)
    return Brought(part, steps * STEP, error * -STEP, STEP, 6.0, 20, 20)


def archive(*changes: Brought) -> dict[str, list[Brought]]:
    return {f"player {at}": [each] for at, each in enumerate(changes)}


def steps(**multiples: float) -> MeasuredSteps:
    """Practice that brought so much of an assumed step."""
    every = {name: multiples.get(name, 1.0) for name in brought.GROUPS}
    counts = {name: 4 * (name in multiples) for name in every}
    return MeasuredSteps(every, counts, 4, 1.0, 0.3)


def log(*drills: str, day: date = START, sets: int = 6) -> pl.DataFrame:
    return pl.concat([practised(name, day) for name in drills for _ in range(sets)])


def test_a_change_is_told_in_assumed_steps() -> None:
    twice = Brought("pace", 2 * STEP, -STEP / 2, STEP, 6.0, 20, 20)
    assert (twice.steps, twice.steps_error) == pytest.approx((2.0, 0.5))
    gone = Brought("long", 0.0, 0.25, HABIT_STEP, 6.0, 20, 20)
    assert (gone.steps, gone.steps_error) == pytest.approx((2.0, 0.5))
    worse = replace(gone, change=1.5)
    assert worse.steps == pytest.approx(-1.0)
    assert Brought.from_dict(json.loads(json.dumps(twice.as_dict()))) == twice


def test_few_changes_leave_the_assumed_step() -> None:
    sure = [change(2.0, 0.1)] * (FEWEST_PLAYERS - 1)
    assert measured_steps(archive(*sure)) is None
    assert measured_steps({"one": [change(2.0, 0.1)] * 20}) is None
    assert measured_steps({"nobody": []}) is None
    unsure = archive(*[change(2.0, 3.0)] * FEWEST_PLAYERS)
    assert measured_steps(unsure) is None
    found = pooled(unsure)
    assert found is not None and found.error > MOST_DOUBT
    assert found.brought == pytest.approx(2.0)


def test_enough_changes_take_its_place_the_more_the_surer() -> None:
    few = measured_steps(archive(*[change(2.0)] * 6))
    many = measured_steps(archive(*[change(2.0)] * 60))
    assert few is not None and many is not None
    assert 1.3 < few.multiple("pace") < many.multiple("pace") < 2.0
    # A part that nobody practised goes some of the way, since practice is one thing.
    assert 1.0 < many.multiple("read") < many.multiple("pace")
    assert many.multiple("left_deg") == many.multiple("departure") == many.multiple("read")
    assert (many.changes_of("pace"), many.changes_of("read"), many.players) == (60, 0, 60)


def test_one_change_counts_by_what_is_known_beforehand() -> None:
    """Normal on normal, by hand."""
    found = pooled(archive(change(3.0, 0.6)))
    assert found is not None
    believed = brought.ASSUMED_DOUBT**2 + brought.PARTS_DIFFER**2
    doubt = brought.CHOICE_DOUBT**2 + brought.PLAYERS_DIFFER**2 + 0.6**2
    assert found.multiple("pace") == pytest.approx(1 + 2 * believed / (believed + doubt))
    alone = brought.PARTS_DIFFER**2 + brought.PLAYERS_DIFFER**2 + 0.6**2
    assert (found.brought, found.error) == pytest.approx((3.0, alone**0.5))


def test_a_surer_change_counts_for_more_and_players_who_differ_for_less() -> None:
    found = pooled(archive(change(2.0, 0.2), change(0.0, 2.0)))
    assert found is not None and found.brought > 1.5
    alike = pooled(archive(*[change(1.0)] * 8))
    apart = pooled(archive(*[change(-1.0), change(3.0)] * 4))
    assert alike is not None and apart is not None
    assert apart.brought == pytest.approx(alike.brought)
    assert apart.error > 1.5 * alike.error


def test_practice_that_brought_nothing_leaves_a_small_step_and_says_so() -> None:
    found = measured_steps(archive(*[change(-1.5)] * 12))
    assert found is not None and found.brought == pytest.approx(-1.5)
    assert found.multiple("pace") == LEAST_STEP and found.least("pace")
    known = KnownStroke(USUAL)
    for each in steps_of(known, None, found):
        assert 0 < each.factor < 1
    words = season_of(USUAL, 8, 3).decide(measured=found).meaning
    assert "nothing that shows" in words and "12 changes of 12 players" in words


def test_steps_are_the_assumed_ones_times_what_was_brought() -> None:
    known = KnownStroke(USUAL)
    assert steps_of(known, None, steps()) == steps_of(known)
    assert steps_of(known) == [
        *(Step(part, spread_step(USUAL, part)) for part in PART_OF.values()),
        *(Step(part, HABIT_STEP) for part in HABITS),
    ]
    found = {each.part: each.factor for each in steps_of(known, None, steps(pace=2.0, habit=0.4))}
    assert found["pace"] == pytest.approx(spread_step(USUAL, "pace") ** 2)
    assert found["read"] == spread_step(USUAL, "read")
    assert found["long"] == pytest.approx(0.8)
    # More than all of a habit cannot go.
    assert step_factor(USUAL, "long", steps(habit=2.5)) == 0.0
    # The way to another's stroke is no step.
    assert steps_of(known, TOUR_STROKE, steps(pace=2.0)) == steps_of(known, TOUR_STROKE)


def test_the_decision_takes_them_and_says_so() -> None:
    season = season_of(with_fault(long=-0.09), 40, 1)
    assumed, more = season.decision, season.decide(measured=steps(pace=2.0, habit=1.0))
    assert assumed.step == ASSUMED == assumed.as_dict(None)["step"]
    assert "the step is assumed" in assumed.meaning
    worth = {name: parts["pace"] for name, parts in assumed.worths.items() if "pace" in parts}
    for name, before in worth.items():
        assert 1.2 * before < more.worths[name]["pace"] < 2 * before
        assert more.worths[name].get("long") == assumed.worths[name].get("long")
    narrower = (
        f"pace {100 * (1 - step_factor(more.known.best, 'pace', more.measured)):.0f} % narrow"
    )
    assert f"what practice has brought in this archive: {narrower}" in more.meaning
    assert "a habit 50 % smaller, after 8 changes of 4 players" in more.step
    assert "read" not in more.step and "other parts go some of the way" in more.step
    every = season.decide(measured=steps(**dict.fromkeys(brought.GROUPS, 1.0)))
    assert "read" in every.step and "other parts" not in every.step
    assert more.as_dict(None)["step"] == more.step
    assert more.step in make_plan(more, DRILLS, 60).step
    # Marks stay aimed at the assumed step.
    assert more.known.target == assumed.known.target


def told(decision: Decision) -> set[str]:
    return {need.words for need in decision.needs if need.told}


def test_what_stands_out_does_not_depend_on_what_practice_brings() -> None:
    season = season_of(with_fault(long=-0.09), 40, 1)
    little = dict.fromkeys(brought.GROUPS, LEAST_STEP)
    less = season.decide(measured=steps(**little))
    assert less.stands_out and told(less) == told(season.decision) != set()
    first, before = less.priorities[0], season.decision.priorities[0]
    assert first.drill.id == before.drill.id
    assert 0 < first.worth_per_round < 0.3 * before.worth_per_round
    day = date(2026, 1, 1)
    assert goal_by(less, day, day + timedelta(days=365)).milestones


def test_a_part_takes_sets_and_rounds_and_the_green() -> None:
    """What is too few is not fitted, since fits take longest."""

    class NoFits(StrokesAround):
        def at(self, day: date) -> Any:
            raise AssertionError("nothing to fit")

    table = scored(rounds(USUAL, FEWEST_ROUNDS, 1, USUAL))
    day = last_day_before(FEWEST_ROUNDS)
    off_green = next(each.id for each in DRILLS if each.surface != "green")
    nothing = [
        pl.DataFrame(schema=SESSIONS_SCHEMA),
        log(PACE, day=day, sets=5),
        log(BOTH, day=day, sets=5),
        log(off_green, day=day),
        log("of-no-catalogue", day=day),
        # A round too few before; too few after; sets after the last round.
        log(PACE, day=day - timedelta(days=1)),
        log(PACE, day=day + timedelta(days=1)),
        pl.concat([log(PACE, day=day, sets=5), log(PACE, day=day + timedelta(days=99), sets=5)]),
    ]
    for sessions in nothing:
        assert brought_by(sessions, DRILLS, table, NoFits(table.gained)) == []
    with pytest.raises(AssertionError, match="nothing to fit"):
        brought_by(log(PACE, day=day), DRILLS, table, NoFits(table.gained))


def fit_of(spreads: tuple[float, float, float], error: float = 0.05, **habits: float) -> Any:
    """What a fit says: spreads in logarithms, all equally sure."""
    values = np.zeros(len(NAMES))
    values[:3] = spreads
    for name, size in habits.items():
        values[NAMES.index(name)] = size
    stroke = SimpleNamespace(**dict(zip(NAMES, [*np.exp(values[:3]), *values[3:]], strict=True)))
    covariance = error**2 * np.eye(len(NAMES))
    covariance[range(3), range(3)] += MODEL_SPREAD_DOUBT**2
    doubt = cast(FittedStroke, SimpleNamespace(covariance=covariance))
    return SimpleNamespace(
        stroke=stroke,
        values=values,
        covariance=covariance,
        putts=600,
        error=lambda name: FittedStroke.error(doubt, name),
    )


def found_in(early: Any, late: Any, *drills: str, later: str = "") -> dict[str, Brought]:
    """Of twelve sets of each drill, and many of another after the last round."""

    class Fixed(StrokesAround):
        def at(self, day: date) -> Any:
            return early, late

    table = scored(rounds(USUAL, FEWEST_ROUNDS, 1, USUAL))
    sessions = log(*drills, day=last_day_before(FEWEST_ROUNDS), sets=12)
    if later:
        sessions.extend(log(later, day=last_day_before(3 * FEWEST_ROUNDS), sets=99))
    found = brought_by(sessions, DRILLS, table, Fixed(table.gained))
    return {each.part: each for each in found}


def test_what_changes_all_spreads_alike_is_not_of_the_drill() -> None:
    before = fit_of((0.3, 0.3, 0.3))
    alone = found_in(before, fit_of((0.3, 0.3, 0.1)), PACE)["pace"]
    alike = found_in(before, fit_of((0.1, 0.1, 0.1)), PACE)["pace"]
    nothing = found_in(before, before, PACE)["pace"]
    assert alone.change - nothing.change == pytest.approx(-0.2)
    assert abs(alike.change - nothing.change) < 0.02
    # What comes back without any practice is taken off, and no more than the luck there may be.
    assert 0 < nothing.change < 0.05
    assert (alone.sets, alone.rounds_before, alone.rounds_after) == (12, 8, 8)
    # A drill for two spreads is half a set for each, and leaves the pace to hold them against.
    two = found_in(before, fit_of((0.1, 0.1, 0.3)), BOTH)
    assert set(two) == {"direction_deg", "read"} and two["read"].sets == 6
    assert two["read"].change == pytest.approx(two["direction_deg"].change)
    assert two["read"].change < alone.change + 0.03 and two["read"].error > alone.error
    # Where every spread is worked on there is nothing to hold one against.
    assert found_in(before, fit_of((0.1, 0.1, 0.1)), PACE, BOTH) == {}
    # What is practised after the last round makes nothing left alone before it, nor worked on.
    assert found_in(before, fit_of((0.1, 0.1, 0.1)), PACE, BOTH, later=PACE) == {}
    assert found_in(before, fit_of((0.3, 0.3, 0.1)), PACE, later=BOTH) == {"pace": alone}


def test_a_habit_is_what_is_left_of_it() -> None:
    drill = next(each for each in DRILLS if "short" in each.habits and each.cause == ("pace",))
    before = fit_of((0.3, 0.3, 0.3), 0.01, long=-0.1)
    found = found_in(before, fit_of((0.3, 0.3, 0.3), 0.01, long=-0.025), drill.id)
    assert found["long"].change == pytest.approx(0.25)
    assert found["long"].steps == pytest.approx(1.5)
    error = np.hypot(0.01, HABIT_STEP * 0.01) / 0.1
    assert found["long"].error == pytest.approx(error)
    # A drill for another habit, and a habit that may be luck.
    assert "long" not in found_in(before, before, "gate-2ft-ahead")
    assert "long" not in found_in(fit_of((0.3,) * 3, 0.06, long=-0.1), before, drill.id)


def test_invented_players_who_took_a_large_step_and_who_took_none() -> None:
    """End to end: seasons played by the physics, fitted before and after."""
    day = last_day_before(24)
    better = USUAL.changed(pace=0.7)
    found = {}
    for name, later in (("better", better), ("same", USUAL)):
        season = analyse(scored(rounds(USUAL, 24, 5, later)), sessions=log(PACE, day=day))
        (found[name],) = season.record.brought
        assert found[name].part == "pace"
        # The same fits as those of the transfer.
        before = season.transfers[0].spreads[0]
        assert season.transfers[0].first == day and before.cause == "pace"
    true = float(np.log(0.7))
    assert abs(found["better"].change - true) < 2 * found["better"].error
    assert abs(found["same"].change) < 2 * found["same"].error
    assert found["better"].change < found["same"].change + true / 2


def test_a_squad_pools_its_players_once_they_are_enough() -> None:
    table = scored(rounds(USUAL, 16, 3))
    names = ["Ada Brook", "Mara Lindqvist", "Ines Vale", "Tom Reed"]
    sessions = {name: log(PACE, day=START) for name in names}

    def squad(players: list[str], each: float) -> SquadAnalysis:
        made = analyse_squad(dict.fromkeys(players, table), sessions=sessions)
        for season in made.players.values():
            # As if these had been fitted.
            season.__dict__["record"] = PeerRecord((), (change(each, 0.1),))
        return made

    few = squad(names[:3], 2.0)
    assert few.players["Ada Brook"].measured is None
    assert few.players["Ada Brook"].decision.step == ASSUMED
    assert few.squad.worth_meaning.endswith("nobody has measured what a drill brings.")
    enough = squad(names, 2.0)
    decisions = [each.decision for each in enough.squad.members]
    for each in decisions:
        assert each.measured is not None
        assert each.measured.players == 4
    assert enough.squad.worth_meaning.endswith("in this archive: 4 changes of 4 players.")
    # Rounds of some days may say too little of one's own practice.
    first, *rest = enough.squad.members
    mixed = [replace(first, decision=replace(first.decision, measured=None)), *rest]
    meaning = replace(enough.squad, members=mixed).worth_meaning
    assert meaning.endswith(f"4 changes of 4 players; for {first.player} it is assumed.")
    assert decisions[0].priorities[0].worth_per_round > (
        few.players["Ada Brook"].decision.priorities[0].worth_per_round
    )
    # What is known of the archive goes before what these players would say.
    known = {name: PeerRecord((), (change(2.0, 0.1),)) for name in names[1:]}
    given = analyse_squad({"Ada Brook": table}, others={"Ada Brook": lambda: known})
    alone = given.players["Ada Brook"]
    assert alone.decision.step == ASSUMED
    alone.__dict__["record"] = PeerRecord((), (change(2.0, 0.1),))
    assert alone.measured == decisions[0].measured
