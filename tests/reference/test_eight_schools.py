"""Shrinking with an unknown spread, against a textbook's worked example.

Rubin, D. B. (1981) "Estimation in parallel randomized experiments", J. Educ. Stat. 6, 377-401: the
effects of coaching in eight schools with their standard errors. Posterior medians with a flat prior
on the spread: Gelman et al., Bayesian Data Analysis, table 5.3 (rounded there to whole numbers).
Both from memory. Means lie a little above medians where the posterior leans to one side.
"""

from __future__ import annotations

import numpy as np
import pytest

from sgputt.inference.shrinkage import shrink_among

EFFECTS = np.array([28.0, 8, -3, 7, -1, 1, 18, 12])
ERRORS = np.array([15.0, 10, 16, 11, 9, 11, 10, 18])
MEDIANS = [10, 8, 7, 8, 5, 6, 10, 8]
# Wide enough to be flat over every spread that the data allow.
FLAT = 1000.0


def test_the_eight_schools() -> None:
    means, variances = shrink_among(EFFECTS, ERRORS**2, FLAT)
    assert means == pytest.approx(MEDIANS, abs=1.5)
    assert means[0] == pytest.approx(11.4, abs=0.3)
    # The book gives 95 % of school A as -2 to 31: a standard deviation near 8.
    assert np.sqrt(variances[0]) == pytest.approx(8.3, abs=0.5)


def test_a_known_large_spread_leaves_values_alone() -> None:
    values, noise = np.array([-3.0, 0.0, 5.0]), np.full(3, 1e-4)
    means, variances = shrink_among(values, noise, 5.0)
    assert means == pytest.approx(values, abs=1e-3)
    assert variances == pytest.approx(noise, rel=0.05)


def test_one_value_alone() -> None:
    """Nothing is known of a mean but that value, so nothing moves it."""
    means, variances = shrink_among(np.array([0.7]), np.array([0.04]), 1.0)
    assert means[0] == pytest.approx(0.7)
    assert variances[0] == pytest.approx(0.04)
