"""The two-spread stroke model: start line and pace.

A putt of length ``x`` feet starts at an angle ``N(0, line)`` from the line that would hole it, and
would roll ``u ~ N(x + overshoot, ((x + overshoot) * pace)^2)`` feet. It drops when the angle is
smaller than ``asin((R - r) / x)`` and ``x <= u <= x + window``.

Source of the form and of the constants: A. Gelman, "Model building and expansion for golf
putting", Stan case study (24 Sep 2019), after M. Broadie's data of 2016-2018. On a slope the
pace spread follows Karlsen & Nilsson (2008) and Penner (2002), see :func:`sloped_pace`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri

Array = NDArray[np.float64]

BALL_RADIUS_FT = 1.68 / 2 / 12
HOLE_RADIUS_FT = 4.25 / 2 / 12
LINE_ROOM_FT = HOLE_RADIUS_FT - BALL_RADIUS_FT
OVERSHOOT_FT = 1.0
WINDOW_FT = 3.0
TOUR_LINE_RAD = float(np.radians(1.020))
TOUR_PACE = 0.080

TECHNIQUE_SHARE = 0.34
READING_AND_GREEN_SHARE = 0.66

RELEASE_SPEED_M_S = 1.83
GRAVITY_M_S2 = 9.81
ROLLING_FACTOR = 5 / 7
METRE_FT = 1 / 0.3048
USUAL_STIMP_FT = 10.0
USUAL_GRADE = 0.025

_NODES = 24
_UNIT_NODES, _UNIT_WEIGHTS = np.polynomial.legendre.leggauss(_NODES)


@dataclass(frozen=True)
class Stroke:
    """A player's spreads.

    Attributes
    ----------
    line_rad : float
        Standard deviation of start line and read together, radians.
    pace : float
        Standard deviation of the roll as a share of its intended length.
    overshoot_ft : float
        How far past the hole the ball is meant to stop, feet.
    window_ft : float
        How far past the hole a ball may be going to roll and still drop, feet.
    """

    line_rad: float = TOUR_LINE_RAD
    pace: float = TOUR_PACE
    overshoot_ft: float = OVERSHOOT_FT
    window_ft: float = WINDOW_FT

    @property
    def line_deg(self) -> float:
        """Line spread in degrees."""
        return float(np.degrees(self.line_rad))

    def on_slope(self, grade: float, stimp_ft: float = USUAL_STIMP_FT) -> Stroke:
        """The same player's stroke along a slope; ``grade`` > 0 uphill, < 0 downhill."""
        return replace(self, pace=sloped_pace(self.pace, grade, stimp_ft))


def sloped_pace(pace: float, grade: float, stimp_ft: float = USUAL_STIMP_FT) -> float:
    """Pace spread along a slope, as a share of length.

    Variance = technique 34 % + (reading 60 % + green 6 %) (a_level / a)^2, with the deceleration
    ``a = a_level + (5/7) g grade`` and ``a_level = v^2 / (2 S)``, v = 1.83 m/s.

    Sources: shares, Karlsen & Nilsson (2008), abstract; deceleration on a slope, Penner (2002),
    second hand; release speed of the stimpmeter, second hand. That reading and green errors grow
    with ``a_level / a`` is this project's model, not a measured fact.

    Parameters
    ----------
    pace : float
        Pace spread on the level.
    grade : float
        Rise over run along the putt, > 0 uphill.
    stimp_ft : float
        Green speed, feet.

    Raises
    ------
    ValueError
        So steep downhill that the ball would not stop.
    """
    level = RELEASE_SPEED_M_S**2 / (2 * stimp_ft / METRE_FT)
    along = level + ROLLING_FACTOR * GRAVITY_M_S2 * grade
    if along <= 0:
        raise ValueError(f"a ball does not stop on a grade of {grade:.1%} at stimp {stimp_ft:g} ft")
    return pace * float(np.sqrt(TECHNIQUE_SHARE + READING_AND_GREEN_SHARE * (level / along) ** 2))


def line_angle(distance_ft: Array) -> Array:
    """Largest start-line error in radians that still finds the hole, by distance in feet."""
    return np.arcsin(np.minimum(LINE_ROOM_FT / distance_ft, 1.0))


def make_share(stroke: Stroke, distance_ft: Array) -> Array:
    """Probability of holing, by distance in feet; same shape as ``distance_ft``."""
    good_line = 2 * ndtr(line_angle(distance_ft) / stroke.line_rad) - 1
    short, hard = _pace_limits(stroke, distance_ft)
    return np.asarray(good_line * (hard - short), dtype=np.float64)


def _pace_limits(stroke: Stroke, distance_ft: Array) -> tuple[Array, Array]:
    """Probabilities that the ball would roll less than the hole, and less than the window's end."""
    spread = (distance_ft + stroke.overshoot_ft) * stroke.pace
    short = ndtr(-stroke.overshoot_ft / spread)
    hard = ndtr((stroke.window_ft - stroke.overshoot_ft) / spread)
    return short, hard


def miss_leaves(stroke: Stroke, distance_ft: Array) -> tuple[Array, Array]:
    """Leaves after a miss with their probabilities, exact to quadrature.

    A miss is off line at any pace, or on line and short, or on line and too hard. Each part is
    integrated with Gauss-Legendre nodes in probability, so no tail is cut.

    Returns
    -------
    leave_ft, weight : ndarray, shape (n, k)
        Weights of each row sum to 1.
    """
    x = distance_ft[:, None, None]
    on_line = 2 * ndtr(line_angle(distance_ft) / stroke.line_rad) - 1
    short, hard = _pace_limits(stroke, distance_ft)
    zero, one = np.zeros_like(on_line), np.ones_like(on_line)
    parts = [
        ((on_line, one), (zero, one)),
        ((zero, on_line), (zero, short)),
        ((zero, on_line), (hard, one)),
    ]
    leaves, weights = [], []
    for line_range, pace_range in parts:
        angle_p, angle_w = _nodes(*line_range)
        pace_p, pace_w = _nodes(*pace_range)
        angle = stroke.line_rad * ndtri((1 + angle_p) / 2)[:, :, None]
        aimed = (distance_ft + stroke.overshoot_ft)[:, None]
        roll = np.maximum(aimed * (1 + stroke.pace * ndtri(pace_p)), 0.0)[:, None, :]
        leave = np.sqrt(np.maximum(x**2 + roll**2 - 2 * x * roll * np.cos(angle), 0.0))
        leaves.append(leave.reshape(len(distance_ft), -1))
        weights.append((angle_w[:, :, None] * pace_w[:, None, :]).reshape(len(distance_ft), -1))
    weight = np.concatenate(weights, axis=1)
    return np.concatenate(leaves, axis=1), weight / weight.sum(axis=1, keepdims=True)


def _nodes(low: Array, high: Array) -> tuple[Array, Array]:
    """Gauss-Legendre nodes and weights on [low, high], one row each."""
    half = (high - low)[:, None] / 2
    points = low[:, None] + half * (1 + _UNIT_NODES)
    tiny = np.finfo(np.float64).eps
    return np.clip(points, tiny, 1 - tiny), half * _UNIT_WEIGHTS
