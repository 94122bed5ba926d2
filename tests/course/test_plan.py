from __future__ import annotations

import numpy as np
import polars as pl
import pytest

from sgputt.course.plan import AIMS_FT, FROM_FT, course_plan
from sgputt.errors import SgputtError
from sgputt.stroke.chain import GRID_FT, slope_chain
from sgputt.stroke.model import LINE_ROOM_FT, TOUR, Stroke


def test_above_the_hole_costs_more_the_faster_the_green() -> None:
    costs = [
        course_plan(TOUR, stimp, 0.02).approach["cost"].to_numpy() for stimp in (8.0, 10.0, 12.0)
    ]
    assert (costs[0] > 0).all()
    assert (costs[1] > costs[0]).all()
    assert (costs[2] > costs[1]).all()


def test_best_aim_beats_every_other_and_the_costs_are_not_negative() -> None:
    plan = course_plan(TOUR, 10.0, 0.025)
    assert plan.aims["charge_cost"].min() >= 0  # type: ignore[operator]
    assert plan.aims["die_cost"].min() >= 0  # type: ignore[operator]
    usual = slope_chain(TOUR, 0.025, 10.0)
    for slope, chained in usual.items():
        best = plan.aims.filter(pl.col("slope") == slope)["expected_putts"].to_numpy()
        assert (best <= np.interp(FROM_FT, GRID_FT, chained.expected_putts) + 2e-3).all()


def test_aim_falls_with_distance_and_a_worse_putter_gives_up_earlier() -> None:
    tour, amateur = course_plan(TOUR), course_plan(Stroke(0.028, 0.12))
    for slope in ("uphill", "level", "downhill"):
        aims = tour.aims.filter(pl.col("slope") == slope)["best_aim_ft"].to_numpy()
        assert (np.diff(aims) <= AIMS_FT[1] - AIMS_FT[0]).all()
        assert aims[0] > aims[-1]
        early, late = amateur.lag_from_ft[slope], tour.lag_from_ft[slope]
        assert early is not None
        assert late is not None
        assert early <= late


def test_one_aim_agrees_with_playing_it_out() -> None:
    """A second implementation: two hundred thousand balls from 10 ft, aimed 3 ft past, level."""
    rng = np.random.default_rng(5)
    count, distance = 200_000, 10.0
    spread = TOUR.pace * np.hypot(distance + 3.0, TOUR.form.steady_ft)
    roll = np.maximum(distance + 3.0 + spread * rng.normal(size=count), 0.0)
    angle = TOUR.line_rad * rng.normal(size=count)
    on_line = np.abs(angle) < np.arcsin(LINE_ROOM_FT / distance)
    holed = on_line & (roll >= distance) & (roll <= distance + TOUR.form.window_ft)
    leave = np.hypot(roll * np.cos(angle) - distance, roll * np.sin(angle))
    # On the level both sides of the hole are worth the same.
    after = np.interp(leave, GRID_FT, slope_chain(TOUR)["level"].expected_putts)
    played = float(np.where(holed, 1.0, 1.0 + after).mean())
    row = course_plan(TOUR).aims.row(
        by_predicate=(pl.col("slope") == "level") & (pl.col("distance_ft") == distance), named=True
    )
    assert row["expected_putts"] + row["charge_cost"] == pytest.approx(played, abs=0.004)


@pytest.mark.parametrize(
    ("stimp_ft", "grade", "said"),
    [(3.0, 0.02, "green speed"), (10.0, 0.0, "grade"), (10.0, 0.2, "grade"), (15.0, 0.08, "stop")],
)
def test_what_no_green_has_is_refused(stimp_ft: float, grade: float, said: str) -> None:
    with pytest.raises(SgputtError, match=said):
        course_plan(TOUR, stimp_ft, grade)
