"""The two-spread stroke model: start line and pace.

A putt of length ``x`` feet starts at an angle ``N(0, line)`` from the line that would hole it, and
would roll ``u ~ N(x + overshoot, spread(x)^2)`` feet, with
``spread(x) = pace * sqrt((x + overshoot)^2 + steady^2)``. It drops when the angle is smaller than
``asin((R - r) / x)`` and ``x <= u <= x + window``.

Source of the form: A. Gelman, "Model building and expansion for golf putting", Stan case study
(24 Sep 2019), after M. Broadie's data of 2016-2018; that is :data:`PUBLISHED`, where ``steady`` is
0. :data:`MENDED` moves its three constants so that leaves after a miss come nearer to what is
published of them; see ``tests/reference/test_mended_form.py`` for both side by side.

On a slope the pace spread follows :func:`sgputt.stroke.green.sloped_pace`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri

from sgputt.stroke.green import USUAL_STIMP_FT, sloped_pace

Array = NDArray[np.float64]

BALL_RADIUS_FT = 1.68 / 2 / 12
HOLE_RADIUS_FT = 4.25 / 2 / 12
LINE_ROOM_FT = HOLE_RADIUS_FT - BALL_RADIUS_FT

_NODES = 24
_UNIT_NODES, _UNIT_WEIGHTS = np.polynomial.legendre.leggauss(_NODES)


@dataclass(frozen=True)
class Form:
    """Constants of the model that are the same for every player.

    Attributes
    ----------
    overshoot_ft : float
        How far past the hole the ball is meant to stop, feet.
    window_ft : float
        How far past the hole a ball may be going to roll and still drop, feet.
    steady_ft : float
        Length, feet, whose share is the pace spread that even the shortest putt has.
    """

    overshoot_ft: float
    window_ft: float
    steady_ft: float


PUBLISHED = Form(overshoot_ft=1.0, window_ft=3.0, steady_ft=0.0)
# Fitted by sgputt.study.mend, with the tour's spreads, to the makes of 2016-2018 and to published
# leaves; not published themselves.
TOUR_LINE_RAD = float(np.radians(1.014))
TOUR_PACE = 0.0843
MENDED = Form(overshoot_ft=1.37, window_ft=3.11, steady_ft=4.74)


@dataclass(frozen=True)
class Stroke:
    """A player's spreads.

    Attributes
    ----------
    line_rad : float
        Standard deviation of start line and read together, radians.
    pace : float
        Standard deviation of the roll as a share of its length.
    form : Form
        Constants of the model.
    """

    line_rad: float = TOUR_LINE_RAD
    pace: float = TOUR_PACE
    form: Form = MENDED

    @property
    def line_deg(self) -> float:
        """Line spread in degrees."""
        return float(np.degrees(self.line_rad))

    def on_slope(self, grade: float, stimp_ft: float = USUAL_STIMP_FT) -> Stroke:
        """The same player's stroke along a slope; ``grade`` > 0 uphill, < 0 downhill."""
        return replace(self, pace=sloped_pace(self.pace, grade, stimp_ft))

    def aim_ft(self, distance_ft: Array) -> Array:
        """Length of roll meant, feet."""
        return distance_ft + self.form.overshoot_ft

    def roll_spread_ft(self, distance_ft: Array) -> Array:
        """Standard deviation of the roll, feet."""
        spread = self.pace * np.hypot(self.aim_ft(distance_ft), self.form.steady_ft)
        return np.asarray(spread, dtype=np.float64)


PUBLISHED_TOUR = Stroke(float(np.radians(1.020)), 0.080, PUBLISHED)
TOUR = Stroke()


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
    spread = stroke.roll_spread_ft(distance_ft)
    short = ndtr(-stroke.form.overshoot_ft / spread)
    hard = ndtr((stroke.form.window_ft - stroke.form.overshoot_ft) / spread)
    return short, hard


def miss_leaves(stroke: Stroke, distance_ft: Array) -> tuple[Array, Array]:
    """Leaves after a miss with their probabilities; see :func:`miss_positions`.

    Returns
    -------
    leave_ft, weight : ndarray, shape (n, k)
        Weights of each row sum to 1.
    """
    past, across, weight = miss_positions(stroke, distance_ft)
    return np.hypot(past, across), weight


def miss_positions(stroke: Stroke, distance_ft: Array) -> tuple[Array, Array, Array]:
    """Where misses stop, with their probabilities, exact to quadrature.

    A miss is off line at any pace, or on line and short, or on line and too hard. Each part is
    integrated with Gauss-Legendre nodes in probability, so no tail is cut.

    Returns
    -------
    past_ft, across_ft, weight : ndarray, shape (n, k)
        Feet past the hole along the line (negative: short), and to one side of it; the other side
        is the mirror image. Weights of each row sum to 1.
    """
    on_line = 2 * ndtr(line_angle(distance_ft) / stroke.line_rad) - 1
    short, hard = _pace_limits(stroke, distance_ft)
    zero, one = np.zeros_like(on_line), np.ones_like(on_line)
    parts = [
        ((on_line, one), (zero, one)),
        ((zero, on_line), (zero, short)),
        ((zero, on_line), (hard, one)),
    ]
    stopped = [_stopped(stroke, distance_ft, *part) for part in parts]
    past, across, weight = (np.concatenate(arrays, axis=1) for arrays in zip(*stopped, strict=True))
    # A stroke so good that it cannot miss from there leaves nothing anywhere.
    total = np.maximum(weight.sum(axis=1, keepdims=True), np.finfo(np.float64).tiny)
    return past, across, weight / total


def _stopped(
    stroke: Stroke, distance_ft: Array, line: tuple[Array, Array], pace: tuple[Array, Array]
) -> tuple[Array, Array, Array]:
    """Where balls stop between two probabilities of the line error and two of the pace."""
    angle_p, angle_w = _nodes(*line)
    pace_p, pace_w = _nodes(*pace)
    angle = stroke.line_rad * ndtri((1 + angle_p) / 2)[:, :, None]
    off = stroke.roll_spread_ft(distance_ft)[:, None] * ndtri(pace_p)
    roll = np.maximum(stroke.aim_ft(distance_ft)[:, None] + off, 0.0)[:, None, :]
    rows = len(distance_ft)
    return (
        (roll * np.cos(angle) - distance_ft[:, None, None]).reshape(rows, -1),
        (roll * np.sin(angle)).reshape(rows, -1),
        (angle_w[:, :, None] * pace_w[:, None, :]).reshape(rows, -1),
    )


def _nodes(low: Array, high: Array) -> tuple[Array, Array]:
    """Gauss-Legendre nodes and weights on [low, high], one row each."""
    half = (high - low)[:, None] / 2
    points = low[:, None] + half * (1 + _UNIT_NODES)
    tiny = np.finfo(np.float64).eps
    return np.clip(points, tiny, 1 - tiny), half * _UNIT_WEIGHTS
