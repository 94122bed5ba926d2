"""A cubic through points that rises and falls only where they do.

As SciPy's ``PchipInterpolator`` (a test holds the two equal), which takes longer to load than all
that a season needs of SciPy besides.
"""

from __future__ import annotations

import numpy as np

from sgputt.physics.roll import Array

_STEEPEST_END = 3.0


class MonotoneCubic:
    """Piecewise cubic with slopes that go back to Fritsch & Butland (1984), second hand from SciPy.

    Parameters
    ----------
    x : ndarray, shape (n,)
        Rising; three points at least.
    y : ndarray, shape (n,) or (n, k)
    """

    def __init__(self, x: Array, y: Array) -> None:
        step = np.diff(x).reshape(-1, *[1] * (y.ndim - 1))
        rise = np.diff(y, axis=0) / step
        slope = np.zeros_like(y, dtype=np.float64)
        before, after = rise[:-1], rise[1:]
        same = np.sign(before) * np.sign(after) > 0
        first, second = 2 * step[1:] + step[:-1], step[1:] + 2 * step[:-1]
        flatness = first / np.where(same, before, 1.0) + second / np.where(same, after, 1.0)
        slope[1:-1] = np.where(same, 1 / (flatness / (first + second)), 0.0)
        slope[0] = _end_slope(step[0], step[1], rise[0], rise[1])
        slope[-1] = _end_slope(step[-1], step[-2], rise[-1], rise[-2])
        bend = (slope[:-1] + slope[1:] - 2 * rise) / step
        self._x = x
        self._powers = (y[:-1], slope[:-1], (rise - slope[:-1]) / step - bend, bend / step)

    def __call__(self, at: Array) -> Array:
        """Values at some places within the points, of their shape and then that of a row of y."""
        low = np.searchsorted(self._x[1:-1], at, side="right")
        on = np.reshape(at - self._x[low], (*at.shape, *[1] * (self._powers[0].ndim - 1)))
        level, slope, bend, turn = (each[low] for each in self._powers)
        return np.asarray(level + slope * on + bend * (on * on) + turn * (on * on * on))


def _end_slope(near: Array, next_: Array, rise: Array, next_rise: Array) -> Array:
    """Slope at an end: of the three points there, held so that nothing overshoots."""
    slope = ((2 * near + next_) * rise - near * next_rise) / (near + next_)
    slope = np.where(np.sign(slope) == np.sign(rise), slope, 0.0)
    steep = (np.sign(rise) != np.sign(next_rise)) & (np.abs(slope) > _STEEPEST_END * np.abs(rise))
    return np.where(steep, _STEEPEST_END * rise, slope)
