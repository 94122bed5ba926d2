"""The difference of two samples against Welch's interval, and its own promises."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from sgputt.inference.intervals import (
    Difference,
    Sample,
    difference,
    rounds_to_tell,
    welch_freedom,
)

RNG = np.random.default_rng(8)
HOLES = 18.0


def sample(values: list[float] | np.ndarray, chance: float = 0.0) -> Sample:
    sums = np.asarray(values, dtype=np.float64)[:, None]
    return Sample(sums, np.full(len(sums), HOLES), np.array([chance]))


def test_many_rounds_give_welchs_interval() -> None:
    first, second = RNG.normal(0, 2, 40), RNG.normal(0.5, 1, 60)
    found = difference(sample(first), sample(second), resamples=20_000)
    welch = stats.ttest_ind(second, first, equal_var=False)
    low, high = welch.confidence_interval(0.90)
    assert found.value[0] == pytest.approx(second.mean() - first.mean())
    assert found.low[0] == pytest.approx(low, abs=0.06)
    assert found.high[0] == pytest.approx(high, abs=0.06)
    better = stats.ttest_ind(second, first, equal_var=False, alternative="greater")
    assert found.chance_better[0] == pytest.approx(1 - better.pvalue, abs=0.01)


def test_freedom_by_hand() -> None:
    # (0.5 + 0.2)^2 / (0.25 / 4 + 0.04 / 9)
    found = welch_freedom(np.array([0.5, 0.0]), np.array([0.2, 0.0]), 5, 10)
    assert found == pytest.approx([0.49 / (0.0625 + 0.04 / 9), 13])


def test_never_narrower_than_chance() -> None:
    found = difference(sample([1.0] * 4, chance=0.3), sample([1.0] * 6, chance=0.2))
    freedom = 0.25 / (0.09 / 3 + 0.04 / 5)
    reach = stats.t.ppf(0.95, freedom) * np.sqrt(0.5)
    assert (found.low[0], found.high[0]) == pytest.approx((-reach, reach))
    assert found.first_variance[0] == 0.3


def test_nothing_in_either_is_no_difference() -> None:
    found = difference(sample([0.0] * 3), sample([0.0] * 3))
    assert (found.value[0], found.low[0], found.high[0]) == (0, 0, 0)
    assert found.chance_better[0] == 0.5


def test_one_round_is_too_few() -> None:
    found = difference(sample([1.0]), sample([1.0, 2.0]))
    assert found.value[0] == 0.5
    assert np.isnan([found.low[0], found.high[0], found.chance_better[0]]).all()
    assert rounds_to_tell(found, (1, 2), both=True) is None


def test_about_nine_intervals_in_ten_hold_the_truth() -> None:
    held = 0
    for _ in range(300):
        first, second = RNG.normal(0, 2, 6), RNG.normal(1, 2, 9)
        found = difference(sample(first), sample(second), resamples=400)
        held += bool(found.low[0] <= 1 <= found.high[0])
    assert 0.86 <= held / 300 <= 0.95


def made_up(value: float, first: float, second: float) -> Difference:
    one = np.array([value])
    return Difference(one, one, one, one, np.array([first]), np.array([second]))


def brute(value: float, first: float, second: float, rounds: tuple[int, int], both: bool) -> int:
    """Add rounds one by one until Student's t times the error is smaller than the difference."""
    for more in range(1, 1001):
        m, n = rounds[0] + more * both, rounds[1] + more
        a, b = first * rounds[0] / m, second * rounds[1] / n
        freedom = (a + b) ** 2 / (a**2 / (m - 1) + b**2 / (n - 1))
        if stats.t.ppf(0.95, freedom) * np.sqrt(a + b) < abs(value):
            return more
    return 0


@pytest.mark.parametrize("both", [True, False])
@pytest.mark.parametrize("value", [0.6, -0.9, 0.3])
def test_rounds_to_tell_against_brute_force(value: float, both: bool) -> None:
    found = rounds_to_tell(made_up(value, 0.2, 0.3), (20, 10), both)
    assert (found or 0) == brute(value, 0.2, 0.3, (20, 10), both)


def test_too_small_a_difference_is_never_told() -> None:
    assert rounds_to_tell(made_up(0.001, 0.2, 0.3), (20, 10), both=True) is None
    # The first sample's own error alone is larger than the difference.
    assert rounds_to_tell(made_up(0.5, 0.2, 0.0), (20, 10), both=False) is None
