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
_SECANTS = 8
_FIRST_STEP = 0.01
_LEAST_RISE = 0.02
_CLOSE = 1e-6
_WIDEST = 2.5


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
    room_ft : ndarray
        How far from the middle it might have passed, at this pace, and still have dropped; 0 where
        too fast or too short for any line.
    """

    holed: NDArray[np.bool_]
    past_ft: Array
    left_ft: Array
    passed_left_ft: Array
    reached: NDArray[np.bool_]
    room_ft: Array


def play(
    length_ft: ArrayLike,
    direction: ArrayLike,
    start_angle: ArrayLike,
    roll_ft: ArrayLike,
    k: ArrayLike,
    stimp_ft: ArrayLike,
    halvings: int = _HALVINGS,
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
    halvings : int
        How often the phase of the nearest passage is halved: each half as far off.
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
    for _ in range(halvings):
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
    fast = HOLE_RADIUS_FT * np.sqrt(np.maximum(1 - speed / CAPTURE_SPEED_FT_S, 0.0))
    dying = np.sqrt(np.maximum(HOLE_RADIUS_FT**2 - past**2, 0.0))
    room = np.where(reached, fast, dying)
    return Finish(holed, past, left, np.where(reached, passed, left), reached, room)


@dataclass(frozen=True)
class Window:
    """Start angles that hole a putt of a given roll, radians left of the line ball to hole.

    Attributes
    ----------
    middle : ndarray
        Over the middle of the hole; of a ball that does not get there, straight at it.
    low, high : ndarray
        Between these the ball drops; both are ``middle`` where no line holes it.
    """

    middle: Array
    low: Array
    high: Array


def window(
    length_ft: ArrayLike,
    direction: ArrayLike,
    roll_ft: ArrayLike,
    k: ArrayLike,
    stimp_ft: ArrayLike,
    guess: ArrayLike = 0.0,
) -> Window:
    """Which start angles hole a putt, found by secants on where it passes the hole.

    Parameters
    ----------
    length_ft, direction, roll_ft, k, stimp_ft : array_like
        As :func:`play`.
    guess : array_like
        A start angle to look from.
    """
    length, toward, roll, k, first = np.broadcast_arrays(
        *(np.asarray(each, dtype=np.float64) for each in (length_ft, direction, roll_ft, k, guess))
    )
    stimp = np.asarray(stimp_ft, dtype=np.float64)

    def off(aim: Array, edge: int) -> Array:
        """How far left of the middle (0), or of an edge of what the hole takes (-1, 1)."""
        done = play(length, toward, aim, roll, k, stimp)
        return np.asarray(done.passed_left_ft - edge * done.room_ft, dtype=np.float64)

    def solve(aim: Array, edge: int) -> Array:
        before, after = aim, aim + _FIRST_STEP / length
        wrong = off(before, edge)
        for _ in range(_SECANTS):
            now = off(after, edge)
            rise = np.where(now == wrong, length, (now - wrong) / _apart(after - before))
            rise = np.where(rise > _LEAST_RISE * length, rise, length)
            step = np.clip(now / rise, -0.3, 0.3)
            before, wrong, after = after, now, after - step
            if float(np.max(np.abs(step), initial=0.0)) < _CLOSE:
                break
        return np.asarray(after, dtype=np.float64)

    middle = solve(first, 0)
    room = play(length, toward, middle, roll, k, stimp).room_ft
    taken = room > 0
    reach = np.arcsin(np.minimum(room / length, 1.0))
    low = np.where(taken, solve(middle - reach, -1), middle)
    high = np.where(taken, solve(middle + reach, 1), middle)
    # A ball about to die at the rim may send a secant astray: no window is wider than the hole by
    # more than the curve of the ball's way makes it.
    most = _WIDEST * np.arcsin(np.minimum(HOLE_RADIUS_FT / length, 1.0))
    low, high = np.clip(low, middle - most, middle), np.clip(high, middle, middle + most)
    return Window(middle, np.asarray(low), np.asarray(high))


def _apart(gap: Array) -> Array:
    return np.where(gap == 0, np.finfo(np.float64).eps, gap)
