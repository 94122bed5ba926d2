"""The green: how a ball slows down on it, uphill and downhill, and what the hole takes.

Sources: deceleration on a slope, Penner, A. R. (2002) Can. J. Phys. 80(2), 83-96 (second hand);
release speed of the stimpmeter (second hand); greatest speed at which the hole takes a ball in its
middle, Holmes, B. W. (1991) Am. J. Phys. 59(2), 129-136 (second hand); shares of the pace variance,
Karlsen & Nilsson (2008), abstract seen.
"""

from __future__ import annotations

import math

RELEASE_SPEED_M_S = 1.83
CAPTURE_SPEED_M_S = 1.63
GRAVITY_M_S2 = 9.81
ROLLING_FACTOR = 5 / 7
METRE_FT = 1 / 0.3048

TECHNIQUE_SHARE = 0.34
READING_AND_GREEN_SHARE = 0.66

USUAL_STIMP_FT = 10.0
USUAL_GRADE = 0.025


def level_deceleration(stimp_ft: float) -> float:
    """Deceleration on the level, m/s^2: ``v^2 / (2 S)`` for a green speed of ``S``."""
    return RELEASE_SPEED_M_S**2 / (2 * stimp_ft / METRE_FT)


def roll_ratio(grade: float, stimp_ft: float = USUAL_STIMP_FT) -> float:
    """Roll along a slope over roll on the level, for a ball of the same speed.

    ``a_level / (a_level + (5/7) g grade)``: below 1 uphill, above 1 downhill.

    Parameters
    ----------
    grade : float
        Rise over run along the putt, > 0 uphill.
    stimp_ft : float
        Green speed, feet.

    Raises
    ------
    ValueError
        So steep downhill that the ball would not stop.
    """
    level = level_deceleration(stimp_ft)
    along = level + ROLLING_FACTOR * GRAVITY_M_S2 * grade
    if along <= 0:
        raise ValueError(f"a ball does not stop on a grade of {grade:.1%} at stimp {stimp_ft:g} ft")
    return level / along


def sloped_pace(pace: float, grade: float, stimp_ft: float = USUAL_STIMP_FT) -> float:
    """Pace spread along a slope, as a share of length.

    Variance = technique 34 % + (reading 60 % + green 6 %) :func:`roll_ratio` squared. That reading
    and green errors grow so is this project's model, not a measured fact.

    Parameters
    ----------
    pace : float
        Pace spread on the level.
    grade, stimp_ft : float
        As for :func:`roll_ratio`, which may raise.
    """
    ratio = roll_ratio(grade, stimp_ft)
    return pace * math.sqrt(TECHNIQUE_SHARE + READING_AND_GREEN_SHARE * ratio**2)


def capture_reach_ft(grade: float = 0.0, stimp_ft: float = USUAL_STIMP_FT) -> float:
    """Feet past the hole that a ball would roll which arrives as fast as the hole just takes.

    On the level ``S (1.63 / 1.83)^2``, since the roll goes with the square of the speed; along a
    slope times :func:`roll_ratio`, which may raise.
    """
    return stimp_ft * (CAPTURE_SPEED_M_S / RELEASE_SPEED_M_S) ** 2 * roll_ratio(grade, stimp_ft)
