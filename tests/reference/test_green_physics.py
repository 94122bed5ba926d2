"""The physics inside the stroke model, got back out of the code and held to its sources."""

from __future__ import annotations

import numpy as np
import pytest

from sgputt.reference import read_table, read_values
from sgputt.stroke import green
from sgputt.stroke.green import capture_reach_ft, level_deceleration, roll_ratio, sloped_pace

VALUES = read_values("green_physics")
GRADE = 0.02


def implied_deceleration(grade: float, stimp_ft: float) -> float:
    """Deceleration in m/s^2 along a grade that the code must have used for its pace spread.

    From spread^2 = technique + rest (level / a)^2 and a = level + (5/7) g grade, both sources'
    forms: the two are solved for ``a``.
    """
    technique = VALUES["variance_share_technique"]
    rest = VALUES["variance_share_reading"] + VALUES["variance_share_green"]
    level_over_a = np.sqrt((sloped_pace(1.0, grade, stimp_ft) ** 2 - technique) / rest)
    pull = VALUES["roll_factor"] * 9.81 * grade
    return float(pull / (1 - level_over_a))


def test_constants_are_those_of_the_sources() -> None:
    # Karlsen & Nilsson 2008 (abstract seen); stimpmeter and Penner 2002, second hand.
    assert VALUES["variance_share_technique"] == green.TECHNIQUE_SHARE
    reading_and_green = VALUES["variance_share_reading"] + VALUES["variance_share_green"]
    assert pytest.approx(reading_and_green) == green.READING_AND_GREEN_SHARE
    assert VALUES["release_speed_m_s"] == green.RELEASE_SPEED_M_S
    assert pytest.approx(VALUES["roll_factor"], abs=1e-6) == green.ROLLING_FACTOR


@pytest.mark.parametrize("stimp_ft", [8, 9, 10, 11, 12])
def test_level_deceleration_by_green_speed(stimp_ft: int) -> None:
    # Worked out from a = v^2 / (2 S), three digits; g = 9.81 m/s^2.
    level = implied_deceleration(GRADE, stimp_ft) - VALUES["roll_factor"] * 9.81 * GRADE
    worked_out = VALUES[f"deceleration_stimp_{stimp_ft}_m_s2"]
    assert level == pytest.approx(worked_out, abs=0.00055)
    assert level_deceleration(stimp_ft) == pytest.approx(worked_out, abs=0.00055)


@pytest.mark.parametrize("stimp_ft", [8.0, 10.957, 12.0])
def test_up_and_down_readings_give_back_the_level_one(stimp_ft: float) -> None:
    # Brede 1990 (formula seen): S = 2 up down / (up + down). With Penner's decelerations along the
    # slope it is exact, so the two sources and the code must agree.
    up, down = (
        VALUES["release_speed_m_s"] ** 2 / (2 * implied_deceleration(grade, stimp_ft)) / 0.3048
        for grade in (GRADE, -GRADE)
    )
    assert down > stimp_ft > up
    assert 2 * up * down / (up + down) == pytest.approx(stimp_ft, rel=1e-4)


@pytest.mark.parametrize("grade", [-0.03, -0.01, 0.0, 0.02, 0.05])
def test_rolls_up_and_down_are_one_over_their_decelerations(grade: float) -> None:
    # Penner 2002, second hand: a = a_level + (5/7) g grade; the same speed rolls 1 / a far.
    level = VALUES["deceleration_stimp_10_m_s2"]
    along = level + VALUES["roll_factor"] * 9.81 * grade
    assert roll_ratio(grade, 10.0) == pytest.approx(level / along, rel=2e-3)
    # Brede 1990 once more: the harmonic mean of the two rolls is the level one.
    up, down = roll_ratio(abs(grade), 10.0), roll_ratio(-abs(grade) / 2, 10.0)
    assert 1 / up - 1 == pytest.approx(-2 * (1 / down - 1), abs=1e-12)


def test_how_far_past_the_hole_takes_a_ball() -> None:
    # Holmes 1991, second hand: 1.63 m/s in the middle; roll D = S (v / 1.83)^2, so 0.79 S feet.
    share = (VALUES["capture_speed_max_m_s"] / VALUES["release_speed_m_s"]) ** 2
    assert capture_reach_ft(0.0, 10.0) == pytest.approx(10 * share)
    by_physics = VALUES["capture_speed_max_m_s"] ** 2 / (2 * VALUES["deceleration_stimp_10_m_s2"])
    assert capture_reach_ft(0.0, 10.0) == pytest.approx(by_physics / 0.3048, rel=2e-3)
    assert capture_reach_ft(-0.02) > capture_reach_ft(0.0) > capture_reach_ft(0.02)


def test_worked_figures_of_the_sloped_green_formula() -> None:
    # Worked out, three decimals; the file's names carry the readings.
    rows = read_table("green_physics").rows(named=True)
    for row in rows:
        if row["name"].startswith("sloped_stimp_"):
            up, down = (float(part) for part in row["name"].split("_")[2:4])
            assert 2 * up * down / (up + down) == pytest.approx(row["value"], abs=0.0005)


def test_the_release_speed_is_the_same_in_both_units() -> None:
    assert VALUES["release_speed_m_s"] / 0.3048 == pytest.approx(
        VALUES["release_speed_ft_s"], abs=0.005
    )
