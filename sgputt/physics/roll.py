"""How a ball rolls on a plane, in closed form.

A green near the hole is a plane. In the frame of the fall line a ball obeys
``dv/dt = -a v/|v| + A f``: it slows by ``a`` whichever way it goes and is pulled down the fall line
``f`` by ``A``. Everything here is in feet and seconds; angles are radians from the fall line, a
positive angle points to the left of somebody looking down it.

With ``k = A/a``, ``phi`` the angle of the velocity (``phi0`` at the start), ``s, c`` the sine and
cosine of ``phi0/2`` and a phase ``r`` from 1 (struck) to 0 (stopped), ``w = r^(k/2)``:

* ``tan(phi/2) = w tan(phi0/2)``
* ``v^2 = v0^2 r (c^2 + s^2 w^2)^2 / w^2``
* ``down   = R [c^4 (1 - r/w^2) / (1 - k) - s^4 (1 - r w^2) / (1 + k)]``
* ``across = R 2 s c [c^2 (1 - r/w) / (1 - k/2) + s^2 (1 - r w) / (1 + k/2)]``

where ``R = v0^2 / 2a`` is the roll: how far the same ball would go on the level. Worked out for
this project; the tests hold it against an integration of the equation of motion.

Sources: level deceleration ``v^2 / 2S`` and the release speed of a stimpmeter, second hand; the
factor 5/7 of a rolling ball, Penner, A. R. (2002) Can. J. Phys. 80(2), 83-96, second hand.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sgputt.errors import SgputtError

Array = NDArray[np.float64]

METRE_FT = 1 / 0.3048
RELEASE_SPEED_FT_S = 1.83 * METRE_FT
GRAVITY_FT_S2 = 9.81 * METRE_FT
ROLLING_FACTOR = 5 / 7

USUAL_STIMP_FT = 10.0


class BallRollsOnError(SgputtError):
    """A slope so steep for its speed that a ball on it does not stop."""


def level_deceleration(stimp_ft: ArrayLike) -> Array:
    """Deceleration on the level, ft/s^2: ``v^2 / 2S`` for a green speed of ``S`` feet."""
    return np.asarray(RELEASE_SPEED_FT_S**2 / (2 * np.asarray(stimp_ft, dtype=np.float64)))


def slope_ratio(grade: ArrayLike, stimp_ft: ArrayLike) -> Array:
    """Pull of the slope over the level deceleration, ``k = A/a``; from 1 on a ball rolls on.

    Parameters
    ----------
    grade : array_like
        Rise over run along the fall line, 0 or more.
    stimp_ft : array_like
        Green speed, feet.
    """
    rise = np.asarray(grade, dtype=np.float64)
    pull = ROLLING_FACTOR * GRAVITY_FT_S2 * rise / np.hypot(1.0, rise)
    return np.asarray(pull / level_deceleration(stimp_ft), dtype=np.float64)


def steepest_grade(stimp_ft: float) -> float:
    """Grade, rise over run, at which a ball rolling straight down no longer stops."""
    sine = float(level_deceleration(stimp_ft)) / (ROLLING_FACTOR * GRAVITY_FT_S2)
    return sine / float(np.sqrt(1 - sine**2)) if sine < 1 else float("inf")


def check_stops(grade: ArrayLike, stimp_ft: ArrayLike) -> None:
    """Refuse a green on which a ball would not stop.

    Raises
    ------
    BallRollsOnError
        Names the first such grade and speed, and the steepest grade that will do.
    """
    grades, speeds = np.broadcast_arrays(
        np.asarray(grade, dtype=np.float64), np.asarray(stimp_ft, dtype=np.float64)
    )
    on = slope_ratio(grades, speeds) >= 1
    if np.any(on):
        steep, speed = float(grades[on].flat[0]), float(speeds[on].flat[0])
        raise BallRollsOnError(
            f"On a slope of {steep:.1%} at stimp {speed:g} ft a ball rolling down does not stop.",
            f"At this speed give a slope below {steepest_grade(speed):.1%}, or a slower green.",
        )


def roll_share(along: ArrayLike, k: ArrayLike) -> Array:
    """Length of a roll along a slope over that on the level: ``1 / (1 - k cos)``.

    Parameters
    ----------
    along : array_like
        Cosine of the angle between the putt and the fall line: 1 straight down, -1 straight up.
    k : array_like
        As :func:`slope_ratio`.
    """
    return np.asarray(1 / (1 - np.asarray(along) * np.asarray(k)), dtype=np.float64)


def position(start_angle: ArrayLike, phase: ArrayLike, k: ArrayLike) -> tuple[Array, Array]:
    """Where a ball is, per foot of roll.

    Parameters
    ----------
    start_angle : array_like
        Direction in which it is struck, from the fall line.
    phase : array_like
        1 when struck, 0 when stopped.
    k : array_like
        As :func:`slope_ratio`, below 1.

    Returns
    -------
    down, across : ndarray
        From where it was struck, along the fall line and to its left; shapes broadcast.
    """
    half = np.asarray(start_angle, dtype=np.float64) / 2
    r, k = np.asarray(phase, dtype=np.float64), np.asarray(k, dtype=np.float64)
    s, c = np.sin(half), np.cos(half)
    w = r ** (k / 2)
    inverse = np.where(r > 0, r / np.where(r > 0, w, 1.0), 0.0)
    twice = np.where(r > 0, inverse / np.where(r > 0, w, 1.0), 0.0)
    down = c**4 * (1 - twice) / (1 - k) - s**4 * (1 - r * w * w) / (1 + k)
    across = 2 * s * c * (c * c * (1 - inverse) / (1 - k / 2) + s * s * (1 - r * w) / (1 + k / 2))
    return np.asarray(down), np.asarray(across)


def stop(start_angle: ArrayLike, k: ArrayLike) -> tuple[Array, Array]:
    """Where a ball stops, per foot of roll; as :func:`position` at phase 0."""
    half = np.asarray(start_angle, dtype=np.float64) / 2
    k = np.asarray(k, dtype=np.float64)
    s, c = np.sin(half), np.cos(half)
    s2, c2 = s * s, c * c
    down = c2 * c2 / (1 - k) - s2 * s2 / (1 + k)
    across = 2 * s * c * (c2 / (1 - k / 2) + s2 / (1 + k / 2))
    return np.asarray(down), np.asarray(across)


def velocity(start_angle: ArrayLike, phase: ArrayLike, k: ArrayLike) -> tuple[Array, Array]:
    """Direction and speed of a ball: angle from the fall line, and ``v^2`` over ``v0^2``."""
    half = np.asarray(start_angle, dtype=np.float64) / 2
    r, k = np.asarray(phase, dtype=np.float64), np.asarray(k, dtype=np.float64)
    w = r ** (k / 2)
    s, c = np.sin(half), np.cos(half)
    angle = 2 * np.arctan2(w * s, c)
    floor = np.maximum(w, np.finfo(np.float64).tiny)
    share = r * ((c * c + s * s * w * w) / floor) ** 2
    return np.asarray(angle), np.asarray(share)
