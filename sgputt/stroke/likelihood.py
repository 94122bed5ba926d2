"""How likely a putt's outcome is under the stroke model: makes, and leaves of misses.

A miss is found somewhere on the circle of its leave around the hole. With ``psi`` the angle on
that circle seen from the line, ``x sin(theta) = r sin(psi)`` and the roll is
``u = x cos(theta) +- r cos(psi)``, so the density of the leave ``r`` is

    f(r) = integral over psi of  n_line(theta) [n_pace(u+) + n_pace(u-)] r / (x cos(theta))

with the part of the circle cut out where the ball would have dropped. Derived for this project
from the model of :mod:`sgputt.stroke.model`; a test holds it against simulation.
"""

from __future__ import annotations

import numpy as np
from scipy.special import ndtr

from sgputt.stroke.model import LINE_ROOM_FT, Array, Form, line_angle

_REACH = 7.0
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(16)
_LEAST_DENSITY = 1e-300
_ROOT_2_PI = float(np.sqrt(2 * np.pi))


def log_make(line_rad: float, roll_spread_ft: Array, distance_ft: Array, form: Form) -> Array:
    """Logarithms of the make and the miss probability, shape (2, n).

    Parameters
    ----------
    line_rad : float
        Line spread, radians.
    roll_spread_ft, distance_ft : ndarray, shape (n,)
        Spread of the roll of each putt, and its length, feet.
    form : Form
    """
    good_line = 2 * ndtr(line_angle(distance_ft) / line_rad) - 1
    hard = ndtr((form.window_ft - form.overshoot_ft) / roll_spread_ft)
    short = ndtr(-form.overshoot_ft / roll_spread_ft)
    made = good_line * (hard - short)
    return np.log(np.maximum(np.stack([made, 1 - made]), _LEAST_DENSITY))


def log_leave(
    line_rad: float, roll_spread_ft: Array, distance_ft: Array, leave_ft: Array, form: Form
) -> Array:
    """Logarithm of the density, per foot, of missing and leaving ``leave_ft``; shape (n,)."""
    sine = _REACH * line_rad * distance_ft / leave_ft
    widest = np.arcsin(np.minimum(sine, 1.0))
    dropped = np.minimum(_cut(leave_ft, form), widest)
    near = _arc(0.0 * widest, dropped, line_rad, roll_spread_ft, distance_ft, leave_ft, form)
    wide = _arc(dropped, widest, line_rad, roll_spread_ft, distance_ft, leave_ft, form)
    density = near[1] + wide[0] + wide[1]
    return np.asarray(np.log(np.maximum(density, _LEAST_DENSITY)), dtype=np.float64)


def _cut(leave_ft: Array, form: Form) -> Array:
    """Angle from straight past the hole within which a ball on the circle would have dropped."""
    reach = np.hypot(form.window_ft, LINE_ROOM_FT)
    cut = np.arcsin(np.minimum(LINE_ROOM_FT / leave_ft, 1.0))
    return np.where(leave_ft < reach, cut, 0.0)


def _arc(
    low: Array,
    high: Array,
    line_rad: float,
    roll_spread_ft: Array,
    distance_ft: Array,
    leave_ft: Array,
    form: Form,
) -> tuple[Array, Array]:
    """Both sides of the line, between two angles: density past the hole, and short of it."""
    half = ((high - low) / 2)[:, None]
    angle = low[:, None] + half * (1 + _NODES)
    x, r = distance_ft[:, None], leave_ft[:, None]
    theta = np.arcsin(np.clip(r * np.sin(angle) / x, -1.0, 1.0))
    along, across = x * np.cos(theta), r * np.cos(angle)
    line = 2 * _normal(theta / line_rad) / line_rad
    weight = half * _WEIGHTS * line * r / np.maximum(along, 1e-9)
    aim, spread = x + form.overshoot_ft, roll_spread_ft[:, None]
    past = _normal((along + across - aim) / spread) / spread
    short = _normal((along - across - aim) / spread) / spread
    return (weight * past).sum(axis=1), (weight * short).sum(axis=1)


def _normal(z: Array) -> Array:
    return np.asarray(np.exp(-0.5 * z * z) / _ROOT_2_PI, dtype=np.float64)
