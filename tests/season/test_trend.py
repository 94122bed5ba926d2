"""The rolling mean and its band."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import polars as pl
import pytest
from polars.testing import assert_frame_equal
from scipy.stats import t as student

from sgputt.season.scored import Scored, score
from sgputt.season.trend import trend
from sgputt.stroke.invented import InventedGolfer, invented_season
from tests.season.hand import BASELINE, DAY, expected, hole, scored

LENGTHS: list[tuple[float, ...]] = [(8,), (20, 2), (40, 6, 1), (8,), (8, 1), (20, 6, 1)]
GAINED = np.array([expected(each[0]) - len(each) for each in LENGTHS])


def six() -> Scored:
    days = (DAY + timedelta(days=at) for at in range(len(LENGTHS)))
    return scored(*(hole(1, *each, date=day) for each, day in zip(LENGTHS, days, strict=True)))


def test_means_of_a_window_that_shrinks_at_the_start() -> None:
    table = trend(six(), window=3)
    assert table["over"].to_list() == [1, 2, 3, 3, 3, 3]
    assert table["per_round"].to_list() == pytest.approx(18 * GAINED)
    means = [18 * GAINED[max(0, at - 2) : at + 1].mean() for at in range(6)]
    assert table["mean"].to_list() == pytest.approx(means)


def test_the_band_by_hand() -> None:
    table = trend(six(), window=3)
    # Every round is one hole; half the mean square step is the variance of a hole.
    variance = float((np.diff(GAINED) ** 2).sum() / (2 * 5))
    chance = _chance(six())
    assert variance > chance
    freedom = 2 * 5**2 / (3 * 6 - 4)
    reach = 18 * student.ppf(0.95, freedom) * np.sqrt(variance / np.array([1, 2, 3, 3, 3, 3]))
    mean = table["mean"].to_numpy()
    assert table["low"].to_list() == pytest.approx(mean - reach)
    assert table["high"].to_list() == pytest.approx(mean + reach)


def _chance(rounds: Scored) -> float:
    sums = rounds.matrix.sums
    return sum(float(sums[f"{each}_variance"].sum()) for each in ("holing", "leave")) / 6


def test_the_band_is_never_narrower_than_chance() -> None:
    same = scored(*(hole(1, 8, date=DAY + timedelta(days=at)) for at in range(4)))
    low, high = trend(same).select("low", "high").row(-1)
    sums = same.matrix.sums
    variance = sum(sums[f"{each}_variance"].sum() for each in ("holing", "leave")) / 4
    reach = 18 * student.ppf(0.95, 2 * 9 / 8) * np.sqrt(variance / 4)
    assert (high - low) / 2 == pytest.approx(reach)


def test_half_rounds_weigh_half() -> None:
    later = DAY + timedelta(days=1)
    table = trend(scored(hole(1, 8), hole(2, 20, 2), hole(1, 8, 1, date=later)))
    assert table["holes"].to_list() == [2, 1]
    total = expected(8) - 1 + expected(20) - 2 + expected(8) - 2
    assert table["mean"][-1] == pytest.approx(18 * total / 3)


def test_one_round_has_no_band() -> None:
    table = trend(scored(hole(1, 8)))
    assert table.select("over", "low", "high").rows() == [(1, None, None)]


def test_two_rounds_of_a_day_stand_in_order() -> None:
    table = trend(scored(hole(1, 20, 2, round=2), hole(1, 8, round=1)))
    assert table["round"].to_list() == [1, 2]
    assert table["per_round"].to_list() == pytest.approx(18 * GAINED[:2])


def test_the_order_of_rows_does_not_matter() -> None:
    putts = invented_season(InventedGolfer("Ada Brook"), 9, 3, date(2026, 3, 1))
    shuffled = putts.sample(fraction=1.0, shuffle=True, seed=1)
    assert_frame_equal(
        trend(score(putts, BASELINE)), trend(score(shuffled, BASELINE)), rel_tol=1e-9
    )


def test_the_band_holds_the_truth_about_nine_times_in_ten() -> None:
    """Forty seasons of twelve rounds of one player: the last row's band against all rounds."""
    putts = invented_season(InventedGolfer("Ada Brook"), 480, 11, date(2020, 1, 1), every_days=1)
    truth = trend(score(putts, BASELINE), window=480)["mean"][-1]
    number = (pl.col("date") - date(2020, 1, 1)).dt.total_days() // 12
    held = 0
    for _, one in putts.group_by(number, maintain_order=True):
        low, high = trend(score(one, BASELINE)).select("low", "high").row(-1)
        held += low <= truth <= high
    assert 32 <= held <= 40


def test_a_window_below_one_is_refused() -> None:
    with pytest.raises(ValueError, match="window: 0; 1 or more"):
        trend(six(), window=0)
