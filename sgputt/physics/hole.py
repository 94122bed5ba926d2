"""What the hole takes.

A ball drops when it is slow enough where it passes nearest the middle of the hole: below
``1.63 (1 - (x/R)^2)`` m/s at ``x`` from the middle, ``R`` the hole's radius; and when it stops over
the hole. Sources: the greatest speed in the middle, Holmes, B. W. (1991) Am. J. Phys. 59(2),
129-136; the form off the middle, Penner, A. R. (2002) Can. J. Phys. 80(2), 83-96; both second hand.
The hole is 4.25 in wide (Rules of Golf).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sgputt.physics.roll import METRE_FT, Array, level_deceleration, position, stop, velocity

HOLE_RADIUS_FT = 4.25 / 2 / 12
BALL_RADIUS_FT = 1.68 / 2 / 12
CAPTURE_SPEED_FT_S = 1.63 * METRE_FT

_HALVINGS = 30
_COARSE = 16


def capture_speed(offset_ft: ArrayLike) -> Array:
    """Greatest speed, ft/s, at which the hole takes a ball that passes so far from its middle."""
    share = np.asarray(offset_ft, dtype=np.float64) / HOLE_RADIUS_FT
    return np.asarray(CAPTURE_SPEED_FT_S * np.maximum(1 - share**2, 0.0), dtype=np.float64)


@dataclass(frozen=True)
class Finish:
    """How putts ended, in the frame of each putt: the hole is the origin.

    Attributes
    ----------
    holed : ndarray of bool
    past_ft, left_ft : ndarray
        Where the ball stopped, or would have without a hole: beyond the hole along the straight
        line from ball to hole (negative: short), and to the left of that line.
    passed_left_ft : ndarray
        How far to the left of the middle of the hole it passed at its nearest; of a ball that
        stopped before, where it stopped.
    reached : ndarray of bool
        Whether it got as far as its nearest passage.
    """

    holed: NDArray[np.bool_]
    past_ft: Array
    left_ft: Array
    passed_left_ft: Array
    reached: NDArray[np.bool_]


def play(
    length_ft: ArrayLike,
    direction: ArrayLike,
    start_angle: ArrayLike,
    roll_ft: ArrayLike,
    k: ArrayLike,
    stimp_ft: ArrayLike,
) -> Finish:
    """Roll balls past a hole; all arguments broadcast.

    Parameters
    ----------
    length_ft : array_like
        From ball to hole.
    direction : array_like
        Of the line ball to hole, radians from the fall line: 0 straight downhill, pi straight
        uphill; between them the ball breaks left to right, below 0 right to left.
    start_angle : array_like
        Direction struck, radians left of the line ball to hole.
    roll_ft : array_like
        How far the ball would go on the level.
    k : array_like
        As :func:`sgputt.physics.roll.slope_ratio`, below 1.
    stimp_ft : array_like
        Green speed, feet.
    """
    length, toward, off, roll, k = np.broadcast_arrays(
        *(np.asarray(each, dtype=np.float64) for each in (length_ft, direction, start_angle)),
        np.maximum(np.asarray(roll_ft, dtype=np.float64), 1e-9),
        np.asarray(k, dtype=np.float64),
    )
    start = toward + off
    hole_down, hole_across = length * np.cos(toward), length * np.sin(toward)

    def coming(phase: Array) -> NDArray[np.bool_]:
        down, across = position(start, phase, k)
        angle, _ = velocity(start, phase, k)
        ahead = (hole_down - roll * down) * np.cos(angle)
        return np.asarray(ahead + (hole_across - roll * across) * np.sin(angle) > 0)

    # The nearest passage is where the ball first stops coming closer. A slow ball on a steep slope
    # may turn and come closer again, so the first time is looked for before the phase is halved.
    near, far = np.zeros_like(roll), np.ones_like(roll)
    for step in range(_COARSE, 0, -1):
        phase = np.full_like(roll, 0.5**step)
        gone = ~coming(phase)
        near = np.where(gone, phase, near)
        far = np.where(gone, 1.0, np.minimum(far, phase))
    for _ in range(_HALVINGS):
        phase = (near + far) / 2
        closer = coming(phase)
        far, near = np.where(closer, phase, far), np.where(closer, near, phase)
    phase = (near + far) / 2
    reached = near > 0
    down, across = position(start, phase, k)
    angle, share = velocity(start, phase, k)
    gap_down, gap_across = roll * down - hole_down, roll * across - hole_across
    passed = np.cos(angle) * gap_across - np.sin(angle) * gap_down
    offset = np.hypot(gap_down, gap_across)
    speed = np.sqrt(2 * level_deceleration(stimp_ft) * roll * share)
    stop_down, stop_across = stop(start, k)
    rest_down, rest_across = roll * stop_down - hole_down, roll * stop_across - hole_across
    holed = (reached & (offset < HOLE_RADIUS_FT) & (speed < capture_speed(offset))) | (
        np.hypot(rest_down, rest_across) < HOLE_RADIUS_FT
    )
    past = rest_down * np.cos(toward) + rest_across * np.sin(toward)
    left = rest_across * np.cos(toward) - rest_down * np.sin(toward)
    return Finish(holed, past, left, np.where(reached, passed, left), reached)
