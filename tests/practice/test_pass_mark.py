"""Pass marks: the chances behind them played out ball by ball; balls of a restart ladder."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from sgputt.practice.drills import Drill, Scoring, load_drills
from sgputt.practice.pass_mark import expected_balls, pass_mark
from sgputt.practice.success import START_LINE_SHARE, station_chances
from sgputt.stroke.model import BALL_RADIUS_FT, HOLE_RADIUS_FT, TOUR, Stroke

DRAWS = 100_000
# 4.5 standard errors of a share from 100,000 balls, and 0.002 for the program's own quantiles.
SLACK = 4.5 * np.sqrt(0.25 / DRAWS) + 0.002
GRADES = {"uphill": 0.025, "level": 0.0, "downhill": -0.025}
CATALOGUE = load_drills()
AMATEUR = Stroke(float(np.radians(1.7)), 0.12)


@pytest.mark.parametrize("chances", [[0.5] * 4, [0.9, 0.8, 0.7], [0.3, 0.95], [1.0, 1.0], [0.6]])
def test_balls_to_a_streak_by_counting_them(chances: list[float]) -> None:
    rng = np.random.default_rng(8)
    tries = 20_000
    balls, at = np.zeros(tries), np.zeros(tries, dtype=int)
    going = np.arange(tries)
    while len(going):
        balls[going] += 1
        good = rng.random(len(going)) < np.array(chances)[at[going]]
        at[going] = np.where(good, at[going] + 1, 0)
        going = going[at[going] < len(chances)]
    error = balls.std() / np.sqrt(tries)
    expected = expected_balls(np.array(chances))
    assert balls.mean() == pytest.approx(expected, abs=4.5 * error + 1e-12)


@given(st.lists(st.floats(0.05, 1.0), min_size=1, max_size=8))
def test_a_streak_takes_at_least_its_length_and_order_matters_little(chances: list[float]) -> None:
    balls = expected_balls(np.array(chances))
    assert balls >= len(chances) - 1e-9
    # A hard station met first is cheaper than met last: less is lost by a miss.
    hardest_first = expected_balls(np.sort(chances))
    hardest_last = expected_balls(np.sort(chances)[::-1])
    assert hardest_first <= balls + 1e-6 * balls
    assert balls <= hardest_last + 1e-6 * hardest_last


def played(
    stroke: Stroke, distance_ft: float, aim_ft: float
) -> tuple[NDArray[np.bool_], NDArray[np.float64], NDArray[np.float64]]:
    """Whether balls drop, and where they would stop: along the line and across it, feet."""
    rng = np.random.default_rng(4)
    spread = stroke.pace * np.hypot(aim_ft, stroke.form.steady_ft)
    roll = np.maximum(rng.normal(aim_ft, spread, DRAWS), 0)
    angle = rng.normal(0, stroke.line_rad, DRAWS)
    on_line = np.abs(np.sin(angle)) * distance_ft < HOLE_RADIUS_FT - BALL_RADIUS_FT
    on_pace = (roll >= distance_ft) & (roll <= distance_ft + stroke.form.window_ft)
    return on_line & on_pace, roll * np.cos(angle), roll * np.sin(angle)


def check_station(scoring: Scoring, stroke: Stroke, distance_ft: float, chance: float) -> None:
    if scoring.target == "hole":
        holed, _, _ = played(stroke, distance_ft, distance_ft + stroke.form.overshoot_ft)
        assert holed.mean() == pytest.approx(chance, abs=SLACK)
    elif scoring.target == "past-window":
        window = float(scoring.window_ft or 0)
        _, along, across = played(stroke, distance_ft, distance_ft + window / 2)
        roll = np.hypot(along, across)
        inside = (roll >= distance_ft) & (roll <= distance_ft + window)
        assert inside.mean() == pytest.approx(chance, abs=SLACK)
    else:
        middle = distance_ft + scoring.beyond_ft
        holed, along, across = played(stroke, distance_ft, middle)
        inside = np.hypot(along - middle, across) <= float(scoring.radius_ft or 0)
        # The words say "drops, or stops inside". The program takes the larger of the two chances,
        # where the true one is that of either: at most 0.1 too low (small rings behind the hole).
        assert inside.mean() - SLACK <= chance
        either = (inside | holed).mean()
        assert either - 0.1 <= chance <= either + SLACK


@pytest.mark.parametrize("stroke", [TOUR, AMATEUR], ids=["tour", "amateur"])
@pytest.mark.parametrize(
    "drill", [d for d in CATALOGUE if d.scoring.type != "gate"], ids=lambda d: d.id
)
def test_chances_of_every_drill_by_playing(drill: Drill, stroke: Stroke) -> None:
    scoring = drill.scoring
    chances = station_chances(scoring, stroke)
    stations = set(zip(scoring.stations_ft, scoring.slopes, chances, strict=True))
    for distance_ft, slope, chance in stations:
        check_station(scoring, stroke.on_slope(GRADES[slope]), distance_ft, float(chance))


@pytest.mark.parametrize(
    "drill", [d for d in CATALOGUE if d.scoring.type == "gate"], ids=lambda d: d.id
)
def test_chances_of_every_gate_by_playing(drill: Drill) -> None:
    rng = np.random.default_rng(6)
    angle = rng.normal(0, TOUR.line_rad * START_LINE_SHARE, DRAWS)
    gate_ft, width_ft = float(drill.scoring.gate_ft or 0), float(drill.scoring.width_in or 0) / 12
    through = np.abs(gate_ft * np.tan(angle)) <= width_ft / 2 - BALL_RADIUS_FT
    chance = station_chances(drill.scoring, TOUR)[0]
    assert through.mean() == pytest.approx(chance, abs=SLACK)


@pytest.mark.parametrize("drill", CATALOGUE, ids=lambda d: d.id)
def test_a_mark_can_be_reached_and_is_no_gift(drill: Drill) -> None:
    tour, amateur = pass_mark(drill, TOUR), pass_mark(drill, AMATEUR)
    assert 0 < amateur.chance <= tour.chance <= 1
    if drill.scoring.type == "streak":
        # A tour stroke needs fewer balls, and never fewer than there are stations.
        assert len(drill.scoring.stations_ft) <= tour.balls <= amateur.balls
        assert (tour.successes, f"within {tour.balls} balls" in tour.text) == (None, True)
    else:
        assert tour.successes is not None and amateur.successes is not None
        assert 1 <= amateur.successes <= tour.successes <= tour.balls == drill.balls
        assert tour.text.startswith(f"{tour.successes} of {drill.balls}:")


def test_a_narrower_gate_and_a_smaller_circle_are_harder() -> None:
    def gate(width_in: float) -> float:
        scoring = Scoring("gate", "gate", 10, gate_ft=2.0, width_in=width_in, successes=8)
        return float(station_chances(scoring, AMATEUR)[0])

    def circle(radius_ft: float) -> float:
        scoring = Scoring("count", "circle", 10, (30.0,), ("level",), radius_ft=radius_ft)
        return float(station_chances(scoring, AMATEUR)[0])

    assert gate(1.8) < gate(2.0) < gate(3.0)
    assert circle(1.0) < circle(3.0) < circle(6.0)
    # No smaller than the ball itself: nothing passes.
    assert gate(1.68) == pytest.approx(0.0, abs=1e-9)
