"""Shrinkage: Paule and Mandel's equation, and posteriors against closed forms and brute force."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from sgputt.inference.intervals import wilson_interval
from sgputt.inference.shrinkage import gaussian_posterior, paule_mandel, posterior
from sgputt.physics.roll import Array

VALUE = st.floats(-5.0, 5.0)
NOISE = st.floats(0.01, 4.0)
PAIRS = st.lists(st.tuples(VALUE, NOISE), min_size=2, max_size=12)


def weighted_spread(values: Array, noise: Array, between: float) -> float:
    weight = 1 / (noise + between)
    mean = np.sum(weight * values) / np.sum(weight)
    return float(np.sum(weight * (values - mean) ** 2))


@given(PAIRS)
def test_paule_mandel_solves_its_equation(pairs: list[tuple[float, float]]) -> None:
    values, noise = np.array(pairs).T
    mean, between = paule_mandel(values, noise)
    weight = 1 / (noise + between)
    assert mean == pytest.approx(np.sum(weight * values) / np.sum(weight))
    if between > 0:
        assert weighted_spread(values, noise, between) == pytest.approx(len(pairs) - 1, rel=1e-4)
    else:
        assert weighted_spread(values, noise, 0.0) <= len(pairs) - 1 + 1e-9


@given(st.lists(NOISE, min_size=2, max_size=12), VALUE)
def test_equal_values_differ_by_nothing(noise: list[float], value: float) -> None:
    found = paule_mandel(np.full(len(noise), value), np.array(noise))
    assert found == pytest.approx((value, 0.0))


@given(st.lists(VALUE, min_size=2, max_size=12), NOISE)
def test_with_equal_noise_it_is_the_plain_variance_less_the_noise(
    values: list[float], noise: float
) -> None:
    array = np.array(values)
    _, between = paule_mandel(array, np.full(len(values), noise))
    assert between == pytest.approx(max(0.0, array.var(ddof=1) - noise), rel=1e-4, abs=1e-6)


def test_one_value_is_its_own_mean() -> None:
    assert paule_mandel(np.array([0.7]), np.array([0.2])) == pytest.approx((0.7, 0.0))


def test_a_known_spread_is_found_again() -> None:
    rng = np.random.default_rng(3)
    noise = rng.uniform(0.2, 1.0, 4000)
    values = 0.4 + rng.normal(0, 0.6, 4000) + rng.normal(0, np.sqrt(noise))
    mean, between = paule_mandel(values, noise)
    # Standard errors about 0.015 and 0.02.
    assert mean == pytest.approx(0.4, abs=0.06)
    assert between == pytest.approx(0.36, abs=0.08)


@given(VALUE, NOISE, VALUE, NOISE)
def test_one_cell_is_the_precision_weighted_mean(
    value: float, noise: float, prior_mean: float, prior: float
) -> None:
    mean, variance = gaussian_posterior(
        np.array([value]), np.array([noise]), np.array([prior_mean]), np.array([[prior]])
    )
    precision = 1 / noise + 1 / prior
    assert mean[0] == pytest.approx((value / noise + prior_mean / prior) / precision, abs=1e-9)
    assert variance[0, 0] == pytest.approx(1 / precision)


def test_a_correlated_posterior_by_brute_force() -> None:
    # Draw a million truths from the prior and weigh each by how well it explains what was seen.
    rng = np.random.default_rng(12)
    values, noise = np.array([-0.6, 0.1, -0.2]), np.array([0.3, 0.5, 0.2])
    prior_mean = np.array([0.0, 0.05, -0.05])
    root = rng.normal(size=(3, 3)) * 0.5
    prior = root @ root.T + 0.05 * np.eye(3)
    truths = rng.multivariate_normal(prior_mean, prior, 1_000_000)
    weight = np.exp(-0.5 * ((values - truths) ** 2 / noise).sum(axis=1))
    weight /= weight.sum()
    brute = weight @ truths
    spread = (truths - brute).T @ (weight[:, None] * (truths - brute))
    mean, covariance = gaussian_posterior(values, noise, prior_mean, prior)
    assert mean == pytest.approx(brute, abs=0.005)
    assert covariance == pytest.approx(spread, abs=0.005)


CELLS = st.lists(st.tuples(VALUE, NOISE, st.floats(0.01, 3.0)), min_size=8, max_size=8)


@given(CELLS, st.lists(st.booleans(), min_size=8, max_size=8))
def test_slopes_of_a_band_add_up(cells: list[tuple[float, float, float]], seen: list[bool]) -> None:
    assume(any(seen))
    values, noise, scale = (array.reshape(4, 2) for array in np.array(cells).T)
    found = posterior(values, noise, scale, np.array(seen).reshape(4, 2))
    by_slope, by_band = found.by_slope(), found.by_band()
    assert by_band.mean[:, 0] == pytest.approx(by_slope.mean.sum(axis=1))
    assert (by_slope.mean[~np.array(seen).reshape(4, 2)] == 0).all()
    eigen = np.linalg.eigvalsh(found.covariance)
    assert eigen.min() > -1e-9
    assert (by_slope.variance <= noise + 1e-9)[np.array(seen).reshape(4, 2)].all()


def test_a_cell_moves_toward_the_rest_and_less_when_it_is_surer() -> None:
    def lone(noise_of_it: float) -> float:
        values = np.array([[-1.0], [0.0], [0.0], [0.0]])
        noise = np.array([[noise_of_it], [0.1], [0.1], [0.1]])
        found = posterior(values, noise, np.ones((4, 1)), np.full((4, 1), True))
        return float(found.mean[0, 0])

    assert -1.0 < lone(0.01) < lone(0.1) < lone(1.0) < 0.0


@given(st.integers(0, 500), st.integers(1, 500), st.floats(0.5, 0.999))
def test_a_wilson_interval_holds_its_share(successes: int, tries: int, level: float) -> None:
    successes = min(successes, tries)
    low, high = wilson_interval(successes, tries, level)
    assert 0 <= low <= successes / tries <= high <= 1
    other_low, other_high = wilson_interval(tries - successes, tries, level)
    assert (low, high) == pytest.approx((1 - other_high, 1 - other_low))


def test_no_tries_say_nothing() -> None:
    assert wilson_interval(0, 0) == (0.0, 1.0)


def test_a_slope_hardly_seen_follows_its_band() -> None:
    # Downhill lost much from many putts; uphill of the same band is hardly known. The departure
    # of the band is shared, so uphill is believed to lose too; without a loss downhill it is not.
    noise, even = np.array([[0.01, 5.0], [0.01, 0.01]]), np.ones((2, 2))
    seen = np.full((2, 2), True)
    lossy = posterior(np.array([[-1.0, 0.0], [0.0, 0.0]]), noise, even, seen)
    plain = posterior(np.array([[0.0, 0.0], [0.0, 0.0]]), noise, even, seen)
    assert lossy.mean[0, 1] < lossy.mean[1, 1] - 0.02
    assert plain.mean[0, 1] == pytest.approx(0.0)
    assert lossy.covariance[0, 0, 1] > 0
