"""The stroke model against playing it out: directly drawn strokes, and the shape of its forms."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from sgputt.stroke import green, model
from sgputt.stroke.chain import GRID_FT, chain, leave_operator
from sgputt.stroke.green import sloped_pace
from sgputt.stroke.model import PUBLISHED_TOUR, Array, Stroke, make_share, miss_leaves

DRAWS = 400_000
# Standard errors allowed: with some thirty figures compared, 4.5 fail by luck once in 5,000 runs,
# and the seed is fixed.
SIGMAS = 4.5
STROKES = [
    Stroke(),
    PUBLISHED_TOUR,
    Stroke(float(np.radians(1.6)), 0.12),
    Stroke().on_slope(-0.025),
]
NAMES = ["tour", "published", "amateur", "downhill"]
LENGTHS_FT = [1.0, 3.0, 8.0, 25.0, 60.0]


def play(stroke: Stroke, distance_ft: float) -> tuple[NDArray[np.bool_], Array]:
    """Whether each of many balls drops, and how far from the hole it would stop."""
    rng = np.random.default_rng(11)
    angle = rng.normal(0, stroke.line_rad, DRAWS)
    aimed = distance_ft + stroke.form.overshoot_ft
    spread = stroke.pace * np.sqrt(aimed**2 + stroke.form.steady_ft**2)
    roll = np.maximum(rng.normal(aimed, spread, DRAWS), 0)
    room = model.HOLE_RADIUS_FT - model.BALL_RADIUS_FT
    on_line = (np.abs(np.sin(angle)) * distance_ft < room) & (np.abs(angle) < np.pi / 2)
    on_pace = (roll >= distance_ft) & (roll <= distance_ft + stroke.form.window_ft)
    stops = roll[:, None] * np.column_stack([np.cos(angle), np.sin(angle)])
    return on_line & on_pace, np.hypot(stops[:, 0] - distance_ft, stops[:, 1])


@pytest.mark.parametrize("distance_ft", LENGTHS_FT)
@pytest.mark.parametrize("stroke", STROKES, ids=NAMES)
def test_make_share_and_leaves_by_playing(stroke: Stroke, distance_ft: float) -> None:
    dropped, leave = play(stroke, distance_ft)
    share = make_share(stroke, np.array([distance_ft]))[0]
    error = np.sqrt(share * (1 - share) / DRAWS)
    assert dropped.mean() == pytest.approx(share, abs=SIGMAS * error + 1e-9)

    missed = leave[~dropped]
    left, weight = (values[0] for values in miss_leaves(stroke, np.array([distance_ft])))
    count = len(missed)
    if count < 1000:
        assert share > 0.99
        return
    mean = float(weight @ left)
    assert missed.mean() == pytest.approx(mean, abs=SIGMAS * missed.std() / np.sqrt(count))
    for limit in (mean / 2, mean, 2 * mean):
        chance = float(weight[left <= limit].sum())
        # 24 nodes a part: the step where the leave crosses the limit is worth about 0.02.
        slack = SIGMAS * np.sqrt(0.25 / count) + 0.02
        assert np.mean(missed <= limit) == pytest.approx(chance, abs=slack)


@pytest.mark.parametrize("stroke", STROKES, ids=NAMES)
def test_weights_of_leaves_are_probabilities(stroke: Stroke) -> None:
    leave, weight = miss_leaves(stroke, GRID_FT)
    assert (weight >= 0).all()
    assert (leave >= 0).all()
    assert weight.sum(axis=1) == pytest.approx(1.0)


@pytest.mark.parametrize("stroke", STROKES, ids=NAMES)
def test_rows_of_the_leave_operator_are_probabilities(stroke: Stroke) -> None:
    operator = leave_operator(stroke)
    assert operator.shape == (len(GRID_FT), len(GRID_FT))
    assert (operator >= -1e-15).all()
    assert operator.sum(axis=1) == pytest.approx(1.0)


def test_the_leave_operator_keeps_the_mean_leave() -> None:
    # Linear sharing between grid points keeps a mean, where all leaves lie inside the grid.
    distance = GRID_FT[GRID_FT >= 20]
    leave, weight = miss_leaves(Stroke(), distance)
    inside = np.clip(leave, GRID_FT[0], GRID_FT[-1])
    operator = leave_operator(Stroke())[GRID_FT >= 20]
    assert operator @ GRID_FT == pytest.approx((inside * weight).sum(axis=1))


def test_the_chain_is_what_playing_holes_out_gives() -> None:
    rng = np.random.default_rng(5)
    stroke, holes, start = Stroke(), 60_000, 20.0
    form = stroke.form
    distance, putts = np.full(holes, start), np.zeros(holes)
    left = np.arange(holes)
    while len(left):
        putts[left] += 1
        here = np.maximum(distance[left], GRID_FT[0])
        angle = rng.normal(0, stroke.line_rad, len(left))
        aimed = here + form.overshoot_ft
        spread = stroke.pace * np.hypot(aimed, form.steady_ft)
        roll = np.maximum(rng.normal(aimed, spread), 0)
        room = model.HOLE_RADIUS_FT - model.BALL_RADIUS_FT
        holed = (
            (np.abs(np.sin(angle)) * here < room) & (roll >= here) & (roll <= here + form.window_ft)
        )
        distance[left] = np.hypot(roll * np.cos(angle) - here, roll * np.sin(angle))
        left = left[~holed]
    solved, at = chain(stroke), int(np.flatnonzero(start == GRID_FT)[0])
    # The grid's half feet cost up to 0.002 putts beside the sampling error.
    slack = SIGMAS * putts.std() / np.sqrt(holes) + 0.002
    assert putts.mean() == pytest.approx(solved.expected_putts[at], abs=slack)
    assert np.mean(putts >= 3) == pytest.approx(solved.three_putt[at], abs=0.004)


def test_a_chain_of_measured_makes_uses_them() -> None:
    makes = np.linspace(0.99, 0.01, len(GRID_FT))
    solved = chain(Stroke(), makes)
    assert (solved.one_putt == makes).all()
    left = leave_operator(Stroke()) @ solved.expected_putts
    assert solved.expected_putts == pytest.approx(1 + (1 - makes) * left)


@given(st.floats(0.001, 0.1), st.floats(0.01, 0.3), st.floats(0.2, 90.0), st.floats(0.01, 10.0))
def test_makes_fall_with_length_and_with_spread(
    line_rad: float, pace: float, distance_ft: float, more_ft: float
) -> None:
    stroke = Stroke(line_rad, pace)
    near, far = make_share(stroke, np.array([distance_ft, distance_ft + more_ft]))
    assert 0 <= far <= near <= 1
    wilder = make_share(Stroke(line_rad * 1.1, pace), np.array([distance_ft]))[0]
    assert wilder <= near + 1e-12


@given(st.floats(-0.03, 0.08), st.floats(0.0005, 0.02), st.floats(7.0, 13.0))
def test_pace_spread_grows_downhill(grade: float, steeper: float, stimp_ft: float) -> None:
    down = sloped_pace(0.08, grade - steeper, stimp_ft) if grade - steeper > -0.045 else np.inf
    assert down > sloped_pace(0.08, grade, stimp_ft)


@given(st.floats(0.01, 0.03), st.floats(7.0, 12.0), st.floats(0.1, 1.0))
def test_a_faster_green_widens_downhill_and_narrows_uphill(
    grade: float, stimp_ft: float, faster: float
) -> None:
    slow, fast = stimp_ft, stimp_ft + faster
    assert sloped_pace(0.08, -grade, fast) > sloped_pace(0.08, -grade, slow)
    assert sloped_pace(0.08, grade, fast) < sloped_pace(0.08, grade, slow)


def test_the_level_changes_nothing_and_technique_stays() -> None:
    assert sloped_pace(0.08, 0.0) == pytest.approx(0.08)
    # However steep uphill, the share of technique is left.
    assert sloped_pace(0.08, 1000.0) == pytest.approx(
        0.08 * np.sqrt(green.TECHNIQUE_SHARE), rel=1e-3
    )


def test_a_ball_that_would_never_stop_is_refused() -> None:
    with pytest.raises(ValueError, match=r"does not stop on a grade of -10.0% at stimp 12 ft"):
        sloped_pace(0.08, -0.10, 12.0)
