"""Balls to a number of successes in a row: Feller's figures, brute force, and play."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest

from sgputt.practice.streak import balls_for_share, expected_balls, finished_within
from sgputt.reference import reference_path


def feller() -> list[tuple[float, int, float]]:
    """Rows of the stored table: chance of a success, length of the run, mean balls."""
    lines = Path(reference_path("waiting_times.csv")).read_text(encoding="utf-8").splitlines()
    rows = csv.DictReader(line for line in lines if not line.startswith("#"))
    return [(float(r["chance"]), int(r["run"]), float(r["mean_trials"])) for r in rows]


@pytest.mark.parametrize(("chance", "run", "mean"), feller())
def test_mean_and_variance_of_the_whole_distribution(chance: float, run: int, mean: float) -> None:
    chances = np.full(run, chance)
    assert expected_balls(chances) == pytest.approx(mean, abs=0.0006)
    most = int(60 * mean)
    left = 1 - finished_within(chances, most)
    balls = np.arange(most + 1)
    # Mean and second moment from the shares still going: sum S(n) and sum (2 n + 1) S(n).
    found = left.sum()
    assert found == pytest.approx(expected_balls(chances), rel=1e-9)
    missed = 1 - chance
    missed_run = missed * chance**run
    variance = 1 / missed_run**2 - (2 * run + 1) / missed_run - chance / missed**2
    assert ((2 * balls + 1) @ left) - found**2 == pytest.approx(variance, rel=1e-6)


def test_distribution_of_unequal_stations_by_play() -> None:
    chances = np.array([0.9, 0.6, 0.8])
    rng = np.random.default_rng(5)
    tries, most = 40_000, 30
    at, done = np.zeros(tries, dtype=int), np.zeros(most + 1)
    for ball in range(1, most + 1):
        going = at < 3
        good = rng.random(tries) < np.append(chances, 1.0)[at]
        at = np.where(going, np.where(good, at + 1, 0), at)
        done[ball] = (at == 3).mean()
    found = finished_within(chances, most)
    assert np.abs(found - done).max() < 4.5 * np.sqrt(0.25 / tries)
    assert found[:3].tolist() == [0, 0, 0]
    assert found[3] == pytest.approx(chances.prod())


def test_balls_for_a_share() -> None:
    sure, even = np.ones(4), np.array([0.5, 0.5])
    assert balls_for_share(sure, 0.6, 10) == 4
    found = balls_for_share(even, 0.6, 100)
    assert found is not None
    shares = finished_within(even, 100)
    assert shares[found] >= 0.6 > shares[found - 1]
    assert balls_for_share(np.zeros(2), 0.6, 50) is None
    assert expected_balls(np.array([0.5, 0.0])) == np.inf
