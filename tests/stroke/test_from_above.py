"""A putt seen from above: the drawn line is the one that goes in, the drawn balls the player's."""

from __future__ import annotations

import numpy as np
import pytest

from sgputt.stroke.from_above import putt_from_above
from sgputt.stroke.player import TOUR_STROKE, PuttingStroke
from sgputt.stroke.station import Station

ACROSS = Station(10.0, direction_deg=90.0, grade=0.02)


@pytest.mark.parametrize("turn", [0.0, 45.0, 90.0, -120.0, 180.0])
def test_the_perfect_line_starts_at_the_ball_and_passes_over_the_middle_of_the_hole(
    turn: float,
) -> None:
    view = putt_from_above(TOUR_STROKE, Station(10.0, direction_deg=turn, grade=0.02))
    right, past = view.perfect.T
    assert (right[0], past[0]) == pytest.approx((0.0, -10.0), abs=1e-6)
    assert np.interp(0.0, past, right) == pytest.approx(0.0, abs=0.02)
    meant = TOUR_STROKE.past_ft(np.array([10.0]))[0]
    assert np.hypot(right[-1], past[-1]) == pytest.approx(meant, abs=0.01)


def test_a_ball_that_breaks_left_to_right_starts_left_of_the_hole() -> None:
    right, past = putt_from_above(TOUR_STROKE, ACROSS).perfect.T
    assert np.interp(-5.0, past, right) < -0.1
    mirrored = putt_from_above(TOUR_STROKE, Station(10.0, direction_deg=-90.0, grade=0.02))
    assert np.interp(-5.0, *mirrored.perfect.T[::-1]) > 0.1


def test_without_habits_the_usual_ball_takes_the_perfect_line() -> None:
    view = putt_from_above(TOUR_STROKE, ACROSS)
    assert view.usual == pytest.approx(view.perfect, abs=0.02)


def test_too_little_break_goes_low() -> None:
    """Under-reading shows on the low side of the line, in the usual ball and in the misses."""
    low = putt_from_above(PuttingStroke(less_left_to_right=0.5), ACROSS)
    right, past = low.usual.T
    assert np.interp(0.0, past, right) > 0.3
    assert np.mean(low.stops[:, 0] > 0) > 0.85
    assert low.make < putt_from_above(TOUR_STROKE, ACROSS).make


def test_balls_are_holed_as_often_as_the_chance_says_and_the_same_each_time() -> None:
    view, again = (putt_from_above(TOUR_STROKE, ACROSS, 2000) for _ in range(2))
    assert 1 - len(view.stops) / 2000 == pytest.approx(view.make, abs=0.04)
    assert np.array_equal(view.stops, again.stops)


def test_a_station_of_words_has_no_one_line() -> None:
    with pytest.raises(ValueError, match="direction_deg"):
        putt_from_above(TOUR_STROKE, Station(10.0, "uphill"))
