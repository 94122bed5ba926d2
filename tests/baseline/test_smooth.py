"""The monotone smooth of make shares."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sgputt.baseline.smooth import smooth_make_shares
from tests.two_spread import make_share

AT_FT = np.linspace(0.5, 100, 400)


def test_a_known_curve_comes_back_from_its_own_counts() -> None:
    # A million putts a bin drawn from the stroke model: the smooth must find it again to 0.01
    # where there are data.
    rng = np.random.default_rng(1)
    bins = np.concatenate([np.arange(1.0, 15), np.arange(15.0, 76, 4)])
    tries = np.full(len(bins), 1_000_000.0)
    holed = rng.binomial(1_000_000, make_share(bins)).astype(float)
    inside = AT_FT[(AT_FT >= 1) & (AT_FT <= 75)]
    smooth = smooth_make_shares(bins, tries, holed, inside)
    assert np.abs(smooth - make_share(inside)).max() < 0.01


@settings(max_examples=25, deadline=None)
@given(st.lists(st.floats(0.0, 1.0), min_size=12, max_size=12))
def test_it_never_rises_whatever_the_counts(shares: list[float]) -> None:
    bins = np.array([1, 2, 3, 5, 8, 10, 15, 20, 30, 40, 60, 75], dtype=float)
    tries = np.full(12, 500.0)
    smooth = smooth_make_shares(bins, tries, np.round(500 * np.array(shares)), AT_FT)
    assert (np.diff(smooth) <= 1e-9).all()
    assert ((smooth > 0) & (smooth < 1)).all()


def test_more_stiffness_makes_a_smoother_curve() -> None:
    bins = np.array([1, 2, 3, 4, 5, 6, 8, 10, 15, 20, 30, 40, 60], dtype=float)
    rng = np.random.default_rng(2)
    tries = np.full(len(bins), 60.0)
    holed = rng.binomial(60, make_share(bins)).astype(float)

    def roughness(stiffness: float) -> float:
        even = np.exp(np.linspace(np.log(1), np.log(60), 200))
        share = smooth_make_shares(bins, tries, holed, even, stiffness)
        return float(np.sum(np.diff(np.log(share / (1 - share)), n=2) ** 2))

    assert roughness(100.0) < roughness(1.0) < roughness(0.01)


def test_a_bin_of_few_putts_does_not_bend_the_curve() -> None:
    bins = np.array([4.0, 6.0, 9.0])
    tries, holed = np.array([10_000.0, 10, 10_000]), np.array([8_000.0, 0, 4_000])
    with_few = smooth_make_shares(bins, tries, holed, np.array([6.0]))[0]
    without = smooth_make_shares(bins[::2], tries[::2], holed[::2], np.array([6.0]))[0]
    assert with_few == pytest.approx(without, abs=0.1)
    many = smooth_make_shares(bins, np.full(3, 10_000.0), np.array([8_000.0, 4_500, 4_000]), bins)
    assert many == pytest.approx(np.array([0.8, 0.45, 0.4]), abs=0.02)
