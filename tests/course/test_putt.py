"""What ``putt`` says, against hand work, an integration of the motion, and balls played."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from sgputt.course.plane import PACES_FT, Plane
from sgputt.course.putt import HOLE_IN, LIES, SlopedPutt, best_pace, sloped_putts
from sgputt.errors import SgputtError
from sgputt.physics.roll import BallRollsOnError
from sgputt.stroke.outcomes import mirrored
from sgputt.stroke.player import TOUR_STROKE, PuttingStroke
from tests.course.by_hand import putts_to_hole_out

WIDE = PuttingStroke(direction_deg=1.6, read=0.35, pace=0.12)


def by_lie(putts: list[SlopedPutt]) -> dict[int, SlopedPutt]:
    return {int(putt.direction_deg): putt for putt in putts}


def test_on_the_level_every_side_is_alike_and_a_roll_is_length_and_pace() -> None:
    putts = sloped_putts([8.0], grade=0.0, past_ft=1.5)
    assert [putt.direction_deg for putt in putts] == list(LIES)
    for putt in putts:
        assert putt.break_in == pytest.approx(0, abs=1e-6)
        assert putt.level_roll_ft == pytest.approx(9.5, rel=1e-6)
        assert putt.longer_ft == pytest.approx(0, abs=1e-5)
        assert putt.make == pytest.approx(putts[0].make, abs=1e-9)
        assert putt.expected_putts == pytest.approx(putts[0].expected_putts, abs=1e-9)


def test_straight_up_and_down_by_hand() -> None:
    """A ball on a grade g along its line rolls ``a / (a -+ (5/7) 9.81 g)`` of a level roll."""
    level = 1.83**2 / (2 * 10 * 0.3048)
    pull = 5 / 7 * 9.81 * 0.02 / np.hypot(1, 0.02)
    found = by_lie(sloped_putts([10.0], grade=0.02, past_ft=1.0))
    assert found[0].level_roll_ft == pytest.approx(11 * (1 - pull / level), rel=1e-6)
    assert found[180].level_roll_ft == pytest.approx(11 * (1 + pull / level), rel=1e-6)
    assert found[0].longer_ft < 0 < found[180].longer_ft
    assert found[0].break_in == pytest.approx(0, abs=1e-4)


def test_breaks_are_those_of_an_independent_simulation() -> None:
    # Worked out on another simulator, to a tenth of an inch: across, stimp 10, 2 %, 1 ft past.
    found = [by_lie(sloped_putts([ft], past_ft=1.0))[90] for ft in (6.0, 10.0, 20.0)]
    assert [putt.break_in for putt in found] == pytest.approx([6.4, 12.0, 26.7], abs=0.06)
    assert found[0].break_cups == pytest.approx(found[0].break_in / 4.25)
    assert pytest.approx(4.25) == HOLE_IN


@pytest.mark.parametrize("lie", [45, 90, 135])
@pytest.mark.parametrize(("grade", "stimp_ft"), [(0.02, 10.0), (0.03, 12.0)])
def test_line_and_pace_against_an_integration_of_the_motion(
    lie: int, grade: float, stimp_ft: float
) -> None:
    """SciPy: struck along the break at that speed, a ball crosses the hole and stops past it."""
    putt = by_lie(sloped_putts([12.0], stimp_ft=stimp_ft, grade=grade, past_ft=1.0))[lie]
    slows = 1.83**2 / (2 * stimp_ft * 0.3048)
    pull = 5 / 7 * 9.81 * grade / np.hypot(1, grade)
    toward, metre = np.radians(lie), 0.3048
    start = toward + np.arctan(putt.break_in / 12 / putt.distance_ft)
    speed = np.sqrt(2 * slows * putt.level_roll_ft * metre)

    def motion(_: float, now: np.ndarray) -> list[float]:
        fast = np.hypot(now[2], now[3])
        return [now[2], now[3], pull - slows * now[2] / fast, -slows * now[3] / fast]

    def nearly_stopped(_: float, now: np.ndarray) -> float:
        return float(np.hypot(now[2], now[3]) - 1e-4)

    nearly_stopped.terminal = True  # type: ignore[attr-defined]
    first = [0, 0, speed * np.cos(start), speed * np.sin(start)]
    way = solve_ivp(motion, (0, 30), first, events=nearly_stopped, rtol=1e-9, atol=1e-10)
    fine = solve_ivp(
        motion, (0, way.t[-1]), first, rtol=1e-9, atol=1e-10, t_eval=np.linspace(0, way.t[-1], 9001)
    )
    hole = putt.distance_ft * metre * np.array([np.cos(toward), np.sin(toward)])
    off = np.hypot(fine.y[0] - hole[0], fine.y[1] - hole[1])
    assert off.min() < 0.003
    assert off[-1] / metre == pytest.approx(putt.past_ft, abs=0.01)


@pytest.mark.parametrize(
    ("stroke", "length_ft", "lie", "grade", "stimp_ft"),
    [
        (TOUR_STROKE, 8.0, 90, 0.02, 10.0),
        (TOUR_STROKE, 20.0, 0, 0.025, 11.0),
        (WIDE, 5.0, 135, 0.03, 9.0),
        (WIDE, 35.0, 45, 0.015, 12.5),
        (WIDE, 15.0, 180, 0.03, 7.0),
        (WIDE, 10.0, 45, 0.0, 10.0),
    ],
)
def test_chances_and_putts_against_balls_played_to_the_end(
    stroke: PuttingStroke, length_ft: float, lie: int, grade: float, stimp_ft: float
) -> None:
    putt = by_lie(sloped_putts([length_ft], stroke, stimp_ft, grade))[lie]
    played = putts_to_hole_out(stroke, length_ft, lie, grade, stimp_ft, 20_000, seed=11)
    assert putt.make == pytest.approx(float(np.mean(played == 1)), abs=0.012)
    assert putt.expected_putts == pytest.approx(float(played.mean()), abs=0.02)


def test_best_pace_takes_no_more_putts_than_its_neighbours() -> None:
    for lie in (0, 90, 180):
        best = by_lie(sloped_putts([8.0], WIDE))[lie].best_past_ft
        least, *others = (
            by_lie(sloped_putts([8.0], WIDE, past_ft=past))[lie].expected_putts
            for past in (best, best - 0.5, best + 0.5)
        )
        assert least <= min(others)
    dip = (PACES_FT[:, None] - 1.1) ** 2
    assert [each.item() for each in best_pace(dip)] == pytest.approx([1.1, 0.0])


def test_a_habit_of_one_break_shows_on_its_side_only() -> None:
    putt = by_lie(sloped_putts([10.0], PuttingStroke(less_left_to_right=0.5)))[90]
    straight = by_lie(sloped_putts([10.0], PuttingStroke()))[90]
    assert putt.make_left_to_right < putt.make_right_to_left - 0.05
    assert putt.make_right_to_left == pytest.approx(straight.make)
    assert putt.make == pytest.approx((putt.make_left_to_right + putt.make_right_to_left) / 2)


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"lengths_ft": [0.2]}, "putt of 0.2 ft"),
        ({"lengths_ft": [8.0, 300.0]}, "putt of 300 ft"),
        ({"stimp_ft": 3.0}, "green speed of 3 ft"),
        ({"grade": 0.3}, "grade of 30 %"),
        ({"past_ft": 9.0}, "pace of 9 ft"),
    ],
)
def test_what_no_green_has_is_refused(asked: dict[str, float], said: str) -> None:
    with pytest.raises(SgputtError, match=said):
        sloped_putts(**{"lengths_ft": [8.0], **asked})  # type: ignore[arg-type]


def test_where_a_ball_does_not_stop_is_said() -> None:
    with pytest.raises(BallRollsOnError, match="does not stop"):
        sloped_putts([8.0], stimp_ft=13.0, grade=0.07)


@pytest.mark.parametrize("lie", [45, 90, 135])
def test_where_one_pace_drops_along_two_lines(lie: int) -> None:
    """Steep and fast, a ball may go straight at the hole or over the top and back down."""
    putt = by_lie(sloped_putts([8.0], stimp_ft=12.0, grade=0.044))[lie]
    played = putts_to_hole_out(TOUR_STROKE, 8.0, lie, 0.044, 12.0, 20_000, seed=2)
    assert putt.make == pytest.approx(float(np.mean(played == 1)), abs=0.012)
    assert putt.expected_putts == pytest.approx(float(played.mean()), abs=0.025)


@pytest.mark.parametrize("grade", [0.02, 0.04])
def test_both_sides_of_the_fall_line_are_each_played_as_they_are(grade: float) -> None:
    """On a usual slope, and on one on which a pace may drop along two lines."""
    stroke = PuttingStroke(less_left_to_right=0.4, left_deg=0.5)
    plane = Plane(stroke, grade, 12.0)
    places = plane.places([6.0, 12.0], [60.0, 120.0])
    past = np.array([[0.5], [2.0]])
    for both, side in zip(
        plane.play_both(places, past),
        (places, mirrored(places, np.ones(2, dtype=bool))),
        strict=True,
    ):
        alone = plane.play(side, past)
        assert both.make == pytest.approx(alone.make, abs=1e-6)
        assert both.putts == pytest.approx(alone.putts, abs=1e-6)
