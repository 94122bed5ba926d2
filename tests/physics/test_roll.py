"""The closed form of a roll against SciPy's integration of the equation of motion."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from sgputt.physics import hole, read, roll
from sgputt.reference import read_values

PUBLISHED = read_values("green_physics.csv")


def integrated(angle: float, speed: float, grade: float, stimp_ft: float) -> np.ndarray:
    """Places on the way of a ball and where it stops, by Runge-Kutta, the fall line first."""
    slow = float(roll.level_deceleration(stimp_ft))
    pull = float(roll.slope_ratio(grade, stimp_ft)) * slow

    def motion(_: float, at: np.ndarray) -> list[float]:
        v = np.hypot(at[2], at[3])
        return [at[2], at[3], -slow * at[2] / v + pull, -slow * at[3] / v]

    def slow_enough(_: float, at: np.ndarray) -> float:
        return float(np.hypot(at[2], at[3]) - 1e-4)

    slow_enough.terminal = True  # type: ignore[attr-defined]
    start = [0.0, 0.0, speed * np.cos(angle), speed * np.sin(angle)]
    done = solve_ivp(
        motion, (0, 200), start, events=slow_enough, rtol=1e-10, atol=1e-10, max_step=0.05
    )
    return np.asarray(done.y)


@pytest.mark.parametrize("angle_deg", [0, 25, 90, 140, 179, -60])
@pytest.mark.parametrize(("grade", "stimp_ft"), [(0.0, 10.0), (0.02, 10.0), (0.04, 12.0)])
def test_stop_and_path_agree_with_the_integration(
    angle_deg: float, grade: float, stimp_ft: float
) -> None:
    speed, angle = 7.0, np.radians(angle_deg)
    path = integrated(float(angle), speed, grade, stimp_ft)
    k = roll.slope_ratio(grade, stimp_ft)
    length = speed**2 / (2 * roll.level_deceleration(stimp_ft))
    down, across = roll.stop(angle, k)
    assert length * down == pytest.approx(path[0, -1], abs=2e-4)
    assert length * across == pytest.approx(path[1, -1], abs=2e-4)
    # Half-way in the integration: that place lies on the path, with that speed and direction.
    at = path[:, path.shape[1] // 2]
    phases = np.linspace(1e-6, 1, 200_001)
    down, across = roll.position(angle, phases, k)
    gap = np.hypot(length * down - at[0], length * across - at[1])
    nearest = int(gap.argmin())
    assert gap[nearest] < 5e-4
    angle_there, share = roll.velocity(angle, phases[nearest], k)
    assert speed * np.sqrt(share) == pytest.approx(np.hypot(at[2], at[3]), rel=1e-3)
    turned = float(np.arctan2(at[3], at[2]))
    assert np.cos(angle_there - turned) == pytest.approx(1.0, abs=1e-6)


def test_constants_are_those_of_the_reference_data() -> None:
    assert pytest.approx(PUBLISHED["release_speed_m_s"]) == roll.RELEASE_SPEED_FT_S * 0.3048
    assert pytest.approx(PUBLISHED["roll_factor"], abs=1e-6) == roll.ROLLING_FACTOR
    assert pytest.approx(PUBLISHED["capture_speed_max_m_s"]) == hole.CAPTURE_SPEED_FT_S * 0.3048


@pytest.mark.parametrize("stimp", [8, 9, 10, 11, 12])
def test_a_stimpmeter_roll_on_the_level_goes_its_reading(stimp: int) -> None:
    # Worked out in reference data from v = 1.83 m/s, second hand.
    slow = float(roll.level_deceleration(stimp))
    assert slow * 0.3048 == pytest.approx(PUBLISHED[f"deceleration_stimp_{stimp}_m_s2"], abs=6e-4)
    assert roll.RELEASE_SPEED_FT_S**2 / (2 * slow) == pytest.approx(stimp)
    down, across = roll.stop(1.0, 0.0)
    assert np.hypot(down, across) == pytest.approx(1.0)


@pytest.mark.parametrize("grade", [0.005, 0.01, 0.02])
def test_up_and_down_the_slope_obey_brede(grade: float) -> None:
    # Brede, A. D. (1990) USGA Green Section Record 28(6): S = 2 up down / (up + down); the formula
    # was seen in a course rating manual.
    k = roll.slope_ratio(grade, 10.0)
    up, down = 10 * roll.roll_share(-1.0, k), 10 * roll.roll_share(1.0, k)
    assert 2 * up * down / (up + down) == pytest.approx(10.0)
    straight, _ = roll.stop(np.pi, k)
    assert -10 * straight == pytest.approx(up)


def test_a_ball_that_does_not_stop_is_said_to_be_so() -> None:
    steepest = roll.steepest_grade(10.0)
    assert 0.07 < steepest < 0.09
    with pytest.raises(roll.BallRollsOnError, match=r"9\.0%.*stimp 10 ft.*does not stop"):
        read.perfect_read(10.0, 0.0, 0.09, 10.0)
    read.perfect_read(10.0, 0.0, steepest - 1e-3, 10.0)
