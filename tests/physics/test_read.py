"""The perfect read, and what the hole takes."""

from __future__ import annotations

import numpy as np
import pytest

from sgputt.physics.hole import HOLE_RADIUS_FT, capture_speed, play
from sgputt.physics.read import perfect_read
from sgputt.physics.roll import RELEASE_SPEED_FT_S, level_deceleration, slope_ratio

ACROSS = np.pi / 2


@pytest.mark.parametrize(
    ("length_ft", "grades", "inches"),
    [
        (6, (0.01, 0.02, 0.03, 0.04), (3.1, 6.4, 10.0, 14.2)),
        (10, (0.01, 0.02, 0.03), (5.9, 12.0, 18.7)),
        (20, (0.01, 0.02, 0.03), (13.1, 26.7, 41.7)),
    ],
)
def test_break_across_a_slope(
    length_ft: float, grades: tuple[float, ...], inches: tuple[float, ...]
) -> None:
    # Worked out on an independent simulation, to a tenth of an inch: stimp 10, 1 ft past.
    found = perfect_read(length_ft, ACROSS, np.array(grades), 10.0, 1.0).break_in
    assert np.abs(found - inches).max() < 0.06


def test_break_by_direction() -> None:
    # As above: 6 ft and 2 %, from straight downhill to straight uphill by 30 degrees.
    found = perfect_read(6.0, np.radians(np.arange(0, 181, 30)), 0.02, 10.0, 1.0).break_in
    assert np.abs(found - (0, 4.1, 6.4, 6.4, 4.8, 2.5, 0)).max() < 0.06


def some_putts(count: int) -> tuple[np.ndarray, ...]:
    rng = np.random.default_rng(5)
    return (
        rng.uniform(1, 60, count),
        rng.uniform(-np.pi, np.pi, count),
        rng.uniform(0, 0.035, count),
        rng.uniform(8, 12, count),
        rng.uniform(0.1, 2.5, count),
    )


def test_a_perfect_read_passes_the_middle_and_stops_as_far_past_as_asked() -> None:
    length, direction, grade, stimp, past = some_putts(2000)
    line = perfect_read(length, direction, grade, stimp, past)
    done = play(length, direction, line.aim, line.roll_ft, slope_ratio(grade, stimp), stimp)
    assert np.abs(done.passed_left_ft).max() < 1e-4
    assert np.abs(np.hypot(done.past_ft, done.left_ft) - past).max() < 1e-6
    assert done.holed.all()
    mirrored = perfect_read(length, -direction, grade, stimp, past)
    assert np.allclose(mirrored.aim, -line.aim)
    assert np.all(np.sign(line.break_in[grade > 0.001]) == np.sign(direction[grade > 0.001]))


def test_on_the_level_the_hole_takes_what_holmes_and_penner_say() -> None:
    # Greatest speed 1.63 m/s in the middle, 1.63 (1 - (x/R)^2) at x from it (both second hand).
    stimp, length = 10.0, 8.0
    slow = level_deceleration(stimp)
    offsets = np.linspace(0, 0.95, 12) * HOLE_RADIUS_FT
    limit = capture_speed(offsets)
    aim = np.arcsin(offsets / length)
    to_hole = length * np.cos(aim)
    for share, holed in ((0.99, True), (1.01, False)):
        roll = to_hole + (share * limit) ** 2 / (2 * slow)
        # A ball off the middle and slower than any capture would die over the hole: not that here.
        far = roll > length + HOLE_RADIUS_FT
        done = play(length, 0.0, aim, roll, 0.0, stimp)
        assert (done.holed[far] == holed).all()
    most = 10.0 * (1.63 / 1.83) ** 2
    assert play(length, 0.0, 0.0, length + most - 0.05, 0.0, stimp).holed
    assert not play(length, 0.0, 0.0, length + most + 0.05, 0.0, stimp).holed
    assert pytest.approx(6.0, abs=0.01) == RELEASE_SPEED_FT_S


def test_a_ball_that_stops_over_the_hole_drops_and_one_short_of_it_does_not() -> None:
    length = 12.0
    over = play(length, ACROSS, 0.0, length - 0.9 * HOLE_RADIUS_FT, 0.0, 10.0)
    short = play(length, ACROSS, 0.0, length - 1.1 * HOLE_RADIUS_FT, 0.0, 10.0)
    assert bool(over.holed) and not bool(short.holed)
    assert float(short.past_ft) == pytest.approx(-1.1 * HOLE_RADIUS_FT)


@pytest.mark.parametrize("middle_deg", [45, 60, 75, 90, 105, 120, 135])
def test_putts_of_one_length_share_a_target_on_the_fall_line(middle_deg: float) -> None:
    # Grober, R. D. (2011) "The geometry of putting on a planar surface", arXiv:1106.1698, abstract
    # seen: putts of one length within 30 degrees share one target point above the hole, and all
    # round the circle these points make a small diamond. No figures seen, so the bounds are ours:
    # at 10 ft and 2 % the lines of aim pass within 0.3 in of one point, which lies 11
    # to 14.5 in above the hole and at most 2 in beside the fall line.
    places = np.radians(middle_deg + np.linspace(-30, 30, 13))
    length = 10.0
    heading = places + perfect_read(length, places, 0.02, 10.0, 1.0).aim
    across_line = np.stack([-np.sin(heading), np.cos(heading)], axis=1)
    balls = -length * np.stack([np.cos(places), np.sin(places)], axis=1)
    target, *_ = np.linalg.lstsq(across_line, (across_line * balls).sum(axis=1))
    off = (across_line * (balls - target)).sum(axis=1)
    assert 12 * np.abs(off).max() < 0.3
    assert 11 < 12 * -target[0] < 14.5
    assert 12 * abs(target[1]) < 2
