"""Student's t against SciPy's own."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import t

from sgputt.inference.intervals import t_below, t_density, t_quantile

FREEDOM = np.array([1.0, 1.7, 2.0, 5.0, 29.0, 300.0, 1e5])[:, None]


def test_quantiles() -> None:
    chances = np.array([0.001, 0.05, 0.3, 0.5, 0.95, 0.975, 0.999])
    assert t_quantile(chances, FREEDOM) == pytest.approx(t.ppf(chances, FREEDOM), abs=1e-9)


def test_chances() -> None:
    values = np.linspace(-9, 9, 37)
    assert t_below(values, FREEDOM) == pytest.approx(t.cdf(values, FREEDOM), abs=1e-12)


def test_density() -> None:
    values = np.linspace(-9, 9, 37)
    assert t_density(values, FREEDOM) == pytest.approx(t.pdf(values, FREEDOM), rel=1e-9)
