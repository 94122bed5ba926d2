"""The monotone cubic beside SciPy's, for points that rise, fall, turn and lie level."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import PchipInterpolator

from sgputt.baseline.monotone import MonotoneCubic

STEPS = st.floats(0.01, 10.0)
LEVELS = st.integers(-3, 3) | st.floats(-1e3, 1e3).map(lambda level: round(level, 6))


@given(st.lists(st.tuples(STEPS, LEVELS, LEVELS), min_size=3, max_size=12))
def test_it_is_scipys_to_the_last_digit(points: list[tuple[float, float, float]]) -> None:
    """Outside check: SciPy's PchipInterpolator."""
    steps, *levels = (np.array(each, dtype=np.float64) for each in zip(*points, strict=True))
    x, y = np.cumsum(steps), np.column_stack(levels)
    at = np.concatenate([x, np.linspace(x[0], x[-1], 50)[1:-1]])
    np.testing.assert_array_equal(MonotoneCubic(x, y)(at), PchipInterpolator(x, y)(at))
    np.testing.assert_array_equal(MonotoneCubic(x, y[:, 0])(at), PchipInterpolator(x, y[:, 0])(at))


def test_one_place_gives_one_row() -> None:
    x = np.array([1.0, 2.0, 4.0])
    assert MonotoneCubic(x, x)(np.array(3.0)).shape == ()
    assert MonotoneCubic(x, np.column_stack([x, x]))(np.array(3.0)).shape == (2,)
