"""A course plan against balls played to the end, hand work and what must hold."""

from __future__ import annotations

import numpy as np
import polars as pl
import pytest

from sgputt.course.plan import CHARGE_FT, DIE_FT, DIRECTIONS, FROM_FT, QUARTERS, course_plan
from sgputt.course.putt import sloped_putts
from sgputt.errors import SgputtError
from sgputt.physics.roll import BallRollsOnError
from sgputt.stroke.player import TOUR_STROKE, PuttingStroke
from tests.course.by_hand import putts_to_hole_out

AMATEUR = PuttingStroke(direction_deg=1.6, read=0.4, pace=0.13)


@pytest.fixture(scope="module")
def flat() -> pl.DataFrame:
    return course_plan(TOUR_STROKE, 10.0, 0.0).aims


def aims_of(aims: pl.DataFrame, slope: str) -> pl.DataFrame:
    return aims.filter(pl.col("slope") == slope)


def test_a_level_green_is_alike_all_round(flat: pl.DataFrame) -> None:
    plan = course_plan(TOUR_STROKE, 10.0, 0.0)
    for column in ("cost", "beside_cost", "above_cost"):
        assert plan.approach[column].abs().max() == pytest.approx(0, abs=1e-9)
    for slope in DIRECTIONS:
        assert aims_of(flat, slope).drop("slope", "direction_deg").to_numpy() == pytest.approx(
            aims_of(flat, "level").drop("slope", "direction_deg").to_numpy()
        )


@pytest.mark.parametrize(("past_ft", "column"), [(CHARGE_FT, "charge_cost"), (DIE_FT, "die_cost")])
def test_charging_and_dying_in_a_three_footer_cost_what_balls_played_say(
    flat: pl.DataFrame, past_ft: float, column: str
) -> None:
    row = aims_of(flat, "level").row(0, named=True)
    played = putts_to_hole_out(TOUR_STROKE, 3.0, 90, 0.0, 10.0, 60_000, 3, past_ft)
    best = putts_to_hole_out(TOUR_STROKE, 3.0, 90, 0.0, 10.0, 60_000, 4, row["best_aim_ft"])
    assert row[column] == pytest.approx(float(played.mean() - best.mean()), abs=0.005)
    # A few hundredths of a putt: a hole takes balls that are going several feet past.
    assert 0.01 < row[column] < 0.07


@pytest.mark.parametrize("slope", DIRECTIONS)
def test_aims_and_approaches_are_those_of_single_putts(slope: str) -> None:
    plan = course_plan(AMATEUR, 11.0, 0.02)
    rows = aims_of(plan.aims, slope)
    assert set(rows["direction_deg"]) == {DIRECTIONS[slope]}
    assert rows["distance_ft"].to_list() == FROM_FT.tolist()
    for length in (6.0, 20.0):
        row = rows.row(by_predicate=pl.col("distance_ft") == length, named=True)
        one, charged = (
            next(
                putt
                for putt in sloped_putts([length], AMATEUR, 11.0, 0.02, past)
                if putt.direction_deg == DIRECTIONS[slope]
            )
            for past in (None, CHARGE_FT)
        )
        assert row["best_aim_ft"] == pytest.approx(one.best_past_ft)
        usual = plan.approach.row(by_predicate=pl.col("distance_ft") == length, named=True)
        assert usual[slope] == pytest.approx(one.expected_putts)
        assert row["charge_cost"] == pytest.approx(charged.expected_putts - row["expected_putts"])


def test_costs_are_never_negative_and_break_makes_the_side_cost_most() -> None:
    plan = course_plan(AMATEUR, 10.0, 0.025)
    assert plan.aims["charge_cost"].min() >= 0  # type: ignore[operator]
    assert plan.aims["die_cost"].min() >= 0  # type: ignore[operator]
    assert (plan.approach["beside"] > plan.approach["below"]).all()
    assert (plan.approach["beside"] > plan.approach["above"]).all()
    assert all(sum(shares) == pytest.approx(1) for shares in QUARTERS.values())


def test_the_side_costs_more_the_faster_the_green() -> None:
    costs = [course_plan(TOUR_STROKE, s, 0.02).approach["beside_cost"] for s in (8.0, 10.0, 12.0)]
    slow, usual, fast = (each.to_numpy() for each in costs)
    assert (slow > 0).all()
    assert (usual > slow).all()
    assert (fast > usual).all()


def test_a_worse_putter_gives_up_no_later_on_the_level() -> None:
    tour, amateur = course_plan(TOUR_STROKE, 10.0, 0.0), course_plan(AMATEUR, 10.0, 0.0)
    early, late = amateur.lag_from_ft["level"], tour.lag_from_ft["level"]
    assert early is not None
    assert late is not None
    assert early <= late


@pytest.mark.parametrize(
    ("stimp_ft", "grade", "said"),
    [(3.0, 0.02, "green speed"), (10.0, 0.2, "grade"), (10.0, -0.01, "grade")],
)
def test_what_no_green_has_is_refused(stimp_ft: float, grade: float, said: str) -> None:
    with pytest.raises(SgputtError, match=said):
        course_plan(TOUR_STROKE, stimp_ft, grade)


def test_where_a_ball_does_not_stop_is_said() -> None:
    with pytest.raises(BallRollsOnError, match="does not stop"):
        course_plan(TOUR_STROKE, 13.0, 0.07)
    # By hand: tan(asin(1.83^2 / (2 x 10 ft) / (5/7 x 9.81))).
    level = 1.83**2 / (2 * 10 * 0.3048)
    steepest = np.tan(np.arcsin(level / (5 / 7 * 9.81)))
    plan = course_plan(TOUR_STROKE, 10.0, 0.02)
    assert plan.steepest == pytest.approx(steepest)
    assert f"{100 * steepest:.1f} % or more does not stop" in plan.limit
