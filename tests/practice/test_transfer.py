"""Practice against the course: gains found where they are, and seldom where there are none."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import polars as pl
import pytest

from sgputt.inference.intervals import per_round
from sgputt.practice.drills import Drill, load_drills
from sgputt.practice.transfer import (
    Change,
    StrokeChange,
    _habit_change,
    change_since,
    course_rate,
    surest_habit,
    trained_by,
    transfers,
    within,
)
from sgputt.stroke.causes import habit_sizes
from sgputt.stroke.fitting import NAMES, FittedStroke, fit_putting_stroke, stroke_of
from sgputt.stroke.player import SPREADS, PuttingStroke
from tests.practice.invented import (
    START,
    USUAL,
    last_day_before,
    practised,
    rounds,
    scored,
    with_fault,
)

DRILLS = load_drills()
BY_ID = {drill.id: drill for drill in DRILLS}
CIRCLE = BY_ID["circle-of-eight-5ft"]
# What each of these drills trains gone wrong, and nothing else.
UPHILL = with_fault(long_uphill=-0.2)
STRIP = BY_ID["strip-uphill-8-to-28ft"]
EASIER = USUAL.changed(direction_deg=0.92, read=0.92, pace=0.92)


def change(before: PuttingStroke, after: PuttingStroke, each: int, seed: int) -> Change:
    table = scored(rounds(before, each, seed, after))
    return change_since(STRIP, last_day_before(each), table)


def verdicts(before: PuttingStroke, after: PuttingStroke, each: int, seeds: int) -> list[str]:
    return [change(before, after, each, seed).verdict for seed in range(seeds)]


def test_a_large_gain_is_found_in_many_rounds() -> None:
    found = verdicts(UPHILL, USUAL, 50, 5)
    assert found.count("improved") >= 4
    assert "worse" not in found


def test_greens_that_are_easier_for_all_putts_are_no_gain_of_the_drill() -> None:
    """Issue 15, 9: greens 8 % easier made it say improved in 18 to 27 % of seasons."""
    found = [*verdicts(USUAL, EASIER, 30, 10), *verdicts(EASIER, USUAL, 30, 10)]
    # One in twenty, and what twenty seasons may show of it.
    assert found.count("improved") <= 3
    assert found.count("worse") <= 3


def test_without_a_gain_hardly_any_is_claimed() -> None:
    found = [*verdicts(UPHILL, UPHILL, 15, 8), *verdicts(USUAL, USUAL, 40, 8)]
    assert found.count("improved") <= 3 and found.count("worse") <= 3


def test_the_figures_are_those_of_the_putts() -> None:
    day = last_day_before(10)
    table = scored(rounds(UPHILL, 10, 3, USUAL))
    found = change_since(STRIP, day, table)
    inside = table.gained.filter(
        pl.col("counts")
        & (pl.col("distance_ft") > 5)
        & (pl.col("distance_ft") <= 36)
        & (pl.col("slope") == "uphill")
        & (pl.col("date") <= day)
    )
    assert found.putts_before == inside.height
    played = table.rounds["holes"].to_numpy()
    before = inside["sg"].to_numpy().sum() * 18 / played[:10].sum()
    assert found.before == pytest.approx(before)
    assert (found.rounds_before, found.rounds_after) == (10, 10)
    area = trained_by(STRIP, table)
    assert area is not None
    total = area.rounds["gained"].to_numpy() + area.rounds["rest"].to_numpy()
    assert total.sum() == pytest.approx(table.rounds["strokes_gained"].to_numpy().sum())


def test_one_sample_is_per_round() -> None:
    area = trained_by(CIRCLE, scored(rounds(USUAL, 12, 2)))
    assert area is not None
    value = area.sample(area.rounds, "gained").value
    plain = per_round(area.rounds["gained"].to_numpy()[:, None], area.rounds["holes"].to_numpy())
    assert value == pytest.approx(plain.value)
    assert area.rounds.height == 12


def test_within_is_what_a_drill_says_it_trains() -> None:
    table = scored(rounds(USUAL, 6, 1)).gained
    for drill in (CIRCLE, STRIP, BY_ID["left-to-right-6-to-20ft"]):
        found = table.select(within(drill).alias("in"))["in"].to_list()
        words = table.select(
            "distance_ft", pl.col("slope").cast(pl.String), pl.col("break").cast(pl.String)
        ).rows()
        assert found == [drill.trains_putt(*each) for each in words]


@pytest.mark.parametrize(
    ("day", "words"),
    [
        (START - timedelta(days=1), "no round before the first practice"),
        (START + timedelta(days=400), "no round since the first practice"),
        (START, "2 rounds before and after"),
    ],
)
def test_too_few_rounds_are_said(day: date, words: str) -> None:
    found = change_since(CIRCLE, day, scored(rounds(USUAL, 4, 1)))
    assert found.verdict == "cannot tell"
    assert words in found.words
    assert (found.chance_improved, found.more_rounds) == (None, None)


def test_more_rounds_tell_and_how_many_is_said() -> None:
    day = last_day_before(50)
    putts = rounds(UPHILL, 50, 8, USUAL)
    some = putts.filter(pl.col("date") <= day + timedelta(days=4))
    early, late = (change_since(STRIP, day, scored(each)) for each in (some, putts))
    assert late.verdict == "improved" and late.more_rounds is None
    assert early.verdict == "cannot tell"
    assert early.more_rounds is not None and f"about {early.more_rounds} more" in early.words


def test_off_the_green_nothing_can_be_told() -> None:
    off = change_since(BY_ID["fringe-15-to-45ft"], START, scored(rounds(USUAL, 4, 1)))
    assert "off the green" in off.words


def rate(drill: Drill, made_share: float) -> str:
    made = round(200 * made_share)
    return course_rate(drill, 200, made, START, scored(rounds(USUAL, 50, 4))).words


def test_practice_against_the_course() -> None:
    table = scored(rounds(USUAL, 50, 4))
    found = course_rate(CIRCLE, 200, 120, START, table)
    assert found.course is not None and found.since == START
    putts = table.gained.filter(
        (pl.col("date") > START)
        & pl.col("counts")
        & pl.col("distance_ft").is_between(0.85 * 5, 1.15 * 5)
    )
    made = int((putts["result"] == "holed").sum())
    assert (found.course.balls, found.course.successes) == (putts.height, made)
    assert found.course.expected == pytest.approx(float(putts["one_putt"].to_numpy().mean()))
    assert found.course.low < found.course.rate < found.course.high
    share = made / putts.height
    assert "better in practice" in rate(CIRCLE, min(share + 0.3, 0.99))
    assert "better on the course" in rate(CIRCLE, share - 0.35)


def test_a_circle_is_held_against_leaves() -> None:
    table = scored(rounds(USUAL, 50, 4))
    found = course_rate(BY_ID["up-and-down-25-and-35ft"], 24, 16, START, table)
    assert found.course is not None and found.course.expected is None
    putts = table.gained.filter(
        pl.col("counts")
        & (pl.col("date") > START)
        & pl.col("distance_ft").is_between(0.85 * 25, 1.15 * 35)
        & pl.col("slope").is_in(["uphill", "downhill"])
        & pl.col("leave_ft").is_not_null()
    )
    near = int((putts["leave_ft"] <= 3).sum())
    assert (found.course.balls, found.course.successes) == (putts.height, near)


@pytest.mark.parametrize(
    ("drill", "words"),
    [
        ("gate-2ft-ahead", "a gate has no like"),
        ("strip-15-to-25ft", "does not tell this kind"),
        ("ring-behind-the-hole-4-to-8ft", "does not tell this kind"),
        ("fringe-15-to-45ft", "off the green"),
    ],
)
def test_what_the_course_cannot_tell(drill: str, words: str) -> None:
    found = course_rate(BY_ID[drill], 20, 10, START, scored(rounds(USUAL, 4, 1)))
    assert found.course is None and words in found.words


def test_few_course_putts_are_said() -> None:
    one = rounds(USUAL, 4, 1).filter(pl.col("date") == START)
    found = course_rate(BY_ID["longest-on-the-green"], 18, 9, START, scored(one))
    assert found.course is None and "too few to compare" in found.words


def test_each_drill_logged_once_with_those_it_cannot_be_told_from() -> None:
    day = last_day_before(15)
    log = pl.concat(
        [
            practised(CIRCLE.id, day),
            practised("both-breaks-4-and-6ft", day + timedelta(days=2), 32, 22),
            practised("longest-on-the-green", day, 18, 12),
            practised(CIRCLE.id, day + timedelta(days=9), 40, 33),
            practised("no-longer-there", day),
        ]
    )
    found = transfers(log, DRILLS, scored(rounds(USUAL, 15, 5, USUAL)))
    assert [each.drill.id for each in found] == [
        CIRCLE.id,
        "both-breaks-4-and-6ft",
        "longest-on-the-green",
    ]
    first = found[0]
    assert (first.sets, first.first, first.course.practice.successes) == (2, day, 62)
    assert first.shared_with == ("both-breaks-4-and-6ft",)
    assert found[2].shared_with == ()
    assert transfers(log.clear(), DRILLS, scored(rounds(USUAL, 4, 1))) == []


@pytest.mark.parametrize(
    ("smaller", "by_putts", "verdict", "says"),
    [
        (0.99, "cannot tell", "improved", "your habit (short) has become smaller"),
        (0.99, "worse", "cannot tell", "yet the putts it trains got worse"),
        (0.6, "cannot tell", "cannot tell", "Cannot tell whether it shows"),
        (0.6, "improved", "improved", "It shows on the course"),
    ],
)
def test_habit_and_putts_are_one_verdict(
    smaller: float, by_putts: str, verdict: str, says: str
) -> None:
    """One player was told "Cannot tell" and that the habit had become smaller."""
    day = last_day_before(4)
    table = scored(rounds(USUAL, 4, 1, USUAL))
    (found,) = transfers(practised(CIRCLE.id, day), DRILLS, table)
    habit = StrokeChange("short", -0.1, -0.02, smaller)
    one = replace(found, change=replace(found.change, verdict=by_putts), stroke=habit)
    assert one.verdict == verdict and says in one.words
    assert ("Cannot tell" in one.words) == (verdict == "cannot tell")
    assert "Cannot tell" not in found.change.words


def test_a_habit_put_down_to_other_putts_has_not_become_smaller() -> None:
    """Who went on leaving putts short was told of less, once it was put down to those uphill."""
    putts = rounds(with_fault(long=-0.09), 30, 4)
    fit = fit_putting_stroke(putts)
    size, error = habit_sizes(fit, putts)["roll", "all"]
    on_slopes = {
        name: size / habit_sizes(replaced(fit, {name: 1.0}), putts)["roll", "all"][0]
        for name in ("long_uphill", "long_downhill")
    }
    late = replaced(fit, {name: each / 2 for name, each in on_slopes.items()})
    assert late.stroke.long == 0
    assert habit_sizes(late, putts)["roll", "all"][0] == pytest.approx(size)
    change = _habit_change(BY_ID["three-lengths-6-to-35ft"], (fit, late), (putts, putts))
    assert change is not None and change.habit == "short"
    assert change.smaller == pytest.approx(0.5) and not change.told
    gone = replaced(fit, {"long": size / 10})
    assert abs(size) > 5 * error
    found = _habit_change(BY_ID["three-lengths-6-to-35ft"], (fit, gone), (putts, putts))
    assert found is not None and found.told


def test_who_is_long_and_uphill_less_so_is_not_short_uphill() -> None:
    putts = rounds(USUAL, 30, 4)
    fit = fit_putting_stroke(putts)
    drill = next(each for each in DRILLS if each.habits == ("short",))
    early = replaced(fit, {"long": 0.1, "long_uphill": -0.1})
    assert surest_habit(early, drill.habits) == "long_uphill"
    assert habit_sizes(early, putts)["roll", "uphill"][0] > 0
    assert _habit_change(drill, (early, early), (putts, putts)) is None


def replaced(fit: FittedStroke, habits: dict[str, float]) -> FittedStroke:
    """The fit as if it had found these habits alone, and told none."""
    values = fit.values.copy()
    values[len(SPREADS) :] = [habits.get(name, 0.0) for name in NAMES[len(SPREADS) :]]
    explained = replace(fit.explained, best=frozenset())
    return replace(fit, values=values, stroke=stroke_of(values, fit.stroke), explained=explained)


@pytest.mark.parametrize(("better", "told"), [(True, True), (False, False)])
def test_a_steadier_pace_is_told_of_a_drill_for_pace(better: bool, told: bool) -> None:
    """It shows on all putts, so that the putts it trains gain nothing beyond the others."""
    wide = USUAL.changed(pace=1.6)
    day = last_day_before(12)
    table = scored(rounds(wide, 12, 2, USUAL if better else wide))
    (found,) = transfers(practised("three-lengths-6-to-35ft", day, 18, 12), DRILLS, table)
    (pace,) = found.spreads
    assert pace.cause == "pace" and pace.told is told
    assert (found.verdict == "improved") is told
    assert ("your pace has become steadier" in found.words) is told
