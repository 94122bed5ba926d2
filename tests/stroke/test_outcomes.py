"""Tables of outcomes and what a stroke makes of them, against balls played by the physics."""

from __future__ import annotations

import numpy as np
import pytest

from sgputt.errors import SgputtError
from sgputt.physics.hole import play
from sgputt.physics.read import read_for
from sgputt.physics.roll import slope_ratio
from sgputt.putts.table import BREAKS, SLOPES
from sgputt.stroke import outcomes
from sgputt.stroke.expected import expected_grid
from sgputt.stroke.player import TOUR_STROKE, PuttingStroke
from sgputt.stroke.station import (
    Station,
    expected,
    gate_share,
    make_share,
    places_of,
    sample,
    stops,
    stops_between,
)

BALLS = 20_000


def test_the_words_run_as_the_tables_take_them() -> None:
    assert SLOPES == ("uphill", "level", "downhill", "unknown")
    assert BREAKS == ("left to right", "straight", "right to left", "unknown")


@pytest.mark.parametrize("length_ft", [2.0, 5.0, 10.0, 20.0, 40.0])
@pytest.mark.parametrize("direction_deg", [0.0, 60.0, 135.0, -90.0, 180.0])
def test_chances_and_leaves_are_those_of_balls_played(
    length_ft: float, direction_deg: float
) -> None:
    stroke = PuttingStroke(left_deg=0.4, less_left_to_right=0.2, long=-0.05)
    station = Station(length_ft, direction_deg=direction_deg, grade=0.025, stimp_ft=10.5)
    played = sample(stroke, station, BALLS, np.random.default_rng(3))
    found = stops(stroke, station)
    share = played.holed.mean()
    error = np.sqrt(share * (1 - share) / BALLS) + 1e-4
    assert found.holed == pytest.approx(share, abs=4 * error + 0.004)
    assert make_share(stroke, station) == pytest.approx(found.holed)
    assert found.holed + found.weight.sum() == pytest.approx(1.0)
    if share < 0.95:
        leave = np.hypot(played.past_ft, played.left_ft)[~played.holed]
        mean = found.weight @ np.hypot(found.past_ft, found.left_ft) / found.weight.sum()
        assert mean == pytest.approx(leave.mean(), rel=0.04)
        short = found.weight[found.past_ft < 0].sum()
        assert short == pytest.approx((~played.holed & (played.past_ft < 0)).mean(), abs=0.015)
        left = found.weight[found.left_ft > 0].sum()
        assert left == pytest.approx((~played.holed & (played.left_ft > 0)).mean(), abs=0.02)


def test_kept_tables_are_what_their_script_makes() -> None:
    kept = outcomes.kept_places(10.0)
    rows = np.arange(0, len(kept.length_ft), 97)
    some = kept.take(rows)
    again = outcomes.outcomes_from(some.length_ft, some.direction, some.grade, some.stimp_ft)
    for name in ("aim", "roll_ft", "low", "high"):
        assert np.allclose(getattr(again, name), getattr(some, name), rtol=1e-5, atol=2e-5), name


def test_a_mirror_changes_nothing_but_the_side() -> None:
    one = Station(8.0, direction_deg=70.0, grade=0.02)
    other = Station(8.0, direction_deg=-70.0, grade=0.02)
    pulled = PuttingStroke(left_deg=0.5, less_left_to_right=0.3)
    pushed = PuttingStroke(left_deg=-0.5, less_right_to_left=0.3)
    assert make_share(pulled, one) == pytest.approx(make_share(pushed, other), abs=1e-9)


def test_words_stand_for_a_mean_over_greens() -> None:
    straight = make_share(TOUR_STROKE, Station(8.0, bend="straight"))
    breaking = make_share(TOUR_STROKE, Station(8.0, bend="left to right"))
    unknown = make_share(TOUR_STROKE, Station(8.0))
    assert breaking < unknown < straight
    grid = expected_grid(TOUR_STROKE)
    at = int(np.flatnonzero(grid.length_ft == 8.0)[0])
    assert unknown == pytest.approx(grid.one_putt[at, 3, 3])
    steep = make_share(TOUR_STROKE, Station(8.0, bend="left to right", grade=0.04))
    assert steep < breaking


def test_pace_alone_and_a_gate_alone() -> None:
    stroke = PuttingStroke(pace=0.1, direction_deg=1.0, start_line_share=0.5)
    level = Station(20.0, direction_deg=0.0, grade=0.0, past_ft=1.0)
    # Normal: within a tenth of the 21 ft meant lies what lies within one standard deviation.
    assert stops_between(stroke, level, 1.0 - 2.1, 1.0 + 2.1) == pytest.approx(0.6827, abs=2e-3)
    assert gate_share(stroke, 0.5) == pytest.approx(0.6827, abs=1e-4)
    short = PuttingStroke(pace=0.1, long=-0.1)
    assert stops_between(short, level, -30.0, -1.1) == pytest.approx(0.5, abs=2e-3)


def test_expected_putts_are_those_of_holes_played_out() -> None:
    rng = np.random.default_rng(11)
    stroke = PuttingStroke(direction_deg=1.4, pace=0.11)
    count, at = 20_000, 18
    kept = outcomes.kept_places(10.0)
    rows = np.flatnonzero((kept.length_ft == outcomes.LENGTHS_FT[at]) & (kept.grade == 0.02))
    row = int(rows[3])
    length, toward = np.full(count, kept.length_ft[row]), np.full(count, kept.direction[row])
    putts = 0
    for _ in range(6):
        sent = _send(stroke, length, toward)
        angle = sent.angle + sent.angle_spread * rng.normal(size=len(length))
        roll = sent.roll_ft + sent.roll_spread_ft * rng.normal(size=len(length))
        done = play(length, toward, angle, roll, slope_ratio(0.02, 10.0), 10.0)
        putts += len(length)
        left = ~done.holed
        leave = np.hypot(done.past_ft, done.left_ft)[left]
        toward = toward[left] + np.arctan2(-done.left_ft[left], -done.past_ft[left])
        length = np.maximum(leave, 0.3)
        if not len(length):
            break
    found = expected(stroke).by_place.reshape(-1)[row]
    assert found == pytest.approx(putts / count, abs=0.015)


def _send(stroke: PuttingStroke, length: np.ndarray, toward: np.ndarray) -> outcomes.Delivered:
    """What a stroke sends off, from exact reads rather than tables."""
    k = slope_ratio(0.02, 10.0)
    read = read_for(length[:, None], toward[:, None], k, outcomes.PAST_FT)
    none = np.zeros((len(length), 1))
    grade, stimp = np.full(len(length), 0.02), np.full(len(length), 10.0)
    turned = np.arctan2(np.sin(toward), np.cos(toward))
    places = outcomes.Outcomes(length, turned, grade, stimp, read.aim, read.roll_ft, none, none)
    return stroke.send(places)


@pytest.mark.parametrize(
    ("station", "words"),
    [
        (Station(0.2), "0.2 ft is out of range"),
        (Station(8.0, slope="sideways"), "no 'sideways' putt"),
        (Station(8.0, direction_deg=90.0), "without a grade"),
        (Station(8.0, direction_deg=0.0, grade=0.2), "does not stop"),
    ],
)
def test_a_station_that_cannot_be_is_refused(station: Station, words: str) -> None:
    with pytest.raises(SgputtError, match=words):
        places_of(station)
