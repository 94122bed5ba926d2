"""The perfect read: the one line and pace that pass over the middle of the hole."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from sgputt.physics.roll import Array, check_stops, position, slope_ratio, stop

INCHES_A_FOOT = 12.0
_NEWTON_STEPS = 30
_HALVINGS = 60
_CLOSE = 1e-10
_STEP = 1e-6
# A ball that is to die in the hole goes on by this share of its length, shorter than a hair.
_STOPPED = 1e-6


@dataclass(frozen=True)
class Read:
    """Line and pace of putts that go in over the middle.

    Attributes
    ----------
    aim : ndarray
        Start direction, radians left of the line ball to hole.
    roll_ft : ndarray
        How hard to hit it: the roll of the same ball on the level, feet.
    break_in : ndarray
        Distance of the start line from the middle of the hole, at the hole, inches; positive left.
    """

    aim: Array
    roll_ft: Array
    break_in: Array


def perfect_read(
    length_ft: ArrayLike,
    direction: ArrayLike,
    grade: ArrayLike,
    stimp_ft: ArrayLike,
    past_ft: ArrayLike = 1.0,
) -> Read:
    """Line and pace over the middle of the hole that would stop ``past_ft`` from it.

    All arguments broadcast to the shape of what is returned.

    Parameters
    ----------
    length_ft : array_like
        From ball to hole.
    direction : array_like
        Radians from the fall line, as in :func:`sgputt.physics.hole.play`.
    grade : array_like
        Rise over run, 0 or more.
    stimp_ft : array_like
        Green speed, feet.
    past_ft : array_like
        How far from the hole the ball would stop had it not dropped, 0 or more.

    Raises
    ------
    BallRollsOnError
        A ball on such a green does not stop.
    """
    check_stops(grade, stimp_ft)
    return read_for(length_ft, direction, slope_ratio(grade, stimp_ft), past_ft)


def read_for(length_ft: ArrayLike, direction: ArrayLike, k: ArrayLike, past_ft: ArrayLike) -> Read:
    """As :func:`perfect_read`, for the slope's ratio ``k`` of :func:`slope_ratio`."""
    length, toward, k, past = np.broadcast_arrays(
        *(np.asarray(each, dtype=np.float64) for each in (length_ft, direction, k, past_ft))
    )
    # Mirrored so that the ball breaks left to right, and the other way at the end.
    turn = np.where(np.sin(toward) < 0, -1.0, 1.0)
    angle = np.abs(np.arctan2(np.sin(toward), np.cos(toward)))
    start = _dying_start(angle, k)
    target = np.log(np.maximum(past / length, _STOPPED))
    phase = _phase_for(start, k, target)
    start, phase = _newton(start, np.log(phase), angle, k, target)
    down, across = position(start, phase, k)
    roll = length / np.hypot(down, across)
    aim = (start - angle) * turn
    return Read(aim, roll, INCHES_A_FOOT * length * np.tan(aim))


def _dying_start(angle: Array, k: Array) -> Array:
    """Start angle of a ball that stops in the direction ``angle``, by halving."""
    low, high = np.zeros_like(angle), np.full_like(angle, np.pi)
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        down, across = stop(middle, k)
        beyond = np.arctan2(across, down) > angle
        low, high = np.where(beyond, low, middle), np.where(beyond, middle, high)
    return np.asarray((low + high) / 2, dtype=np.float64)


def _gone_on(start: Array, phase: Array, k: Array) -> Array:
    """Logarithm of what is left to roll over what is rolled, both as straight distances."""
    down, across = position(start, phase, k)
    end_down, end_across = stop(start, k)
    rest = np.hypot(end_down - down, end_across - across)
    floor = np.finfo(np.float64).tiny
    return np.asarray(np.log(np.maximum(rest, floor) / np.hypot(down, across)), dtype=np.float64)


def _phase_for(start: Array, k: Array, target: Array) -> Array:
    low, high = np.full_like(start, 1e-60), np.full_like(start, 1 - 1e-9)
    for _ in range(_HALVINGS):
        middle = np.sqrt(low * high)
        much = _gone_on(start, middle, k) > target
        low, high = np.where(much, low, middle), np.where(much, middle, high)
    return np.asarray(np.sqrt(low * high), dtype=np.float64)


def _newton(
    start: Array, log_phase: Array, angle: Array, k: Array, target: Array
) -> tuple[Array, Array]:
    def wrong(start: Array, log_phase: Array) -> tuple[Array, Array]:
        phase = np.exp(np.minimum(log_phase, 0.0))
        down, across = position(start, phase, k)
        aside = np.arctan2(across, down) - angle
        return np.asarray(aside), _gone_on(start, phase, k) - target

    for _ in range(_NEWTON_STEPS):
        aside, more = wrong(start, log_phase)
        if max(float(np.max(np.abs(aside), initial=0)), float(np.max(np.abs(more), initial=0))) < (
            _CLOSE
        ):
            break
        aside_a, more_a = wrong(start + _STEP, log_phase)
        aside_b, more_b = wrong(start, log_phase - _STEP)
        aa, ma = (aside_a - aside) / _STEP, (more_a - more) / _STEP
        ab, mb = (aside - aside_b) / _STEP, (more - more_b) / _STEP
        size = aa * mb - ab * ma
        size = np.where(size == 0, np.inf, size)
        start = start - np.clip((aside * mb - more * ab) / size, -0.3, 0.3)
        log_phase = np.minimum(
            log_phase - np.clip((more * aa - aside * ma) / size, -1.0, 1.0), -1e-9
        )
    return start, np.asarray(np.exp(log_phase), dtype=np.float64)
